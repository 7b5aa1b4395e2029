import type { Given } from './given.js';
import { hydraulicW, openAtOnce } from './oil-use.js';

/** What down force needs of the tractor, for a row. */
export interface RowNeeds {
  readonly oilLpm: number;
  /** Flow of one open supply valve. */
  readonly openLpm: number;
  readonly coilW: number;
  readonly proportionalViW: number;
}

/** Oil and current of a machine of so many rows, and what the tractor has left; what is left may be negative. */
export interface Budget {
  readonly rows: number;
  readonly downForceLpm: number;
  readonly downForcePeakLpm: number;
  readonly cleanersLpm: number;
  readonly fertiliserLpm: number;
  readonly fansLpm: number;
  readonly totalLpm: number;
  readonly peakLpm: number;
  readonly pumpLpm: number;
  readonly leftLpm: number;
  readonly leftAtPeakLpm: number;
  /** While the machine lifts: fans and lift; down force stands still. */
  readonly liftingLpm: number;
  readonly leftLiftingLpm: number;
  readonly hydraulicW: number;
  readonly downForceHydraulicW: number;
  readonly coilsW: number;
  readonly electronicsW: number;
  readonly othersW: number;
  readonly electricalW: number;
  readonly alternatorW: number;
  readonly tractorW: number;
  readonly leftW: number;
  /** What would be left with proportional valves, on the basis of V·I. */
  readonly leftWithProportionalW: number;
}

/**
 * Budget of pump and alternator for `rows` rows; units as named. A pressure-compensated pump gives all oil at the rail's pressure, so
 * its power is p·Q for every consumer. The peak is down force's, as `openAtOnce` has it; the others are means. Alternator power is its
 * current at the usual voltage. One bank of electronics serves all rows. Source: sums; p·Q and U·I.
 */
export function budgetFor(rows: number, needs: RowNeeds, given: Given): Budget {
  const { cleanerLpm, fertiliserLpm, fanLpm, liftLpm, pumpLpm, railNominalKpa, sourceV, electronicsW } = given;
  const besidesLpm = rows * (cleanerLpm + fertiliserLpm + fanLpm);
  const downForceLpm = rows * needs.oilLpm;
  const downForcePeakLpm = openAtOnce(rows, given).peak * needs.openLpm;
  const liftingLpm = rows * fanLpm + liftLpm;
  const coilsW = rows * needs.coilW;
  const othersW = rows * (given.cleanerW + given.fertiliserW + given.meterW) + given.monitorW;
  const [alternatorW, tractorW] = [given.alternatorA * sourceV, given.tractorA * sourceV];
  const leftW = alternatorW - tractorW - coilsW - electronicsW - othersW;
  return {
    rows,
    downForceLpm,
    downForcePeakLpm,
    cleanersLpm: rows * cleanerLpm,
    fertiliserLpm: rows * fertiliserLpm,
    fansLpm: rows * fanLpm,
    totalLpm: downForceLpm + besidesLpm,
    peakLpm: downForcePeakLpm + besidesLpm,
    pumpLpm,
    leftLpm: pumpLpm - downForceLpm - besidesLpm,
    leftAtPeakLpm: pumpLpm - downForcePeakLpm - besidesLpm,
    liftingLpm,
    leftLiftingLpm: pumpLpm - liftingLpm,
    hydraulicW: hydraulicW(downForceLpm + besidesLpm, railNominalKpa),
    downForceHydraulicW: hydraulicW(downForceLpm, railNominalKpa),
    coilsW,
    electronicsW,
    othersW,
    electricalW: coilsW + electronicsW + othersW,
    alternatorW,
    tractorW,
    leftW,
    leftWithProportionalW: leftW + coilsW - rows * needs.proportionalViW,
  };
}
