import { type StrokeSize, strokeAt, strokeSizes } from './coil.js';
import { type ComplianceSize, complianceSize } from './compliance.js';
import { REFERENCE_C, WARM_OIL_C } from './constants.js';
import { type CoilHeat, coilHeat, type DutySize, dutySize } from './duty.js';
import { type AccumulatorSize, accumulatorSize, type FloatSize, floatSize } from './gas.js';
import { type ForceRange, forceRange } from './geometry.js';
import { chargedV, type HarnessSize, harnessSize, wirePath } from './harness.js';
import { type HeatSize, heatSize } from './heat.js';
import { type LifeSize, lifeSize } from './life.js';
import { type OilSize, oilSize } from './oil-use.js';
import { compareProportional, type ProportionalComparison } from './proportional.js';
import { type CoilFeed, type ReservoirSize, reservoirSize } from './reservoir.js';
import { type ResonanceSize, resonanceSize } from './resonance.js';
import { type SensorSize, sensorSize } from './sensors.js';
import type { SizingInput } from './sizing-input.js';
import { deadbandN, type SlewSizes, slewSizes } from './slew.js';
import { type SupplyBudget, supplyBudgetFor } from './supply-budget.js';
import { type ValveSize, valveLpm, valveSize } from './valve-flow.js';

/** All results before any design rule is applied: plain numbers, each in the unit that its name ends in. */
export interface Sizes {
  readonly rowCount: number;
  readonly deadbandN: number;
  readonly force: ForceRange;
  /** Absent without an accumulator. */
  readonly accumulator?: AccumulatorSize;
  readonly float: FloatSize;
  readonly compliance: ComplianceSize;
  readonly valve: ValveSize;
  readonly slew: SlewSizes;
  readonly sensors: SensorSize;
  /** Lowest, nominal and highest supply voltage, each with the coil cold, at 20 °C and hot. */
  readonly strokes: readonly StrokeSize[];
  readonly duty: DutySize;
  readonly coilHeat: CoilHeat;
  readonly harness: HarnessSize;
  readonly reservoir: ReservoirSize;
  readonly oil: OilSize;
  /** At 24, 36 and 48 rows. */
  readonly supplyBudgets: readonly SupplyBudget[];
  /** At the machine's own row count. */
  readonly supplyBudget: SupplyBudget;
  readonly heat: HeatSize;
  readonly life: LifeSize;
  readonly proportional: ProportionalComparison;
  readonly resonance: ResonanceSize;
}

/** Row counts for which supply budgets are compared. */
const BUDGET_ROWS = [24, 36, 48];

/** Returns the circuit from the reservoir to the worst-case strokes at a temperature, charged from the lowest supply voltage. */
const coilFeedAt = (celsius: number, pullInV: number, input: SizingInput): CoilFeed => ({
  celsius,
  chargedV: chargedV(celsius, input),
  pullInV,
  ...wirePath(celsius, input),
});

/** Calculates all sizes of a machine. They are finite for every machine within the limits of its tables. */
export function sizesOf(input: SizingInput): Sizes {
  const force = forceRange(input);
  const compliance = complianceSize(input, force);
  const duty = dutySize(input);
  const harness = harnessSize(input);
  const oil = oilSize(input, force);
  const { energyMj } = strokeAt(input.sourceV, REFERENCE_C, input);
  const proportional = compareProportional(input, force, duty.rowW, energyMj);
  const openLpm = valveLpm(input.railNominalKpa - force.workTypicalKpa, WARM_OIL_C, input);
  const demand = { oilLpm: oil.rowLpm, openLpm, coilW: duty.rowW, proportionalViW: proportional.rowViW };
  return {
    rowCount: input.rowCount,
    deadbandN: deadbandN(input),
    force,
    ...(input.accumulatorMl > 0 ? { accumulator: accumulatorSize(input, force) } : {}),
    float: floatSize(input, force),
    compliance,
    valve: valveSize(input),
    slew: slewSizes(input, force),
    sensors: sensorSize(input, force),
    strokes: strokeSizes(input),
    duty,
    coilHeat: coilHeat(input),
    harness,
    reservoir: reservoirSize(
      coilFeedAt(input.coilColdC, harness.pullInColdV, input),
      coilFeedAt(input.coilHotC, harness.pullInHotV, input),
      input,
    ),
    oil,
    supplyBudgets: BUDGET_ROWS.map((rows) => supplyBudgetFor(rows, demand, input)),
    supplyBudget: supplyBudgetFor(input.rowCount, demand, input),
    heat: heatSize(input),
    life: lifeSize(input),
    proportional,
    resonance: resonanceSize(input, compliance.springNPerM),
  };
}
