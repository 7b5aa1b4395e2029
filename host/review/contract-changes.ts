import type { Parameter } from '../../shared/parameters.js';
import type { Contract } from '../contract/contract.js';
import { isSignal } from '../contract/fields.js';
import type { ContractChange } from './review.js';

/** Things of a contract by name, each with a text of all that counts of it. */
type Told = ReadonlyMap<string, string>;

function changesOf(what: ContractChange['what'], old: Told, fresh: Told): ContractChange[] {
  const names = [...new Set([...old.keys(), ...fresh.keys()])];
  return names.flatMap((name): ContractChange[] => {
    const before = old.get(name);
    const after = fresh.get(name);
    if (before === after) return [];
    const change = before === undefined ? 'added' : after === undefined ? 'removed' : 'changed';
    return [{ what, name, change, old: before, new: after }];
  });
}

/** Fields by record; type, unit and words. Where a field stands in its record does not count. */
const signals = ({ records }: Contract): Told =>
  new Map(
    records
      .filter(({ kind }) => kind !== 'parameter')
      .flatMap(({ name, fields }) =>
        fields.filter(isSignal).map(({ name: field, type, unit, values }) => {
          return [`${name}.${field}`, [type, unit === 'none' ? '' : unit, values ?? ''].filter(Boolean).join(' ')] as const;
        }),
      ),
  );

const parameterText = ({ type, unit, min, max, default: usual, choices }: Parameter): string =>
  `${type} ${unit}, ${min} to ${max}, default ${usual}${choices === undefined ? '' : `, ${choices.join(' ')}`}`;

const parameters = (contract: Contract): Told => new Map(contract.parameters.map((one) => [one.name, parameterText(one)]));

const faults = (contract: Contract): Told =>
  new Map(
    contract.faults.map(({ scope, name, code, reaction, debounceMs, recoveryMs }) => {
      return [`${scope} ${name}`, `bit ${code}, ${reaction}, after ${debounceMs} ms, back after ${recoveryMs} ms`];
    }),
  );

const words = ({ enums }: Contract): Told => new Map(Object.entries(enums).map(([name, all]) => [name, all.join(' ')]));

/** What two contracts do not have in common. */
export const contractChanges = (old: Contract, fresh: Contract): ContractChange[] => [
  ...changesOf('signal', signals(old), signals(fresh)),
  ...changesOf('parameter', parameters(old), parameters(fresh)),
  ...changesOf('fault', faults(old), faults(fresh)),
  ...changesOf('word', words(old), words(fresh)),
];
