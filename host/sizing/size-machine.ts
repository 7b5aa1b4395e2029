import type { Machine } from '../machine/machine.js';
import type { Check } from './check.js';
import { powerChecks, sensorChecks, strokeChecks } from './check-electrics.js';
import { gasChecks, geometryChecks, slewChecks, supplyChecks } from './check-oil.js';
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

const GROUPS = [geometryChecks, gasChecks, slewChecks, supplyChecks, sensorChecks, strokeChecks, powerChecks];

/** Applies all design rules to a machine. */
export const checksOf = (sizes: Sizes, input: SizingInput): Check[] => GROUPS.flatMap((group) => group(sizes, input));
