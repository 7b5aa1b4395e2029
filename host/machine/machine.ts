import { parse } from 'node:path';
import { isMap, parseDocument } from 'yaml';
import { MACHINE, type Part } from '../../shared/machine.js';
import { ATMOSPHERE_KPA } from '../../shared/physics.js';
import { SIZING } from '../../shared/sizing.js';
import { oncePer } from '../common/once.js';
import type { Project } from '../common/project.js';
import { readText } from '../common/read-file.js';
import { LINE, TEXT } from '../common/text-schema.js';
import { readYaml, type YamlFile } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterProperties } from '../contract/parameter-schema.js';
import { brokenRule, checkRules, valuesOf, type WrittenParameters } from '../contract/parameter-values.js';
import { namesIn, resolveNamedFile } from './named-file.js';
import { defaultsOf, quantityProperties, readQuantities } from './quantities.js';

/** A machine as its file describes it. */
export interface Machine {
  readonly name: string;
  readonly title: string;
  readonly note: string;
  readonly file: string;
  /** Every quantity of MACHINE by name, in the unit that the name ends with. */
  readonly values: Readonly<Record<string, number>>;
  /** Every quantity of SIZING by name; the plant does not need them. */
  readonly sizing: Readonly<Record<string, number>>;
  /** Parameters that its file sets for the controller. */
  readonly overrides: ParameterValues;
  /** All parameters that the controller gets: those that follow from the quantities, and the overrides. */
  readonly parameters: ParameterValues;
}

/** A machine file: title, note, one mapping per part, and overrides for the controller. */
type MachineFile = Readonly<Record<string, object | string | undefined>> & {
  readonly title: string;
  readonly note?: string;
  readonly controller?: WrittenParameters;
};

type Values = Readonly<Record<string, number>>;

/** All parts of a machine file. */
const PARTS: readonly Part[] = [...MACHINE, ...SIZING];

/** JSON Schema of a machine file. */
export const machineSchema = oncePer((contract: Contract): object => {
  const partSchema = ({ help, none, quantities }: Part): object => ({
    description: none === undefined ? help : `${help}; \`none\` for a machine without it`,
    type: none === undefined ? 'object' : ['object', 'string'],
    properties: quantityProperties(quantities),
    additionalProperties: false,
  });
  return {
    type: 'object',
    required: ['title'],
    additionalProperties: false,
    properties: {
      title: { ...LINE, description: 'What it is, for lists' },
      note: { ...TEXT, description: 'Where the values are from' },
      ...Object.fromEntries(PARTS.map((part) => [part.name, partSchema(part)])),
      controller: parameterProperties(contract).parameters,
    },
  };
});

function readPart({ name, none, quantities }: Part, file: YamlFile<MachineFile>): Record<string, number> {
  const written = file.value[name] ?? {};
  const values = defaultsOf(quantities);
  if (typeof written === 'object') return { ...values, ...readQuantities(quantities, written, file, [name]) };
  if (written === 'none') return { ...values, ...none };
  throw file.errorAt([name], { allowed: `none, or a mapping of ${quantities.map((one) => one.name).join(', ')}` });
}

/** Path of a quantity in the file. The part is empty for a name that no part has, such as a parameter of the controller. */
const pathOf = (name: string): string[] => [PARTS.find(({ quantities }) => quantities.some((one) => one.name === name))?.name ?? '', name];

/** Neighbours in lists of names that must ascend. */
const pairsIn = (lists: readonly (readonly string[])[] = []): [low: string, high: string][] =>
  lists.flatMap((names) => names.slice(1).map((high, index): [string, string] => [names[index] ?? '', high]));

/** A rule between quantities. */
interface Relation {
  /** Its quantities. An error is reported at the first of them that is in the file. */
  readonly names: readonly string[];
  readonly holds: (of: (name: string) => number) => boolean;
  readonly rule: string;
}

/** Whether the cylinder's lever about the pivot is positive; it has the sign of up − rear·tan φ, φ being the angle of the arms. */
const pushesDown = (of: (name: string) => number, travelM: number): boolean =>
  of('cylinderPivotUpM') > of('cylinderPivotRearM') * Math.tan(Math.asin(travelM / of('armM')));

const RELATIONS: readonly Relation[] = [
  ...PARTS.flatMap(({ strictlyAscending }) => pairsIn(strictlyAscending)).map(
    ([low, high]): Relation => ({ names: [low, high], holds: (of) => of(low) < of(high), rule: `${low} must be less than ${high}` }),
  ),
  ...PARTS.flatMap(({ ascending }) => pairsIn(ascending)).map(
    ([low, high]): Relation => ({ names: [low, high], holds: (of) => of(low) <= of(high), rule: `${low} must be at most ${high}` }),
  ),
  {
    names: ['prechargeAbsoluteKpa', 'railNominalKpa'],
    holds: (of) => of('accumulatorMl') === 0 || of('prechargeAbsoluteKpa') - ATMOSPHERE_KPA < of('railNominalKpa'),
    rule: `The precharge must be below the rail pressure: prechargeAbsoluteKpa - ${ATMOSPHERE_KPA} < railNominalKpa`,
  },
  { names: ['attachM', 'armM'], holds: (of) => of('attachM') <= of('armM'), rule: 'attachM must be at most armM' },
  ...['travelDownMm', 'travelUpMm'].map(
    (travel): Relation => ({
      names: [travel, 'armM'],
      holds: (of) => of(travel) / 1000 < of('armM'),
      rule: `${travel} must be less than armM`,
    }),
  ),
  {
    names: ['cylinderPivotUpM', 'cylinderPivotRearM', 'travelDownMm', 'travelUpMm', 'armM'],
    holds: (of) => pushesDown(of, -of('travelDownMm') / 1000) && pushesDown(of, of('travelUpMm') / 1000),
    rule: 'The cylinder must push down over the whole travel: cylinderPivotUpM > cylinderPivotRearM · tan(angle of the arms)',
  },
];

/** @throws InputError at a quantity that contradicts another one */
function checkRelations(values: Values, file: YamlFile<MachineFile>): void {
  const of = (name: string): number => values[name] ?? Number.NaN;
  const isWritten = (name: string): boolean => {
    const [part = ''] = pathOf(name);
    return name in Object(file.value[part]);
  };
  for (const { names, holds, rule } of RELATIONS) {
    if (holds(of)) continue;
    const name = names.find(isWritten) ?? names[0] ?? '';
    const others = names.filter((one) => one !== name).map((one) => `${one} is ${of(one)}`);
    throw file.errorAt(pathOf(name), { problem: `${name} is ${of(name)}, but ${others.join(', ')}`, hint: rule });
  }
}

/**
 * Down force at the row per cylinder force, at level travel: the cylinder's lever about the arm's pivot over the arm's length.
 * It becomes a parameter of the controller, so it uses only operations that are exact on every computer, like the square root.
 */
export function linkageRatioOf(values: Values): number {
  const { cylinderPivotRearM: rear = 0, cylinderPivotUpM: up = 0, attachM: attach = 0, armM: arm = 0 } = values;
  return (up * attach) / (Math.sqrt((rear - attach) ** 2 + up * up) * arm);
}

/**
 * Returns the parameters that follow from a machine's quantities: every quantity with the name of a parameter, and the linkage
 * ratio. The controller has one time for lifting and lowering: the longer one. A value beyond the parameter's limits is clamped.
 * Without an accumulator the precharge becomes the lowest possible, so that no pressure is reserved for it.
 */
function derivedParameters(values: Values, contract: Contract): ParameterValues {
  const precharge = values.accumulatorMl === 0 ? { prechargeAbsoluteKpa: 0 } : {};
  const { liftS = 0, lowerS = 0 } = values;
  const known: Values = { ...values, ...precharge, liftS: Math.max(liftS, lowerS), linkageRatio: linkageRatioOf(values) };
  return Object.fromEntries(
    contract.parameters
      .filter(({ name }) => name in known)
      .map(({ name, min, max }) => [name, Math.min(max, Math.max(min, known[name] ?? min))]),
  );
}

/** @throws InputError where the machine gives a parameter a value that breaks a rule */
function checkParameters(parameters: ParameterValues, contract: Contract, file: YamlFile<MachineFile>): void {
  const { controller = {} } = file.value;
  checkRules(parameters, contract, file, (name) => (name in controller ? ['controller', name] : pathOf(name)));
}

/** Returns the names of all machines in vectors/machines, in alphabetical order. */
export const machineNames = ({ machines }: Project): string[] => namesIn(machines);

/**
 * Whether `readMachine` would accept the machine with some values changed.
 * @param changes quantities; names that no part has are parameters of the controller
 */
export function isValidWith(machine: Machine, changes: Values, contract: Contract): boolean {
  const values = { ...machine.values, ...machine.sizing, ...changes };
  const overrides = Object.fromEntries(Object.entries(changes).filter(([name]) => pathOf(name)[0] === ''));
  const parameters = { ...derivedParameters(values, contract), ...machine.overrides, ...overrides };
  return relationsHold(values) && brokenRule(parameters, contract) === undefined;
}

function relationsHold(values: Values): boolean {
  const of = (name: string): number => values[name] ?? Number.NaN;
  return RELATIONS.every(({ holds }) => holds(of));
}

/**
 * Returns the text of a machine file with another title and note and some values changed. Everything else, comments included,
 * stays as it is.
 * @param changes in the units that the names end with; names that no part has are parameters of the controller
 */
export function editMachineFile({ file }: Machine, title: string, note: string, changes: Values): string {
  const document = parseDocument(readText(file, 'yaml'));
  document.set('title', title);
  document.set('note', note);
  for (const [name, value] of Object.entries(changes)) {
    const [part = ''] = pathOf(name);
    const path = part === '' ? ['controller', name] : [part, name];
    // The part may be missing, or be `none`.
    if (!isMap(document.get(path[0], true))) document.set(path[0], document.createNode({}));
    document.setIn(path, value);
  }
  return document.toString({ lineWidth: 110 });
}

/**
 * Reads a machine: a name in vectors/machines, or a path. Parts and quantities that are left out have their defaults; a part
 * that the machine does not have is `none`.
 * @throws InputError with line and column, or with the known names
 */
export const readMachine = ({ machines }: Project, nameOrPath: string, contract: Contract = describeContract()): Machine =>
  readMachineFile(resolveNamedFile(nameOrPath, machines, 'machine'), contract);

/** Reads a machine file, see `readMachine`. @throws InputError with line and column */
export function readMachineFile(path: string, contract: Contract = describeContract()): Machine {
  const file = readYaml<MachineFile>(path, machineSchema(contract));
  const { title, note = '', controller = {} } = file.value;
  const values: Values = Object.assign({}, ...MACHINE.map((part) => readPart(part, file)));
  const sizing: Values = Object.assign({}, ...SIZING.map((part) => readPart(part, file)));
  checkRelations({ ...values, ...sizing }, file);
  const overrides = valuesOf(controller, contract);
  const parameters = { ...derivedParameters({ ...values, ...sizing }, contract), ...overrides };
  checkParameters(parameters, contract, file);
  return { name: parse(path).name, title, note, file: path, values, sizing, overrides, parameters };
}
