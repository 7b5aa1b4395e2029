import type { RowMetricName } from '../assess/metrics.js';
import { studentInterval } from '../contest/equal-pulses.js';
import type { ParameterValues } from '../contract/contract.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { defaultSettings, type RunSettings, type SimulatedRun } from '../simulate/run.js';
import { runMany } from '../simulate/run-many.js';
import type { Scenario } from '../simulate/scenario.js';
import { type Changes, machineVariantOf, variantOf } from './variant.js';

/** What metrics are measured with. */
export interface Setting {
  readonly binaries: Binaries;
  readonly seeds: number;
  /** For scenario files made on the way. */
  readonly folder: string;
  readonly say: (words: string) => void;
}

/** A line of the table: what was found, and whether that is what was aimed at. */
export interface Line {
  readonly what: string;
  readonly found: number;
  readonly decimals: number;
  readonly unit: string;
  /** The metric must be at most, or at least, this. */
  readonly aim: { readonly atMost: number } | { readonly atLeast: number };
  readonly from: string;
}

export const isReached = ({ found, aim }: Line): boolean => ('atMost' in aim ? found <= aim.atMost : found >= aim.atLeast);

/** The field to compare on, on rows with an accelerometer. */
export const REFERENCE = 'class-d-with-accelerometer';

export const variant = ({ folder, binaries }: Setting, name: string, changes: Changes): Scenario =>
  variantOf(REFERENCE, name, changes, folder, binaries.controller.description.contract);

/** The machine of the reference with a few parts changed; @returns its path */
export const machineVariant = ({ folder }: Setting, name: string, parts: Changes): string =>
  machineVariantOf('with-accelerometer', name, parts, folder);

/** Runs a scenario with the setting's seeds; the same seeds give the same fields. @throws Error when the controller stops */
export async function runs(
  { binaries, seeds, say }: Setting,
  scenario: Scenario,
  parameters: ParameterValues = {},
  actuation: RunSettings['actuation'] = 'latching',
): Promise<SimulatedRun[]> {
  const usual = defaultSettings(scenario);
  const choices = Array.from({ length: seeds }, (_, index) => ({
    seed: usual.seed + index,
    actuation,
    parameters: { ...usual.parameters, ...parameters },
  }));
  const results = await runMany({ ...binaries, scenario: scenario.file, machine: scenario.machine.file }, choices, (done) =>
    say(`${scenario.name}: ${done} of ${seeds}`),
  );
  const trapped = results.find(({ trap }) => trap !== undefined);
  if (trapped !== undefined) throw new Error(`${scenario.name}: the controller stopped in tick ${trapped.trap?.tick}`);
  return results;
}

/** Mean over seeds and rows. */
export const meanOf = (results: readonly SimulatedRun[], metric: RowMetricName): number =>
  studentInterval(results.map(({ metrics }) => metrics.over[metric].mean)).mean;
