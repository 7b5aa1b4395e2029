import { copperOhm, type StrokeSize, strokeAt } from './coil.js';
import { REFERENCE_C } from './constants.js';
import type { SizingInput } from './sizing-input.js';
import { coilsAtOnce, turnsFor } from './strokes-at-once.js';

/** Returns strokes per second of a row. Source: a pulse is one opening and one closing stroke. */
export const strokesPerS = (pulsesPerMin: number): number => (2 * pulsesPerMin) / 60;

/** Returns the mean power, W, of strokes of an energy (mJ). Source: energy times rate. */
export const strokeW = (pulsesPerMin: number, mj: number): number => (strokesPerS(pulsesPerMin) * mj) / 1000;

/**
 * Returns the RMS current, A, of strokes that start at random at a rate (1/s): √(λ·∫i² dt + (λ·∫i dt)²), where ∫i² is the heat in the
 * winding over its resistance and ∫i the energy over the voltage. Source: Campbell's theorem for shot noise.
 */
export const rmsA = (perS: number, { supplyV, coilOhm, energyMj, windingMj }: StrokeSize): number =>
  Math.sqrt((perS * windingMj) / 1000 / coilOhm + ((perS * energyMj) / 1000 / supplyV) ** 2);

export interface DutySize {
  readonly strokesPerMinPerRow: number;
  readonly rowW: number;
  readonly rowMeanA: number;
  /** Both coils of a row, if strokesAtOnce allows. */
  readonly rowPeakA: number;
  readonly bankW: number;
  readonly bankMeanA: number;
  readonly bankPeakA: number;
  /** At the highest voltage with cold coils. */
  readonly bankMaxW: number;
  readonly bankMaxPeakA: number;
  readonly bankMaxRmsA: number;
  /** Share of the stroke queue's capacity in use. */
  readonly queueUtilisation: number;
  /** Longest wait of a closing stroke in the queue. */
  readonly closeWaitMs: number;
}

/**
 * Returns power and current of the strokes at the machine's duty. Mean current is mean power over voltage. Peak current is that of all
 * coils that may be driven at once, at the end of a stroke. Utilisation and wait assume `rowCount` valves open at once, with
 * strokesAtOnce, at most two a row, served per stroke time and slotCount banks taking turns. Source: the controller's stroke queue.
 */
export function dutySize(input: SizingInput): DutySize {
  const { dutyPulsesPerMin, rowCount, sourceV, strokesAtOnce, slotCount, strokeMs } = input;
  const nominal = strokeAt(sourceV, REFERENCE_C, input);
  const worst = strokeAt(input.supplyMaxV, input.coilColdC, input);
  const rowW = strokeW(dutyPulsesPerMin, nominal.energyMj);
  const coils = coilsAtOnce(input);
  return {
    strokesPerMinPerRow: 2 * dutyPulsesPerMin,
    rowW,
    rowMeanA: rowW / sourceV,
    rowPeakA: Math.min(2, strokesAtOnce) * nominal.endA,
    bankW: rowCount * rowW,
    bankMeanA: (rowCount * rowW) / sourceV,
    bankPeakA: coils * nominal.endA,
    bankMaxW: rowCount * strokeW(dutyPulsesPerMin, worst.energyMj),
    bankMaxPeakA: coils * worst.endA,
    bankMaxRmsA: rmsA(rowCount * strokesPerS(dutyPulsesPerMin), worst),
    queueUtilisation: (rowCount * strokesPerS(dutyPulsesPerMin) * strokeMs * slotCount) / (1000 * coils),
    closeWaitMs: strokeMs * slotCount * turnsFor(rowCount, input),
  };
}

export interface CoilHeat {
  readonly coilMeanW: number;
  readonly coilRiseK: number;
  readonly coilMaxC: number;
  /** Power of a coil that a fault keeps energised. */
  readonly stuckOnW: number;
}

/**
 * Returns the steady temperature of a coil, °C: highest ambient temperature plus mean power times thermal resistance. A coil makes half
 * of a row's strokes, here at the highest voltage. `stuckOnW` is U²/R with the coil hot. Source: steady conduction, ΔT = P·R_th.
 */
export function coilHeat(input: SizingInput): CoilHeat {
  const { energyMj } = strokeAt(input.supplyMaxV, input.coilColdC, input);
  const coilMeanW = strokeW(input.dutyPulsesPerMin, energyMj) / 2;
  const coilRiseK = coilMeanW * input.coilKPerW;
  return {
    coilMeanW,
    coilRiseK,
    coilMaxC: Math.max(input.coilHotC, input.airHotC) + coilRiseK,
    stuckOnW: input.supplyMaxV ** 2 / copperOhm(input.coilOhm, input.coilHotC),
  };
}
