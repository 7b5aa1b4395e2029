import type { Machine } from '../simulate/machine.js';
import type { Check } from './check.js';
import { powerChecks, sensorChecks, strokeChecks } from './check-electrics.js';
import { gasChecks, geometryChecks, slewChecks, supplyChecks } from './check-oil.js';
import { givenOf } from './given.js';
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
  const groups = [geometryChecks, gasChecks, slewChecks, supplyChecks, sensorChecks, strokeChecks, powerChecks];
  return { ...sizes, sensitivity: sensitivities(given, sizes), checks: groups.flatMap((group) => group(sizes, given)) };
}
