import type { Machine } from '../machine/machine.js';
import type { Check } from './check.js';
import { powerChecks, sensorChecks, strokeChecks } from './check-electrics.js';
import { gasChecks, geometryChecks, slewChecks, supplyChecks } from './check-oil.js';
import { type Given, givenOf } from './given.js';
import { type Sensitivity, sensitivities } from './sensitivity.js';
import { type Sizes, sizesOf } from './sizes.js';

/** What a machine comes to: sizes, what moves them, and what the design rules say of them. */
export interface Sizing extends Sizes {
  readonly sensitivity: readonly Sensitivity[];
  readonly checks: readonly Check[];
}

/**
 * Sizes a machine that was read from its file; pure, and finite for every machine that `readMachine` accepts: what is impossible is a
 * failing check. An inconsistent machine does not come so far: `readMachine` refuses it.
 */
export function sizeMachine(machine: Machine): Sizing {
  const given = givenOf(machine);
  const sizes = sizesOf(given);
  return { ...sizes, sensitivity: sensitivities(given, sizes), checks: checksOf(sizes, given) };
}

const GROUPS = [geometryChecks, gasChecks, slewChecks, supplyChecks, sensorChecks, strokeChecks, powerChecks];

/** What the design rules say of a machine. */
export const checksOf = (sizes: Sizes, given: Given): Check[] => GROUPS.flatMap((group) => group(sizes, given));
