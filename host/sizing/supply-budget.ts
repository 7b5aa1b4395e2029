import { hydraulicW, openAtOnce } from './oil-use.js';
import type { SizingInput } from './sizing-input.js';

/** What the down force of one row draws from the tractor. */
export interface RowDemand {
  readonly oilLpm: number;
  /** Flow through an open supply valve. */
  readonly openLpm: number;
  readonly coilW: number;
  readonly proportionalViW: number;
}

/** Oil and electrical power of a machine and what the tractor has to spare. A negative spare is a shortfall. */
export interface SupplyBudget {
  readonly rows: number;
  readonly downForceLpm: number;
  readonly downForcePeakLpm: number;
  readonly cleanersLpm: number;
  readonly fertiliserLpm: number;
  readonly fansLpm: number;
  readonly totalLpm: number;
  readonly peakLpm: number;
  readonly pumpLpm: number;
  readonly spareLpm: number;
  readonly spareAtPeakLpm: number;
  /** Fans and lift; down force is not controlled while the machine lifts. */
  readonly liftingLpm: number;
  readonly spareWhileLiftingLpm: number;
  readonly hydraulicW: number;
  readonly downForceHydraulicW: number;
  readonly coilsW: number;
  readonly electronicsW: number;
  readonly otherW: number;
  readonly electricalW: number;
  readonly alternatorW: number;
  readonly tractorW: number;
  readonly spareW: number;
  /** Spare power with proportional valves instead, on the V·I basis. */
  readonly spareWithProportionalW: number;
}

/**
 * Returns the supply budget for `rows` rows. A pressure-compensated pump delivers all oil at rail pressure, so every consumer's power
 * is p·Q. The peak is that of the down force (`openAtOnce`); other consumers count with their means. Alternator power is current times
 * nominal voltage. One bank of electronics serves all rows. Source: sums; p·Q and U·I.
 */
export function supplyBudgetFor(rows: number, demand: RowDemand, input: SizingInput): SupplyBudget {
  const { cleanerLpm, fertiliserLpm, fanLpm, liftLpm, pumpLpm, railNominalKpa, sourceV, electronicsW } = input;
  const otherLpm = rows * (cleanerLpm + fertiliserLpm + fanLpm);
  const downForceLpm = rows * demand.oilLpm;
  const downForcePeakLpm = openAtOnce(rows, input).peak * demand.openLpm;
  const liftingLpm = rows * fanLpm + liftLpm;
  const coilsW = rows * demand.coilW;
  const otherW = rows * (input.cleanerW + input.fertiliserW + input.meterW) + input.monitorW;
  const [alternatorW, tractorW] = [input.alternatorA * sourceV, input.tractorA * sourceV];
  const spareW = alternatorW - tractorW - coilsW - electronicsW - otherW;
  return {
    rows,
    downForceLpm,
    downForcePeakLpm,
    cleanersLpm: rows * cleanerLpm,
    fertiliserLpm: rows * fertiliserLpm,
    fansLpm: rows * fanLpm,
    totalLpm: downForceLpm + otherLpm,
    peakLpm: downForcePeakLpm + otherLpm,
    pumpLpm,
    spareLpm: pumpLpm - downForceLpm - otherLpm,
    spareAtPeakLpm: pumpLpm - downForcePeakLpm - otherLpm,
    liftingLpm,
    spareWhileLiftingLpm: pumpLpm - liftingLpm,
    hydraulicW: hydraulicW(downForceLpm + otherLpm, railNominalKpa),
    downForceHydraulicW: hydraulicW(downForceLpm, railNominalKpa),
    coilsW,
    electronicsW,
    otherW,
    electricalW: coilsW + electronicsW + otherW,
    alternatorW,
    tractorW,
    spareW,
    spareWithProportionalW: spareW + coilsW - rows * demand.proportionalViW,
  };
}
