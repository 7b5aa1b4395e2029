import { readFileSync } from 'node:fs';
import { parse } from 'node:path';
import { isMap, parseDocument } from 'yaml';
import { MACHINE, type Part } from '../../shared/machine.js';
import { ATMOSPHERE_KPA } from '../../shared/physics.js';
import { SIZING } from '../../shared/sizing.js';
import { oncePer } from '../common/once.js';
import type { Project } from '../common/project.js';
import { readYaml, type YamlFile } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterProperties } from '../contract/parameter-schema.js';
import { brokenRule, checkRules, valuesOf, type WrittenParameters } from '../contract/parameter-values.js';
import { fileOf, namesIn } from './named-file.js';
import { defaultsOf, quantityProperties, readQuantities } from './quantities.js';

/** A machine as its file describes it. */
export interface Machine {
  readonly name: string;
  readonly title: string;
  readonly note: string;
  readonly file: string;
  /** Every quantity of MACHINE by name, in the unit that the name says. */
  readonly values: Readonly<Record<string, number>>;
  /** Every quantity of SIZING by name: what a simulation does not need. */
  readonly sizing: Readonly<Record<string, number>>;
  /** What its file has the controller told besides, or otherwise. */
  readonly controller: ParameterValues;
  /** All that its controller is told. */
  readonly told: ParameterValues;
}

/** A machine file: words, a mapping for each part, and what the controller is told besides. */
type MachineFile = Readonly<Record<string, object | string | undefined>> & {
  readonly title: string;
  readonly note?: string;
  readonly controller?: WrittenParameters;
};

type Values = Readonly<Record<string, number>>;

/** All that may stand in a machine file. */
const PARTS: readonly Part[] = [...MACHINE, ...SIZING];

const machineSchema = oncePer((contract: Contract): object => {
  const words = { type: 'string', minLength: 1, maxLength: 2000 };
  const partSchema = ({ help, none, quantities }: Part): object => ({
    description: help,
    type: none === undefined ? 'object' : ['object', 'string'],
    properties: quantityProperties(quantities),
    additionalProperties: false,
  });
  return {
    type: 'object',
    required: ['title'],
    additionalProperties: false,
    properties: {
      title: words,
      note: words,
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
  throw file.wrong([name], name, `a mapping of ${quantities.map((one) => one.name).join(', ')}; or none`);
}

/** Where a quantity stands in the file; where its part does if it is left out. */
const pathOf = (name: string): string[] => [PARTS.find(({ quantities }) => quantities.some((one) => one.name === name))?.name ?? '', name];

/** Neighbours in lists of names that must ascend. */
const pairsIn = (lists: readonly (readonly string[])[] = []): [low: string, high: string][] =>
  lists.flatMap((names) => names.slice(1).map((high, index): [string, string] => [names[index] ?? '', high]));

/** Something that must be so between quantities. */
interface Relation {
  /** Its quantities; the error stands at the first of them that the file has. */
  readonly about: readonly string[];
  readonly holds: (of: (name: string) => number) => boolean;
  readonly allowed: string;
}

/** The cylinder's lever about the pivot has the sign of up − rear·tan φ, φ being the arm's angle over level. */
const pushesDown = (of: (name: string) => number, travelM: number): boolean =>
  of('cylinderPivotUpM') > of('cylinderPivotRearM') * Math.tan(Math.asin(travelM / of('armM')));

const RELATIONS: readonly Relation[] = [
  ...PARTS.flatMap(({ strictlyAscending }) => pairsIn(strictlyAscending)).map(
    ([low, high]): Relation => ({ about: [low, high], holds: (of) => of(low) < of(high), allowed: `${low} < ${high}` }),
  ),
  ...PARTS.flatMap(({ ascending }) => pairsIn(ascending)).map(
    ([low, high]): Relation => ({ about: [low, high], holds: (of) => of(low) <= of(high), allowed: `${low} <= ${high}` }),
  ),
  {
    about: ['prechargeAbsoluteKpa', 'railNominalKpa'],
    holds: (of) => of('accumulatorMl') === 0 || of('prechargeAbsoluteKpa') - ATMOSPHERE_KPA < of('railNominalKpa'),
    allowed: `no precharge above the rail: prechargeAbsoluteKpa less ${ATMOSPHERE_KPA} kPa of atmosphere < railNominalKpa`,
  },
  { about: ['attachM', 'armM'], holds: (of) => of('attachM') <= of('armM'), allowed: 'attachM <= armM' },
  ...['travelDownMm', 'travelUpMm'].map(
    (travel): Relation => ({ about: [travel, 'armM'], holds: (of) => of(travel) / 1000 < of('armM'), allowed: `${travel} < armM` }),
  ),
  {
    about: ['cylinderPivotUpM', 'cylinderPivotRearM', 'travelDownMm', 'travelUpMm', 'armM'],
    holds: (of) => pushesDown(of, -of('travelDownMm') / 1000) && pushesDown(of, of('travelUpMm') / 1000),
    allowed: 'a cylinder that pushes down over the whole travel: cylinderPivotUpM > cylinderPivotRearM · tan(angle of the arms)',
  },
];

/** @throws InputError at a quantity that does not go with another one */
function checkRelations(values: Values, file: YamlFile<MachineFile>): void {
  const of = (name: string): number => values[name] ?? Number.NaN;
  const isWritten = (name: string): boolean => {
    const [part = ''] = pathOf(name);
    return name in Object(file.value[part]);
  };
  for (const { about, holds, allowed } of RELATIONS) {
    if (holds(of)) continue;
    const name = about.find(isWritten) ?? about[0] ?? '';
    const others = about.filter((one) => one !== name).map((one) => `${one} is ${of(one)}`);
    throw file.wrong(pathOf(name), name, [allowed, ...(others.length === 0 ? [] : [others.join(', ')])].join(', and '));
  }
}

/**
 * Down force at the row per force of the cylinder, at level travel: the cylinder's lever about the arm's pivot over the arm's
 * length. By a square root alone, which is exact everywhere: the controller is told it.
 */
export function linkageRatioOf(values: Values): number {
  const { cylinderPivotRearM: rear = 0, cylinderPivotUpM: up = 0, attachM: attach = 0, armM: arm = 0 } = values;
  return (up * attach) / (Math.sqrt((rear - attach) ** 2 + up * up) * arm);
}

/**
 * What a machine's controller is told: every quantity that is a parameter too, and the linkage's ratio. What the parameter's
 * limits refuse is told as the nearest value that they allow: of an accumulator of 0 mL, the least there can be. Without an
 * accumulator the precharge is told as the least too, so that no pressure is kept for it.
 */
function tell(values: Values, contract: Contract): ParameterValues {
  const precharge = values.accumulatorMl === 0 ? { prechargeAbsoluteKpa: 0 } : {};
  const known: Values = { ...values, ...precharge, linkageRatio: linkageRatioOf(values) };
  return Object.fromEntries(
    contract.parameters
      .filter(({ name }) => name in known)
      .map(({ name, min, max }) => [name, Math.min(max, Math.max(min, known[name] ?? min))]),
  );
}

/** @throws InputError where the machine puts a parameter against a rule */
function checkTold(told: ParameterValues, contract: Contract, file: YamlFile<MachineFile>): void {
  const { controller = {} } = file.value;
  checkRules(told, contract, file, (name) => (name in controller ? ['controller', name] : pathOf(name)));
}

/** Names of all machines in vectors/machines, in alphabetical order. */
export const machineNames = ({ machines }: Project): string[] => namesIn(machines);

/** Whether a machine with some quantities changed is one that `readMachine` accepts; what is in no part is the controller's. */
export function goTogether(machine: Machine, changes: Values, contract: Contract): boolean {
  const values = { ...machine.values, ...machine.sizing, ...changes };
  const own = Object.entries(changes).filter(([name]) => pathOf(name)[0] === '');
  const told = { ...tell(values, contract), ...machine.controller, ...Object.fromEntries(own) };
  return relationsHold(values) && brokenRule(told, contract) === undefined;
}

function relationsHold(values: Values): boolean {
  const of = (name: string): number => values[name] ?? Number.NaN;
  return RELATIONS.every(({ holds }) => holds(of));
}

/**
 * The text of a machine file with some quantities changed, and its own words; what a person wrote besides stays as it is.
 * @param changes in the units that the names say; what is in no part is the controller's
 */
export function changedMachine({ file }: Machine, title: string, note: string, changes: Values): string {
  const document = parseDocument(readFileSync(file, 'utf8'));
  document.set('title', title);
  document.set('note', note);
  for (const [name, value] of Object.entries(changes)) {
    const [part = ''] = pathOf(name);
    const path = part === '' ? ['controller', name] : [part, name];
    // `none` and what a part has then make way for a part that is written out.
    if (!isMap(document.get(path[0], true))) document.set(path[0], document.createNode({}));
    document.setIn(path, value);
  }
  return document.toString({ lineWidth: 110 });
}

/**
 * Reads a machine: a name in vectors/machines, or a path. Parts and quantities that are left out take their defaults; the word
 * `none` stands for a part that the machine does not have. `controller` overrides what the controller is told.
 * @throws InputError with line and column, or with the names there are
 */
export const readMachine = ({ machines }: Project, nameOrPath: string, contract: Contract = describeContract()): Machine =>
  readMachineFile(fileOf(nameOrPath, machines, 'machine'), contract);

/** Reads a machine file, see `readMachine`. @throws InputError with line and column */
export function readMachineFile(path: string, contract: Contract = describeContract()): Machine {
  const file = readYaml<MachineFile>(path, machineSchema(contract));
  const { title, note = '', controller = {} } = file.value;
  const values: Values = Object.assign({}, ...MACHINE.map((part) => readPart(part, file)));
  const sizing: Values = Object.assign({}, ...SIZING.map((part) => readPart(part, file)));
  checkRelations({ ...values, ...sizing }, file);
  const own = valuesOf(controller, contract);
  const told = { ...tell(values, contract), ...own };
  checkTold(told, contract, file);
  return { name: parse(path).name, title, note, file: path, values, sizing, controller: own, told };
}
