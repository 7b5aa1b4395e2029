import { existsSync } from 'node:fs';
import { dirname, parse, resolve } from 'node:path';
import { type Quantity, quantity } from '../../shared/machine.js';
import { checkRequirements, type Requirement, requirementsSchema } from '../assess/requirements.js';
import { readNamedBy } from '../common/links.js';
import { oncePer } from '../common/once.js';
import type { Project } from '../common/project.js';
import { LINE, TEXT } from '../common/text-schema.js';
import { readYaml, type YamlFile } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterProperties } from '../contract/parameter-schema.js';
import { checkRules, valuesOf, type WrittenParameters } from '../contract/parameter-values.js';
import { type Machine, readMachineFile } from '../machine/machine.js';
import { allNames, findNamedFile, isPath, namesIn, resolveNamedFile } from '../machine/named-file.js';
import { defaultsOf, quantityProperties, readQuantities, type WrittenQuantity } from '../machine/quantities.js';
import { driveSchema, readDrive, SECONDS_MAX, type WrittenKeyPoint } from './drive.js';
import { eventsSchema, readEvents, type TimedEvent, type WrittenEvent } from './events.js';
import { type FieldLayout, fieldSchema, readField, type WrittenField } from './field.js';
import { type Pass, passOf } from './pass.js';
import type { HeightProfile } from './profile.js';
import { type Course, type DriveField, Timeline } from './timeline.js';

interface ScenarioFile {
  readonly title: string;
  readonly story: string;
  readonly machine?: string;
  readonly rows: number;
  readonly seconds: WrittenQuantity;
  readonly seed?: number;
  readonly tickHz?: number;
  readonly startKpa?: WrittenQuantity;
  readonly field?: WrittenField;
  readonly drive?: readonly WrittenKeyPoint[];
  readonly parameters?: WrittenParameters;
  readonly events?: readonly WrittenEvent[];
  readonly requirements?: readonly unknown[];
}

/** A field, a machine and a drive to simulate. */
export interface Scenario {
  readonly name: string;
  readonly title: string;
  /** Why it exists and what to look at. */
  readonly story: string;
  readonly file: string;
  /** All files that it was read from. */
  readonly files: readonly string[];
  readonly machine: Machine;
  readonly rows: number;
  readonly seconds: number;
  readonly seed: number;
  readonly tickHz: number;
  /** Chamber pressure at the start, gauge, kPa. */
  readonly startKpa: number;
  /** Every quantity of FIELD by name, in the unit that the name ends with. */
  readonly field: Readonly<Record<string, number>>;
  /** What changes along the pass. */
  readonly layout: FieldLayout;
  readonly pass: Pass;
  /** Heights from a file; they replace the generated ones. */
  readonly profile?: HeightProfile;
  /** All parameters for configure(): the machine's, overridden by the scenario's, and the tick rate. */
  readonly parameters: ParameterValues;
  readonly timedEvents: readonly TimedEvent[];
  readonly timeline: Timeline;
  readonly requirements: readonly Requirement[];
}

/** Limited to six hours; most scenarios last a minute. */
const SECONDS = quantity('seconds', 'second', 0.01, SECONDS_MAX, 60, 'Duration');
const START_KPA = quantity('startKpa', 'kilopascal', 0, 40000, 3500, 'Chamber pressure at the start');
const QUANTITIES: readonly Quantity[] = [SECONDS, START_KPA];
const TICK_HZ = 1000;

/** JSON Schema of a scenario file. */
export const scenarioSchema = oncePer((contract: Contract): object => {
  const { tickHz, parameters } = parameterProperties(contract);
  return {
    type: 'object',
    required: ['title', 'story', 'rows', 'seconds'],
    additionalProperties: false,
    properties: {
      title: { ...LINE, description: 'What it is, for lists' },
      story: { ...TEXT, description: 'What to look at, and where the data is from' },
      machine: { ...TEXT, default: 'default', description: 'Machine, by its name or by a path relative to this file' },
      rows: { description: 'Rows of the bank', type: 'integer', minimum: 1, maximum: contract.rowsMax },
      ...quantityProperties(QUANTITIES),
      seed: { description: 'Seed of everything random', type: 'integer', minimum: 0, maximum: 2 ** 32 - 1, default: 1 },
      tickHz,
      field: fieldSchema,
      drive: driveSchema,
      parameters,
      events: eventsSchema,
      requirements: requirementsSchema(),
    },
  };
});

/** Returns the machine's file: by its name, or by its path relative to the scenario's folder. */
function machineFileOf(file: YamlFile<ScenarioFile>, project: Project): string {
  const { machine = 'default' } = file.value;
  const path = isPath(machine) ? resolve(dirname(file.file), machine) : findNamedFile(machine, project.machines);
  if (path !== undefined && existsSync(path)) return path;
  if (isPath(machine)) throw file.errorAt(['machine'], { problem: `there is no machine file ${path}` });
  throw file.errorAt(['machine'], { problem: `there is no machine ${machine}`, allowed: allNames(project.machines) });
}

/** @throws InputError at a parameter that breaks a rule; at the machine if the value comes from there */
function parametersOf(file: YamlFile<ScenarioFile>, machine: Machine, contract: Contract): ParameterValues {
  const { parameters = {}, tickHz = TICK_HZ } = file.value;
  const values = { ...machine.parameters, ...valuesOf(parameters, contract), tickHz };
  checkRules(values, contract, file, (name) => (name in parameters ? ['parameters', name] : ['machine']));
  return values;
}

/** What an event needs in the machine, if anything. The open input of a missing accelerometer may have faults all the same. */
function missingPart({ what }: WrittenEvent, { values }: Machine): string | undefined {
  const needsSensor = what.startsWith('acceleration-') && !what.startsWith('acceleration-sensor-');
  if (needsSensor && values.accelerationFitted === 0) return 'an accelerometer';
  return what.startsWith('soil-ahead-') && values.soilAheadFitted === 0 ? 'a preview' : undefined;
}

/** @throws InputError at an event of a part that the machine does not have */
function checkFitted(events: readonly WrittenEvent[], machine: Machine, file: YamlFile<ScenarioFile>): void {
  for (const [index, event] of events.entries()) {
    const part = missingPart(event, machine);
    if (part === undefined) continue;
    throw file.errorAt(['events', index, 'what'], { problem: `${event.what} needs ${part}, and the machine ${machine.name} has none` });
  }
}

/** Courses of the fields that only events change. */
const undisturbed = (machine: Machine): Course[] => {
  const normal: Partial<Record<DriveField, number>> = {
    sourceV: machine.values.sourceV ?? 0,
    railRatio: 1,
    shutDown: 0,
    busLost: 0,
    speedLost: 0,
    railSensor: 0,
    liftSwitchBounceMs: 0,
  };
  return Object.entries(normal).map(([field, value]) => ({ field: field as DriveField, shape: 'hold', points: [{ atS: 0, value }] }));
};

/** Returns the names of all scenarios in vectors/scenarios, in alphabetical order. */
export const scenarioNames = ({ scenarios }: Project): string[] => namesIn(scenarios);

/**
 * Reads a scenario: a name in vectors/scenarios, or a path.
 * @throws InputError with line and column in the scenario, its machine or its height profile; or with the known names
 */
export const readScenario = (project: Project, nameOrPath: string, contract: Contract = describeContract()): Scenario =>
  readScenarioFile(resolveNamedFile(nameOrPath, project.scenarios, 'scenario'), (file) => machineFileOf(file, project), contract);

/** Reads a scenario file with a machine file that replaces the scenario's machine. @throws InputError, see `readScenario` */
export const readScenarioWith = (path: string, machineFile: string, contract: Contract = describeContract()): Scenario =>
  readScenarioFile(path, () => machineFile, contract);

function readScenarioFile(path: string, chooseMachine: (file: YamlFile<ScenarioFile>) => string, contract: Contract): Scenario {
  const file = readYaml<ScenarioFile>(path, scenarioSchema(contract));
  const { title, story, rows, seed = 1, tickHz = TICK_HZ, drive = [], events = [], requirements = [] } = file.value;
  const { seconds = 0, startKpa = 0 } = { ...defaultsOf(QUANTITIES), ...readQuantities(QUANTITIES, file.value, file, []) };
  const machineFile = chooseMachine(file);
  const readMachine = (): Machine => readMachineFile(machineFile, contract);
  const machine = isPath(file.value.machine ?? '') ? readNamedBy(path, machineFile, readMachine) : readMachine();
  checkFitted(events, machine, file);
  const ticks = Math.round(seconds * tickHz);
  const { courses, motions, times } = readDrive(drive, file, seconds);
  const { timedValues, restarts, timedEvents } = readEvents({ file, events, rows, ticks, tickHz });
  const pass = passOf(motions, seconds, drive, events, { drive: times, events: timedEvents.map(({ fromTick }) => fromTick / tickHz) });
  const { values, layout, profile } = readField(file.value.field ?? {}, file, rows, pass.lengthM);
  const heights = file.value.field?.profile;
  return {
    name: parse(path).name,
    title,
    story,
    file: path,
    files: [path, machine.file, ...(heights === undefined ? [] : [resolve(dirname(path), heights.file)])],
    machine,
    rows,
    seconds,
    seed,
    tickHz,
    startKpa,
    field: values,
    layout,
    pass,
    ...(profile === undefined ? {} : { profile }),
    parameters: parametersOf(file, machine, contract),
    timedEvents,
    timeline: new Timeline({ ticks, tickHz, courses: [...courses, ...undisturbed(machine)], timedValues, restarts }),
    requirements: checkRequirements(requirements, { rows, seconds }, file, ['requirements']),
  };
}
