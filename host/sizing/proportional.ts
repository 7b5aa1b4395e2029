import type { ForceRange } from './geometry.js';
import type { Given } from './given.js';

/** Current of a proportional valve, A, that sets a pressure, kPa: a straight line, not beyond its end. Source: as in the plant. */
export function proportionalA(kpa: number, given: Given): number {
  const share = Math.min(1, Math.max(0, kpa / given.proportionalMaxKpa));
  return given.proportionalMinA + (given.proportionalMaxA - given.proportionalMinA) * share;
}

/**
 * Pulses per minute and row at which `rows` latching rows draw as much as `watt`: watt·60/(2·rows·stroke energy), mJ above 0.
 * Source: a pulse is two strokes.
 */
export const breakEvenPulsesPerMin = (watt: number, rows: number, strokeMj: number): number => (watt * 60 * 1000) / (2 * rows * strokeMj);

/** Rows of the trade's rule: "24 latching rows need about the power of one proportional row". Common practice, no source. */
export const RULE_ROWS = 24;

export interface ProportionalComparison {
  readonly proportionalA: number;
  /** One row: what the supply gives, and what warms the coil. */
  readonly rowViW: number;
  readonly rowI2rW: number;
  readonly machineViW: number;
  readonly machineI2rW: number;
  /** Latching rows in the power of one proportional row, at the machine's duty; at most 1e6. */
  readonly latchingRowsPerViRow: number;
  readonly latchingRowsPerI2rRow: number;
  /** Duty above which the rule of 24 rows no longer holds. */
  readonly ruleHoldsToViPulsesPerMin: number;
  readonly ruleHoldsToI2rPulsesPerMin: number;
  /** Machine's own rows: power of latching valves over that of proportional ones. */
  readonly shareOfVi: number;
  readonly shareOfI2r: number;
}

/** More rows than this are told as this many. */
const ROWS_MOST = 1e6;

/**
 * Latching rows against continuously energised proportional valves at the usual working pressure, on both bases: V·I is what
 * the supply gives where a resistor or a linear driver takes the rest, I²R what the coil itself needs, with a switching driver of no
 * losses. A latching stroke counts with all energy from the supply. `latchingRowW` is a row's mean power, W.
 * Source: as in the plant; Ohm's law.
 */
export function compareProportional(given: Given, force: ForceRange, latchingRowW: number, strokeMj: number): ProportionalComparison {
  const amperes = proportionalA(force.workUsualKpa, given);
  const [viW, i2rW] = [given.sourceV * amperes, given.proportionalOhm * amperes ** 2];
  const rowsIn = (watt: number): number => (latchingRowW > 0 ? Math.min(ROWS_MOST, watt / latchingRowW) : ROWS_MOST);
  const shareOf = (watt: number): number => (watt > 0 ? Math.min(ROWS_MOST, latchingRowW / watt) : ROWS_MOST);
  return {
    proportionalA: amperes,
    rowViW: viW,
    rowI2rW: i2rW,
    machineViW: given.rowCount * viW,
    machineI2rW: given.rowCount * i2rW,
    latchingRowsPerViRow: rowsIn(viW),
    latchingRowsPerI2rRow: rowsIn(i2rW),
    ruleHoldsToViPulsesPerMin: breakEvenPulsesPerMin(viW, RULE_ROWS, strokeMj),
    ruleHoldsToI2rPulsesPerMin: breakEvenPulsesPerMin(i2rW, RULE_ROWS, strokeMj),
    shareOfVi: shareOf(viW),
    shareOfI2r: shareOf(i2rW),
  };
}
