import { studentInterval } from '../assess/interval.js';
import type { RowMetricName } from '../assess/metrics.js';
import type { ParameterValues } from '../contract/contract.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { defaultSettings, type RunSettings, type SimulatedRun } from '../simulate/run.js';
import { runMany } from '../simulate/run-many.js';
import type { Scenario } from '../simulate/scenario.js';
import { type Changes, machineVariantOf, variantOf } from './variant.js';

/** What measurements need. */
export interface MeasurementSetup {
  readonly binaries: Binaries;
  readonly seeds: number;
  /** For scenario and machine files that are written on the way. */
  readonly folder: string;
  readonly showProgress: (text: string) => void;
}

interface ScenarioChanges extends Changes {
  readonly field?: Changes;
}

/** A measured value and its target. */
export interface MeasuredMetric {
  readonly name: string;
  readonly measured: number;
  readonly decimals: number;
  readonly unit: string;
  readonly target: { readonly max: number } | { readonly min: number };
  readonly details: string;
}

export const isReached = ({ measured, target }: MeasuredMetric): boolean =>
  'max' in target ? measured <= target.max : measured >= target.min;

/** The reference scenario: ideal rows with an accelerometer on class D at 3 m/s, so that metrics can be compared over time. */
export const REFERENCE = 'class-d-ideal';
/** The same with the imperfections of the default machine and field. */
export const DEFAULT = 'class-d-with-accelerometer';
/** The field of the reference scenario. */
const FIELD = { class: 'D', soilEdgeM: 0.1 };

/** Returns the reference scenario with some keys and some quantities of the field changed. */
export const variant = ({ folder, binaries }: MeasurementSetup, name: string, { field, ...changes }: ScenarioChanges): Scenario =>
  variantOf(REFERENCE, name, { ...changes, field: { ...FIELD, ...field } }, folder, binaries.controller.description.contract);

/** Returns the default scenario with some keys changed. */
export const defaultVariant = ({ folder, binaries }: MeasurementSetup, name: string, changes: Changes): Scenario =>
  variantOf(DEFAULT, name, changes, folder, binaries.controller.description.contract);

/** Writes the machine of the reference scenario with some quantities changed. @returns its path */
export const machineVariant = ({ folder }: MeasurementSetup, name: string, parts: Changes): string =>
  machineVariantOf('ideal-with-accelerometer', name, parts, folder);

/** Runs a scenario with the setup's seeds; the same seeds give the same fields. @throws Error when the controller stops */
export async function runSeeds(
  { binaries, seeds, showProgress }: MeasurementSetup,
  scenario: Scenario,
  parameters: ParameterValues = {},
  actuation: RunSettings['actuation'] = 'latching',
): Promise<SimulatedRun[]> {
  const defaults = defaultSettings(scenario);
  const settings = Array.from({ length: seeds }, (_, index) => ({
    seed: defaults.seed + index,
    actuation,
    parameters: { ...defaults.parameters, ...parameters },
  }));
  const onDone = (done: number): void => showProgress(`${scenario.name}: ${done} of ${seeds}`);
  const runs = await runMany({ ...binaries, scenario: scenario.file, machine: scenario.machine.file }, settings, onDone);
  const trap = runs.find((run) => run.trap !== undefined)?.trap;
  if (trap !== undefined) throw new Error(`${scenario.name}: the controller stopped at tick ${trap.tick}`);
  return runs;
}

/** Mean of a metric over seeds and rows. */
export const meanOf = (runs: readonly SimulatedRun[], metric: RowMetricName): number =>
  studentInterval(runs.map(({ metrics }) => metrics.over[metric].mean)).mean;
