import { copperOhm, strokeAt } from './coil.js';
import { REFERENCE_C } from './constants.js';
import type { Given } from './given.js';

/** Strokes of a row in a second: two to a pulse. Source: a pulse is an opening and a closing stroke. */
export const strokesPerS = (pulsesPerMin: number): number => (2 * pulsesPerMin) / 60;

/** Mean power, W, of strokes of an energy, mJ. Source: energy times rate. */
export const strokeW = (pulsesPerMin: number, mj: number): number => (strokesPerS(pulsesPerMin) * mj) / 1000;

export interface DutySize {
  readonly strokesPerMinPerRow: number;
  readonly rowW: number;
  readonly rowMeanA: number;
  /** Both coils of a row, where as many may be driven at once. */
  readonly rowPeakA: number;
  readonly bankW: number;
  readonly bankMeanA: number;
  readonly bankPeakA: number;
  /** With the highest voltage and the coldest coil. */
  readonly bankMostW: number;
  readonly bankMostPeakA: number;
  /** Share of the stroke queue's time that strokes take. */
  readonly queueShare: number;
  /** Longest that a pulse's end waits for its turn. */
  readonly closeWaitMs: number;
}

/**
 * Power and current of the strokes for the machine's duty; units as named. Mean current is mean power over voltage; the peak is that
 * of the coils that may be driven at once, at the end of a stroke. Wait and share: of `rowCount` valves open at once, at most
 * strokesAtOnce are served in each stroke's time, and slotCount banks take turns. Source: the controller's stroke queue.
 */
export function dutySize(given: Given): DutySize {
  const { dutyPulsesPerMin, rowCount, sourceV, strokesAtOnce, slotCount, strokeMs } = given;
  const usual = strokeAt(sourceV, REFERENCE_C, given);
  const worst = strokeAt(given.supplyMostV, given.coilColdC, given);
  const rowW = strokeW(dutyPulsesPerMin, usual.energyMj);
  const atOnce = Math.min(strokesAtOnce, 2 * rowCount);
  const rounds = 1 + Math.floor((rowCount - 1) / strokesAtOnce);
  return {
    strokesPerMinPerRow: 2 * dutyPulsesPerMin,
    rowW,
    rowMeanA: rowW / sourceV,
    rowPeakA: Math.min(2, strokesAtOnce) * usual.endA,
    bankW: rowCount * rowW,
    bankMeanA: (rowCount * rowW) / sourceV,
    bankPeakA: atOnce * usual.endA,
    bankMostW: rowCount * strokeW(dutyPulsesPerMin, worst.energyMj),
    bankMostPeakA: atOnce * worst.endA,
    queueShare: (rowCount * strokesPerS(dutyPulsesPerMin) * strokeMs * slotCount) / (1000 * strokesAtOnce),
    closeWaitMs: strokeMs * slotCount * rounds,
  };
}

export interface CoilHeat {
  readonly coilMeanW: number;
  readonly coilRiseK: number;
  readonly coilHottestC: number;
  /** What a coil that a fault leaves driven would come to. */
  readonly stuckOnW: number;
}

/**
 * Steady temperature of a coil, °C: hottest air and mean power, at the highest voltage, half of a row's strokes, times its thermal
 * resistance. `stuckOnW` is U²/R at the coil's hottest. Source: steady conduction, ΔT = P·R_th.
 */
export function coilHeat(given: Given): CoilHeat {
  const { energyMj } = strokeAt(given.supplyMostV, given.coilColdC, given);
  const coilMeanW = strokeW(given.dutyPulsesPerMin, energyMj) / 2;
  const coilRiseK = coilMeanW * given.coilKPerW;
  return {
    coilMeanW,
    coilRiseK,
    coilHottestC: Math.max(given.coilHotC, given.airHotC) + coilRiseK,
    stuckOnW: given.supplyMostV ** 2 / copperOhm(given.coilOhm, given.coilHotC),
  };
}
