import type { Parameter } from '../../shared/parameters.js';
import type { Contract } from '../contract/contract.js';
import { isSignal } from '../contract/fields.js';
import type { ContractChange } from './review.js';

/** Parts of a contract by name, each described by the properties that matter. */
type Descriptions = ReadonlyMap<string, string>;

function changesOf(what: ContractChange['what'], base: Descriptions, head: Descriptions): ContractChange[] {
  const names = [...new Set([...base.keys(), ...head.keys()])];
  return names.flatMap((name): ContractChange[] => {
    const before = base.get(name);
    const after = head.get(name);
    if (before === after) return [];
    const change = before === undefined ? 'added' : after === undefined ? 'removed' : 'changed';
    return [{ what, name, change, base: before, head: after }];
  });
}

/** Fields by record: type, unit and enumeration. Offsets do not matter. */
const signals = ({ records }: Contract): Descriptions =>
  new Map(
    records
      .filter(({ kind }) => kind !== 'parameter')
      .flatMap(({ name, fields }) =>
        fields.filter(isSignal).map(({ name: field, type, unit, values }) => {
          return [`${name}.${field}`, [type, unit === 'none' ? '' : unit, values ?? ''].filter(Boolean).join(' ')] as const;
        }),
      ),
  );

const parameterText = ({ type, unit, min, max, default: value, choices }: Parameter): string =>
  `${type} ${unit}, ${min} to ${max}, default ${value}${choices === undefined ? '' : `, ${choices.join(' ')}`}`;

const parameters = (contract: Contract): Descriptions => new Map(contract.parameters.map((one) => [one.name, parameterText(one)]));

const faults = (contract: Contract): Descriptions =>
  new Map(
    contract.faults.map(({ scope, name, code, reaction, debounceMs, recoveryMs }) => {
      return [
        `${scope} ${name}`,
        `bit ${code}, ${reaction}, set after ${debounceMs} ms, cleared ${recoveryMs === 0 ? 'by a restart' : `after ${recoveryMs} ms`}`,
      ];
    }),
  );

const words = ({ enums }: Contract): Descriptions => new Map(Object.entries(enums).map(([name, all]) => [name, all.join(' ')]));

/** The differences between two contracts. */
export const contractChanges = (base: Contract, head: Contract): ContractChange[] => [
  ...changesOf('signal', signals(base), signals(head)),
  ...changesOf('parameter', parameters(base), parameters(head)),
  ...changesOf('fault', faults(base), faults(head)),
  ...changesOf('word', words(base), words(head)),
];
