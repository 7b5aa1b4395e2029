import { type Budget, budgetFor } from './budget.js';
import { type StrokeSize, strokeAt, strokeSizes } from './coil.js';
import { type ComplianceSize, complianceSize } from './compliance.js';
import { REFERENCE_C, WARM_OIL_C } from './constants.js';
import { type CoilHeat, coilHeat, type DutySize, dutySize } from './duty.js';
import { type AccumulatorSize, accumulatorSize } from './gas.js';
import { type ForceRange, forceRange } from './geometry.js';
import type { Given } from './given.js';
import { chargedV, type HarnessSize, harnessSize, wirePath } from './harness.js';
import { type HeatSize, heatSize } from './heat.js';
import { type LifeSize, lifeSize } from './life.js';
import { type OilSize, oilSize } from './oil-use.js';
import { compareProportional, type ProportionalComparison } from './proportional.js';
import { type Feeding, type ReservoirSize, reservoirSize } from './reservoir.js';
import { type ResonanceSize, resonanceSize } from './resonance.js';
import { type SensorSize, sensorSize } from './sensors.js';
import { deadbandN, type SlewSizes, slewSizes } from './slew.js';
import { type ValveSize, valveLpm, valveSize } from './valve-flow.js';

/** All that is worked out of a machine before anything is judged: plain numbers, each in the unit that its name says. */
export interface Sizes {
  readonly rowCount: number;
  readonly deadbandN: number;
  readonly force: ForceRange;
  readonly accumulator: AccumulatorSize;
  readonly compliance: ComplianceSize;
  readonly valve: ValveSize;
  readonly slew: SlewSizes;
  readonly sensors: SensorSize;
  /** Lowest, usual and highest supply voltage, with the coil cold, at 20 °C and hot. */
  readonly strokes: readonly StrokeSize[];
  readonly duty: DutySize;
  readonly coilHeat: CoilHeat;
  readonly harness: HarnessSize;
  readonly reservoir: ReservoirSize;
  readonly oil: OilSize;
  /** At 24, 36 and 48 rows. */
  readonly budgets: readonly Budget[];
  /** At the machine's own rows. */
  readonly budget: Budget;
  readonly heat: HeatSize;
  readonly life: LifeSize;
  readonly proportional: ProportionalComparison;
  readonly resonance: ResonanceSize;
}

/** Machines that are compared. */
const BUDGET_ROWS = [24, 36, 48];

/** How the worst strokes see the reservoir at a temperature: charged as far as the lowest supply charges it. */
const feedingAt = (celsius: number, sureV: number, given: Given): Feeding => ({
  celsius,
  fromV: chargedV(celsius, given),
  sureV,
  ...wirePath(celsius, given),
});

/** Works out everything of a machine; the numbers are finite for every machine within its tables' limits. */
export function sizesOf(given: Given): Sizes {
  const force = forceRange(given);
  const compliance = complianceSize(given, force);
  const duty = dutySize(given);
  const harness = harnessSize(given);
  const oil = oilSize(given, force);
  const { energyMj } = strokeAt(given.sourceV, REFERENCE_C, given);
  const proportional = compareProportional(given, force, duty.rowW, energyMj);
  const openLpm = valveLpm(given.railNominalKpa - force.workUsualKpa, WARM_OIL_C, given);
  const needs = { oilLpm: oil.rowLpm, openLpm, coilW: duty.rowW, proportionalViW: proportional.rowViW };
  return {
    rowCount: given.rowCount,
    deadbandN: deadbandN(given),
    force,
    accumulator: accumulatorSize(given, force),
    compliance,
    valve: valveSize(given),
    slew: slewSizes(given, force),
    sensors: sensorSize(given, force),
    strokes: strokeSizes(given),
    duty,
    coilHeat: coilHeat(given),
    harness,
    reservoir: reservoirSize(
      feedingAt(given.coilColdC, harness.surelyMovesColdV, given),
      feedingAt(given.coilHotC, harness.surelyMovesHotV, given),
      given,
    ),
    oil,
    budgets: BUDGET_ROWS.map((rows) => budgetFor(rows, needs, given)),
    budget: budgetFor(given.rowCount, needs, given),
    heat: heatSize(given),
    life: lifeSize(given),
    proportional,
    resonance: resonanceSize(given, compliance.springNPerM),
  };
}
