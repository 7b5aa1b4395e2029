import type { ForceRange } from './geometry.js';
import type { SizingInput } from './sizing-input.js';

/** Returns the current, A, at which a proportional valve sets a pressure (kPa): a straight line up to its maximum. Source: as in the plant. */
export function proportionalA(kpa: number, input: SizingInput): number {
  const share = Math.min(1, Math.max(0, kpa / input.proportionalMaxKpa));
  return input.proportionalMinA + (input.proportionalMaxA - input.proportionalMinA) * share;
}

/**
 * Returns the pulses per minute and row at which `rows` latching rows draw `watt`: watt·60/(2·rows·stroke energy), mJ above 0.
 * Source: a pulse is two strokes.
 */
export const breakEvenPulsesPerMin = (watt: number, rows: number, strokeMj: number): number => (watt * 60 * 1000) / (2 * rows * strokeMj);

/** Rows in the rule of thumb "24 latching rows need about the power of one proportional row". Common practice, no source. */
export const RULE_ROWS = 24;

export interface ProportionalComparison {
  readonly proportionalA: number;
  /** One row: power from the supply, and power in the coil. */
  readonly rowViW: number;
  readonly rowI2rW: number;
  readonly machineViW: number;
  readonly machineI2rW: number;
  /** Latching rows that draw the power of one proportional row at the machine's duty; at most 1e6. */
  readonly latchingRowsPerViRow: number;
  readonly latchingRowsPerI2rRow: number;
  /** Duty up to which the 24-row rule holds. */
  readonly breakEvenViPulsesPerMin: number;
  readonly breakEvenI2rPulsesPerMin: number;
  /** Power of latching valves over that of proportional ones, for the same rows. */
  readonly powerRatioVi: number;
  readonly powerRatioI2r: number;
}

/** Upper limit of the ratios, so that they stay finite. */
const RATIO_MAX = 1e6;

/**
 * Compares latching rows with continuously energised proportional valves at the typical working pressure, on two bases: V·I is the power
 * from the supply with a resistor or a linear driver, I²R the power in the coil alone, with a lossless switching driver. A latching stroke
 * counts with all its energy from the supply. `latchingRowW` is the mean power of a row, W. Source: as in the plant; Ohm's law.
 */
export function compareProportional(input: SizingInput, force: ForceRange, latchingRowW: number, strokeMj: number): ProportionalComparison {
  const amperes = proportionalA(force.workTypicalKpa, input);
  const [viW, i2rW] = [input.sourceV * amperes, input.proportionalOhm * amperes ** 2];
  const rowsIn = (watt: number): number => (latchingRowW > 0 ? Math.min(RATIO_MAX, watt / latchingRowW) : RATIO_MAX);
  const ratioTo = (watt: number): number => (watt > 0 ? Math.min(RATIO_MAX, latchingRowW / watt) : RATIO_MAX);
  return {
    proportionalA: amperes,
    rowViW: viW,
    rowI2rW: i2rW,
    machineViW: input.rowCount * viW,
    machineI2rW: input.rowCount * i2rW,
    latchingRowsPerViRow: rowsIn(viW),
    latchingRowsPerI2rRow: rowsIn(i2rW),
    breakEvenViPulsesPerMin: breakEvenPulsesPerMin(viW, RULE_ROWS, strokeMj),
    breakEvenI2rPulsesPerMin: breakEvenPulsesPerMin(i2rW, RULE_ROWS, strokeMj),
    powerRatioVi: ratioTo(viW),
    powerRatioI2r: ratioTo(i2rW),
  };
}
