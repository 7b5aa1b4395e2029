import { existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { MACHINE, type Quantity } from '../../shared/machine.js';
import type { Parameter } from '../../shared/parameters.js';
import { readNamedBy } from '../common/links.js';
import { oncePer } from '../common/once.js';
import type { Project } from '../common/project.js';
import { LINE, TEXT } from '../common/text-schema.js';
import { readYaml, type YamlFile, type YamlPath } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterValue, readParameterFile } from '../contract/parameter-values.js';
import { isPath } from '../machine/named-file.js';
import { readQuantity, type WrittenQuantity } from '../machine/quantities.js';
import { readScenario, type Scenario, scenarioNames } from '../simulate/scenario.js';

/** A parameter or quantity that is searched. */
export interface Axis {
  readonly name: string;
  readonly min: number;
  readonly max: number;
  /** Whether equal steps are equal ratios. */
  readonly isLogarithmic: boolean;
  readonly isInteger: boolean;
  readonly start: number;
}

/** What besides the load RMS error counts, in each scenario. */
export interface Objective {
  /** Highest pulse rate without a penalty; by default that of the start. */
  readonly pulsesPerMin?: number;
  /** Penalty for twice the pulses that are free. */
  readonly pulseWeight: number;
  /** Penalty for twice the oil of the start. */
  readonly oilWeight: number;
}

/** What to search, and on what. */
export interface Tuning {
  readonly title: string;
  readonly file: string;
  /** What is searched: parameters of the controller, or quantities of the proportional baseline. */
  readonly of: 'parameters' | 'proportional';
  readonly axes: readonly Axis[];
  readonly scenarios: readonly Scenario[];
  /** Parameters that replace those of the scenarios. */
  readonly startParameters: ParameterValues;
  readonly seeds: { readonly first: number; readonly count: number; readonly fresh: number };
  readonly objective: Objective;
  readonly evaluations: number;
  readonly searchSeed: number;
}

interface WrittenAxis<Value> {
  readonly min: Value;
  readonly max: Value;
  readonly scale?: 'linear' | 'log';
  readonly start?: Value;
}

interface TuningFile {
  readonly title: string;
  readonly scenarios: readonly string[];
  readonly seeds: Tuning['seeds'];
  readonly start?: string;
  readonly parameters?: Readonly<Record<string, WrittenAxis<number>>>;
  readonly proportional?: Readonly<Record<string, WrittenAxis<WrittenQuantity>>>;
  readonly objective?: Partial<Objective>;
  readonly evaluations: number;
  readonly searchSeed?: number;
}

/** One penalty unit: as bad as a load RMS error that is twice the start's. */
const WEIGHT_DEFAULT = 1;
const QUANTITIES: readonly Quantity[] = MACHINE.find(({ name }) => name === 'proportional')?.quantities ?? [];
const SCALE = { description: 'log: equal steps are equal ratios', type: 'string', enum: ['linear', 'log'], default: 'linear' } as const;

/** Schema of parameters or quantities by name, each with two limits. */
const axesSchema = (description: string, limits: readonly (readonly [name: string, limit: object])[]): object => ({
  description,
  type: 'object',
  minProperties: 1,
  additionalProperties: false,
  properties: Object.fromEntries(
    limits.map(([name, limit]) => [
      name,
      {
        type: 'object',
        required: ['min', 'max'],
        additionalProperties: false,
        properties: {
          min: { ...limit, description: 'Lowest value' },
          max: { ...limit, description: 'Highest value' },
          start: { ...limit, description: 'Where the search starts; by default at the value in the scenarios' },
          scale: SCALE,
        },
      },
    ]),
  ),
});

/** Parameters that can be searched: a choice has no neighbours, and the tick rate is the scenario's. */
const searchable = ({ parameters }: Contract): Parameter[] =>
  parameters.filter(({ name, choices }) => choices === undefined && name !== 'tickHz');

const countSchema = (description: string, minimum: number, maximum: number, byDefault?: number): object => ({
  description,
  type: 'integer',
  minimum,
  maximum,
  ...(byDefault === undefined ? {} : { default: byDefault }),
});

const seedsSchema: object = {
  description: 'Seeds of the runs',
  type: 'object',
  required: ['first', 'count', 'fresh'],
  additionalProperties: false,
  properties: {
    first: countSchema('First seed of the search', 0, 2 ** 31),
    count: countSchema('Number of seeds of the search', 1, 100),
    fresh: countSchema('Number of further seeds, on which the result is checked', 1, 100),
  },
};

const weightSchema = (description: string): object => ({ description, type: 'number', minimum: 0, maximum: 100, default: WEIGHT_DEFAULT });

const objectiveSchema: object = {
  description: 'What besides the load error counts',
  type: 'object',
  additionalProperties: false,
  properties: {
    pulsesPerMin: {
      description: 'Highest pulse rate without a penalty; by default that of the start',
      type: 'number',
      minimum: 1,
      maximum: 10_000,
    },
    pulseWeight: weightSchema('Penalty for twice the pulses that are free'),
    oilWeight: weightSchema('Penalty for twice the oil of the start'),
  },
};

/** JSON Schema of a tuning file. */
export const tuningSchema = oncePer((contract: Contract): object => ({
  type: 'object',
  required: ['title', 'scenarios', 'seeds', 'evaluations'],
  additionalProperties: false,
  properties: {
    title: { ...LINE, description: 'What it is' },
    scenarios: {
      description: 'Scenarios, by their names or by paths relative to this file',
      type: 'array',
      minItems: 1,
      maxItems: 50,
      items: TEXT,
    },
    seeds: seedsSchema,
    start: { ...TEXT, description: 'Parameter file to start from, relative to this file' },
    parameters: axesSchema(
      'Parameters that are searched, by name: each from min to max, from start on; with scale log, equal steps are equal ratios',
      searchable(contract).map(({ name, min, max }) => [name, { type: 'number', minimum: min, maximum: max }]),
    ),
    proportional: axesSchema(
      'Instead: quantities of the proportional baseline, likewise',
      QUANTITIES.map(({ name }) => [name, { type: ['number', 'string'] }]),
    ),
    objective: objectiveSchema,
    evaluations: countSchema('Number of designs that are simulated', 1, 100_000),
    searchSeed: countSchema('Seed of the search itself', 0, 2 ** 31, 1),
  },
}));

/** @throws InputError where the limits of an axis are in the wrong order, or have no logarithm */
function checkLimits({ min, max, isLogarithmic, start, name }: Axis, file: YamlFile<TuningFile>, path: YamlPath): void {
  if (!(min < max)) throw file.errorAt([...path, 'max'], { allowed: `greater than min, ${min}` });
  if (isLogarithmic && !(min > 0)) throw file.errorAt([...path, 'min'], { allowed: 'greater than 0 on a logarithmic scale' });
  if (!(min <= start && start <= max))
    throw file.errorAt(path, { problem: `the search of ${name} starts at ${start}, which is not between ${min} and ${max}` });
}

/** The start of an axis. @throws InputError if the scenarios have different values */
function startOf(name: string, values: readonly number[], file: YamlFile<TuningFile>, path: YamlPath): number {
  const [first = Number.NaN] = values;
  const other = values.find((value) => value !== first);
  if (other === undefined) return first;
  throw file.errorAt(path, {
    problem: `${name} is ${first} in one scenario and ${other} in another`,
    hint: 'Add a start beside min and max',
  });
}

function parameterAxes(file: YamlFile<TuningFile>, scenarios: readonly Scenario[], start: ParameterValues, contract: Contract): Axis[] {
  return Object.entries(file.value.parameters ?? {}).map(([name, { min, max, scale, start: written }]) => {
    const path = ['parameters', name];
    const values = scenarios.map(({ parameters }) => parameterValue(name, contract, { ...parameters, ...start }));
    const isInteger = contract.parameters.find((one) => one.name === name)?.type === 'u32';
    const axis = { name, min, max, isLogarithmic: scale === 'log', isInteger, start: written ?? startOf(name, values, file, path) };
    checkLimits(axis, file, path);
    return axis;
  });
}

function quantityAxes(file: YamlFile<TuningFile>, scenarios: readonly Scenario[]): Axis[] {
  const written = file.value.proportional ?? {};
  return QUANTITIES.flatMap((one) => {
    const of = written[one.name];
    if (of === undefined) return [];
    const path = ['proportional', one.name];
    const read = (key: 'min' | 'max' | 'start', value: WrittenQuantity): number => readQuantity(one, value, file, [...path, key]);
    const values = scenarios.map(({ machine }) => machine.values[one.name] ?? one.default);
    const start = of.start === undefined ? startOf(one.name, values, file, path) : read('start', of.start);
    const limits = { min: read('min', of.min), max: read('max', of.max) };
    const axis = { name: one.name, ...limits, isLogarithmic: of.scale === 'log', isInteger: one.isInteger === true, start };
    checkLimits(axis, file, path);
    return [axis];
  });
}

/** The scenario of an entry: a name, or a path relative to the file. @throws InputError at an unknown one, or in the scenario */
function scenarioAt(index: number, file: YamlFile<TuningFile>, project: Project, contract: Contract): Scenario {
  const written = file.value.scenarios[index] ?? '';
  const path = isPath(written) ? resolve(dirname(file.file), written) : join(project.scenarios, `${written}.yaml`);
  if (existsSync(path)) return readNamedBy(file.file, path, () => readScenario(project, path, contract));
  const problem = isPath(written) ? { problem: `there is no scenario file ${path}` } : { allowed: scenarioNames(project) };
  throw file.errorAt(['scenarios', index], problem);
}

/** @throws InputError unless exactly one of two kinds is searched, or if the start does not concern it */
function checkKind(file: YamlFile<TuningFile>): void {
  const { parameters, proportional, start } = file.value;
  if ((parameters === undefined) === (proportional === undefined))
    throw file.errorAt(parameters === undefined ? [] : ['proportional'], {
      problem: parameters === undefined ? 'nothing is searched' : 'parameters and proportional exclude each other',
      hint: 'Give limits either under `parameters` or under `proportional`',
    });
  if (start !== undefined && proportional !== undefined)
    throw file.errorAt(['start'], { problem: 'start has parameters of the controller, which the proportional baseline does not use' });
}

/** Reads the parameters of the start. @throws InputError with line and column */
function readStart(path: string, start: string, contract: Contract): ParameterValues {
  const file = resolve(dirname(path), start);
  return readNamedBy(path, file, () => readParameterFile(file, contract));
}

/**
 * Reads a tuning file.
 * @param path of the file; scenarios and start in it are names, or paths relative to it
 * @throws InputError with line and column in the file, in one of its scenarios or in its start
 */
export function readTuning(project: Project, path: string, contract: Contract = describeContract()): Tuning {
  const file = readYaml<TuningFile>(path, tuningSchema(contract));
  checkKind(file);
  const { title, scenarios: names, seeds, start, objective, evaluations, searchSeed = 1 } = file.value;
  const scenarios = names.map((_, index) => scenarioAt(index, file, project, contract));
  const startParameters = start === undefined ? {} : readStart(path, start, contract);
  const isProportional = file.value.proportional !== undefined;
  return {
    title,
    file: path,
    of: isProportional ? 'proportional' : 'parameters',
    axes: isProportional ? quantityAxes(file, scenarios) : parameterAxes(file, scenarios, startParameters, contract),
    scenarios,
    startParameters,
    seeds,
    objective: { pulseWeight: WEIGHT_DEFAULT, oilWeight: WEIGHT_DEFAULT, ...objective },
    evaluations,
    searchSeed,
  };
}
