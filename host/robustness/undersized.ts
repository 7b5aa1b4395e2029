import type { Scenario } from '../simulate/scenario.js';
import { gasChecks, slewChecks } from '../sizing/check-oil.js';
import { railChecks } from '../sizing/check-supply.js';
import { sizesOf } from '../sizing/sizes.js';
import { type SizingInput, sizingInputOf } from '../sizing/sizing-input.js';

/** Design checks that decide whether valves and gas can hold the load at all; the others are about cost, life and comfort. */
const DECISIVE: readonly string[] = ['precharge-ratio', 'rail-margin', 'slew-up-time', 'slew-down-time'];

/** The simulated machine has no hoses, and fans do not draw from its rail. */
const WITHOUT_HOSES = { supplyHoseM: 0, returnHoseM: 0, rowHoseM: 0, fanLpm: 0, cleanerLpm: 0, fertiliserLpm: 0 };

/**
 * Returns the names of the design checks that a machine fails for the job of its scenario, of those without which no controller can
 * hold the load: an accumulator that is empty in the softest soil, a rail that does not reach the pressure for the hardest, or valves
 * that need longer than 0.5 s for 400 N.
 */
export function failedChecks(scenario: Scenario): string[] {
  const { machine, field, timeline } = scenario;
  const { targetLoadN, oilC, airC } = timeline.driveAt(-1);
  const input: SizingInput = {
    ...sizingInputOf(machine),
    targetLoadMinN: targetLoadN,
    targetLoadTypicalN: targetLoadN,
    targetLoadMaxN: targetLoadN,
    openerMinN: field.soilMinN ?? Number.NaN,
    openerMaxN: field.soilMaxN ?? Number.NaN,
    oilColdC: oilC,
    gasHotC: airC,
    ...WITHOUT_HOSES,
  };
  const sizes = sizesOf(input);
  const checks = [...gasChecks(sizes, input), ...railChecks(sizes, input), ...slewChecks(sizes, input)];
  return checks.filter(({ name, result }) => result === 'fail' && DECISIVE.includes(name)).map(({ name }) => name);
}
