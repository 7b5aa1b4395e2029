import type { Machine } from '../machine/machine.js';
import { type Check, type Draft, withRemedies } from './check.js';
import { powerChecks, queueChecks, sensorChecks, strokeChecks, wireChecks } from './check-electrics.js';
import { gasChecks, geometryChecks, slewChecks } from './check-oil.js';
import { hoseChecks, oilChecks, pumpChecks, railChecks } from './check-supply.js';
import { type Sensitivity, sensitivities } from './sensitivity.js';
import { type Sizes, sizesOf } from './sizes.js';
import { type SizingInput, sizingInputOf } from './sizing-input.js';

/** The sizing of a machine: its sizes, their sensitivities and the design checks. */
export interface Sizing extends Sizes {
  readonly sensitivity: readonly Sensitivity[];
  readonly checks: readonly Check[];
}

/**
 * Sizes a machine. Pure, and finite for every machine that `readMachine` accepts: what is physically impossible is a failing check.
 * Inconsistent machines never get here; `readMachine` refuses them.
 */
export function sizeMachine(machine: Machine): Sizing {
  const input = sizingInputOf(machine);
  const sizes = sizesOf(input);
  return { ...sizes, sensitivity: sensitivities(input, sizes), checks: checksOf(sizes, input) };
}

const GROUPS = [
  geometryChecks,
  gasChecks,
  railChecks,
  slewChecks,
  pumpChecks,
  hoseChecks,
  oilChecks,
  sensorChecks,
  strokeChecks,
  wireChecks,
  queueChecks,
  powerChecks,
];

/** Applies all design rules to a machine, without the text of the remedies. */
export const draftsOf = (sizes: Sizes, input: SizingInput): Draft[] => GROUPS.flatMap((group) => group(sizes, input));

/** Applies all design rules to a machine. */
export const checksOf = (sizes: Sizes, input: SizingInput): Check[] =>
  withRemedies(draftsOf(sizes, input), sizes.accumulator === undefined ? ['accumulator', 'precharge'] : []);
