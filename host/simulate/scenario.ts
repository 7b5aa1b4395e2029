import { existsSync } from 'node:fs';
import { dirname, join, parse, resolve } from 'node:path';
import { FIELD, ROAD_CLASSES, type RoadClass } from '../../shared/field.js';
import { type Quantity, quantity } from '../../shared/machine.js';
import { checkRequirements, type Requirement, requirementsSchema } from '../assess/requirements.js';
import { oncePer } from '../common/once.js';
import type { Project } from '../common/project.js';
import { readYaml, type YamlFile } from '../common/yaml-file.js';
import { type Contract, describeContract, type ParameterValues } from '../contract/contract.js';
import { parameterProperties } from '../contract/parameter-schema.js';
import { checkRules, valuesOf, type WrittenParameters } from '../contract/parameter-values.js';
import { type Machine, machineNames, readMachineFile } from '../machine/machine.js';
import { fileOf, isPath, namesIn } from '../machine/named-file.js';
import { defaultsOf, quantityProperties, readQuantities, type Written } from '../machine/quantities.js';
import { driveSchema, readDrive, type WrittenMoment, wayM } from './drive.js';
import { eventsSchema, readEvents, type WrittenEvent } from './events.js';
import { type HeightProfile, profileSchema, readProfile, type WrittenProfile } from './profile.js';
import { type Course, type DriveField, Timeline } from './timeline.js';

type WrittenField = Readonly<Record<string, unknown>> & { readonly class?: RoadClass; readonly profile?: WrittenProfile };

interface ScenarioFile {
  readonly title: string;
  readonly story: string;
  readonly machine?: string;
  readonly rows: number;
  readonly seconds: Written;
  readonly seed?: number;
  readonly tickHz?: number;
  readonly startKpa?: Written;
  readonly field?: WrittenField;
  readonly drive?: readonly WrittenMoment[];
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
  /** Every file that it was read from. */
  readonly files: readonly string[];
  readonly machine: Machine;
  readonly rows: number;
  readonly seconds: number;
  readonly seed: number;
  readonly tickHz: number;
  /** Chamber pressure at the start, gauge, kPa. */
  readonly startKpa: number;
  /** Every quantity of FIELD by name, in the unit that the name says. */
  readonly field: Readonly<Record<string, number>>;
  /** Heights from a file, in place of made ones. */
  readonly profile?: HeightProfile;
  /** All that configure() gets: what the machine tells, on top of it the scenario's own, and the tick rate. */
  readonly parameters: ParameterValues;
  readonly timeline: Timeline;
  readonly requirements: readonly Requirement[];
}

/** A quarter of a day in the field is as long as anyone would simulate; max are a minute. */
const SECONDS = quantity('seconds', 'second', 0.01, 21600, 60, 'How long it lasts');
const START_KPA = quantity('startKpa', 'kilopascal', 0, 40000, 3500, 'Chamber pressure at the start');
const OWN: readonly Quantity[] = [SECONDS, START_KPA];
const TICK_HZ = 1000;

const scenarioSchema = oncePer((contract: Contract): object => {
  const words = { type: 'string', minLength: 1, maxLength: 2000 };
  const { tickHz, parameters } = parameterProperties(contract);
  return {
    type: 'object',
    required: ['title', 'story', 'rows', 'seconds'],
    additionalProperties: false,
    properties: {
      title: words,
      story: words,
      machine: words,
      rows: { type: 'integer', minimum: 1, maximum: contract.rowsMax },
      ...quantityProperties(OWN),
      seed: { type: 'integer', minimum: 0, maximum: 2 ** 32 - 1 },
      tickHz,
      field: {
        type: 'object',
        additionalProperties: false,
        properties: {
          class: { type: 'string', enum: Object.keys(ROAD_CLASSES) },
          ...quantityProperties(FIELD),
          profile: profileSchema,
        },
      },
      drive: driveSchema,
      parameters,
      events: eventsSchema,
      requirements: requirementsSchema(),
    },
  };
});

/** A machine by name, or by a path from the scenario's folder. */
function machineOf(file: YamlFile<ScenarioFile>, project: Project): string {
  const { machine = 'default' } = file.value;
  const path = isPath(machine) ? resolve(dirname(file.file), machine) : join(project.machines, `${machine}.yaml`);
  if (!existsSync(path)) throw file.wrong(['machine'], 'machine', [...machineNames(project), 'a path from this file']);
  return path;
}

/** Quantities of which the first must not be above the second. */
const IN_ORDER = [
  ['soilMinN', 'soilMaxN'],
  ['patchMinM', 'patchMaxM'],
] as const;
/** What only a made profile has. */
const MADE_ONLY = ['class', 'roughnessCm3', 'waviness', 'commonWaveM'];

/** @throws InputError where two of the field's values contradict each other */
function readField(file: YamlFile<ScenarioFile>): Record<string, number> {
  const { field = {} } = file.value;
  if (field.class !== undefined && 'roughnessCm3' in field) {
    throw file.wrong(['field', 'roughnessCm3'], 'roughnessCm3 besides a class', 'one of the two');
  }
  const stray = field.profile === undefined ? undefined : MADE_ONLY.find((name) => name in field);
  if (stray !== undefined) throw file.wrong(['field', stray], `${stray} besides a profile`, 'one of the two');
  const ofClass = field.class === undefined ? {} : { roughnessCm3: ROAD_CLASSES[field.class] };
  const values: Record<string, number> = { ...defaultsOf(FIELD), ...ofClass, ...readQuantities(FIELD, field, file, ['field']) };
  for (const [min, max] of IN_ORDER) {
    if ((values[min] ?? 0) <= (values[max] ?? 0)) continue;
    const [name, other] = min in field ? [min, max] : [max, min];
    throw file.wrong(['field', name], name, `${min} <= ${max}, and ${other} is ${values[other]}`);
  }
  return values;
}

/** @throws InputError at a parameter against a rule; at the machine if only that gave it */
function parametersOf(file: YamlFile<ScenarioFile>, machine: Machine, contract: Contract): ParameterValues {
  const { parameters = {}, tickHz = TICK_HZ } = file.value;
  const values = { ...machine.told, ...valuesOf(parameters, contract), tickHz };
  checkRules(values, contract, file, (name) => (name in parameters ? ['parameters', name] : ['machine']));
  return values;
}

/** @throws InputError at an event of a sensor that the machine does not have */
function checkFitted(events: readonly WrittenEvent[], machine: Machine, file: YamlFile<ScenarioFile>): void {
  const stray = machine.values.accelerationFitted === 0 ? events.findIndex(({ what }) => what.startsWith('acceleration-')) : -1;
  if (stray >= 0) throw file.wrong(['events', stray, 'what'], 'event', `a machine with an accelerometer, and ${machine.name} has none`);
}

/** What only events change: as it is while nothing happens. */
const undisturbed = (machine: Machine): Course[] => {
  const usual: Partial<Record<DriveField, number>> = {
    sourceV: machine.values.sourceV ?? 0,
    railRatio: 1,
    shutDown: 0,
    busLost: 0,
    speedLost: 0,
    railSensor: 0,
  };
  return Object.entries(usual).map(([field, value]) => ({ field: field as DriveField, goes: 'hold', points: [{ atS: 0, value }] }));
};

/** Names of all scenarios in vectors/scenarios, in alphabetical order. */
export const scenarioNames = ({ scenarios }: Project): string[] => namesIn(scenarios);

/**
 * Reads a scenario: a name in vectors/scenarios, or a path.
 * @throws InputError with line and column in the scenario, its machine or its height profile; or with the names there are
 */
export const readScenario = (project: Project, nameOrPath: string, contract: Contract = describeContract()): Scenario =>
  scenarioIn(fileOf(nameOrPath, project.scenarios, 'scenario'), (file) => machineOf(file, project), contract);

/** Reads a scenario file with a machine file in place of the scenario's own machine. @throws InputError, see `readScenario` */
export const readScenarioWith = (path: string, machineFile: string, contract: Contract = describeContract()): Scenario =>
  scenarioIn(path, () => machineFile, contract);

function scenarioIn(path: string, machineFileOf: (file: YamlFile<ScenarioFile>) => string, contract: Contract): Scenario {
  const file = readYaml<ScenarioFile>(path, scenarioSchema(contract));
  const { title, story, rows, seed = 1, tickHz = TICK_HZ, drive = [], events = [], requirements = [] } = file.value;
  const { seconds = 0, startKpa = 0 } = { ...defaultsOf(OWN), ...readQuantities(OWN, file.value, file, []) };
  const machine = readMachineFile(machineFileOf(file), contract);
  checkFitted(events, machine, file);
  const field = readField(file);
  const ticks = Math.round(seconds * tickHz);
  const driven = readDrive(drive, file, seconds);
  const { happenings, restarts } = readEvents({ file, events, rows, ticks, tickHz });
  const profile = file.value.field?.profile;
  return {
    name: parse(path).name,
    title,
    story,
    file: path,
    files: [path, machine.file, ...(profile === undefined ? [] : [resolve(dirname(path), profile.file)])],
    machine,
    rows,
    seconds,
    seed,
    tickHz,
    startKpa,
    field,
    ...(profile === undefined ? {} : { profile: readProfile(profile, file, ['field', 'profile'], rows, wayM(driven, seconds)) }),
    parameters: parametersOf(file, machine, contract),
    timeline: new Timeline({ ticks, tickHz, courses: [...driven, ...undisturbed(machine)], happenings, restarts }),
    requirements: checkRequirements(requirements, { rows, seconds }, file, ['requirements']),
  };
}
