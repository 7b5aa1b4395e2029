import type { UnitName } from '../../shared/units.js';

/** What may be made of a figure of all rows. */
export const OVERS = ['mean', 'least', 'most'] as const;
export type Over = (typeof OVERS)[number];

/** What a figure is made from: the ticks in which its row is assessed, or the whole run. */
type During = 'assessed' | 'run';

interface FigureKind<Name extends string> {
  /** Ends in its unit; a number of things has none. */
  readonly name: Name;
  readonly unit: UnitName;
  /** Which way it gets worse. */
  readonly worse: 'more' | 'less';
  readonly help: string;
}

export interface RowFigure<Name extends string = string> extends FigureKind<Name> {
  readonly scope: 'row';
  readonly during: During;
  /** What a requirement that doesn't say otherwise judges. */
  readonly over: Over;
}

export interface BankFigure<Name extends string = string> extends FigureKind<Name> {
  readonly scope: 'bank';
}

export type Figure = RowFigure | BankFigure;

const row =
  (during: During) =>
  <const Name extends string>(name: Name, unit: UnitName, over: Over, worse: 'more' | 'less', help: string): RowFigure<Name> => ({
    scope: 'row',
    during,
    name,
    unit,
    over,
    worse,
    help,
  });
const bank = <const Name extends string>(name: Name, unit: UnitName, worse: 'more' | 'less', help: string): BankFigure<Name> => ({
  scope: 'bank',
  name,
  unit,
  worse,
  help,
});
const assessed = row('assessed');
const run = row('run');

/** Corner of the low-pass behind which the load is judged. Faster load is made by wheel and soil, and no valve can change it. */
export const LOAD_FILTER_HZ = 1;

/**
 * A row is assessed once its bank has been working, with the row's switch on, for so long without a break. The low-pass's swing
 * fades as exp(-√2·π·t·1 Hz): after 2 s it has forgotten all but 0.02 % of the lowering.
 */
export const SETTLED_S = 2;

/**
 * Half the width of the band around the target. Our choice: about half of the light band of gauge-wheel load, 180 to 490 N
 * (Hanna, Steward, Aldinger 2010, Applied Engineering in Agriculture 26(4):551-556).
 */
export const BAND_N = 150;

/** Chamber pressure cycles with a smaller range are not counted: nothing tires from them. Our choice. */
export const CYCLE_LEAST_KPA = 500;

/** Figures of each row. The load is that of the gauge wheels as it really is; the error is the low-passed load less the target in force. */
// biome-ignore format: a table reads best with one figure to a line
export const ROW_FIGURES = [
  assessed('loadRmsN', 'newton', 'mean', 'more', `Root of the mean square of the error of the load low-passed at ${LOAD_FILTER_HZ} Hz`),
  assessed('inBandPercent', 'percent', 'mean', 'less', `Time that the load low-passed at ${LOAD_FILTER_HZ} Hz is within ${BAND_N} N of the target`),
  assessed('rawInBandPercent', 'percent', 'mean', 'less', `Time that the load as it is, not low-passed, is within ${BAND_N} N of the target; wheel and soil decide it more than any valve`),
  assessed('liftOffPercent', 'percent', 'mean', 'more', 'Time that the gauge wheels carry nothing'),
  assessed('meanLoadN', 'newton', 'mean', 'less', 'Mean load'),
  assessed('errorP50N', 'newton', 'mean', 'more', 'Size of error that half of the time is not above, to 1 N, at most 4095 N'),
  assessed('errorP90N', 'newton', 'mean', 'more', 'Size of error that 90 % of the time is not above, likewise'),
  assessed('errorP99N', 'newton', 'mean', 'more', 'Size of error that 99 % of the time is not above, likewise'),
  assessed('travelLeastMm', 'millimetre', 'least', 'less', 'Least height of the row over level travel'),
  assessed('travelMostMm', 'millimetre', 'most', 'more', 'Greatest height of the row over level travel'),
  run('pulsesPerMin', 'perMinute', 'mean', 'more', 'Openings ordered of both valves'),
  run('strokesPerMin', 'perMinute', 'mean', 'more', 'Strokes ordered of both valves'),
  run('coilW', 'watt', 'mean', 'more', 'Mean of the power that the coils draw, volts times amperes'),
  run('coilLossW', 'watt', 'mean', 'more', 'Part of the coils’ power that warms their windings, I²R'),
  run('oilLpm', 'litrePerMinute', 'mean', 'more', 'Mean flow from the rail'),
  run('reboundW', 'watt', 'most', 'more', 'Mean heat of the rebound damping'),
  run('chamberLeastKpa', 'kilopascal', 'least', 'less', 'Lowest chamber pressure'),
  run('chamberMostKpa', 'kilopascal', 'most', 'more', 'Highest chamber pressure'),
  run('longestWaitMs', 'millisecond', 'most', 'more', 'Longest that a wanted stroke has waited for its turn'),
  run('longestCloseWaitMs', 'millisecond', 'most', 'more', 'Longest that the end of a pulse has waited for its turn'),
  run('missedStrokes', 'none', 'most', 'more', 'Strokes that did not move their valve'),
  run('bothOpenMs', 'millisecond', 'most', 'more', 'Time that both valves are more than half open'),
  run('openAtEnd', 'none', 'most', 'more', 'Valves more than half open in the last tick'),
  run('pressureCycles', 'none', 'mean', 'more', `Cycles of chamber pressure with a range of ${CYCLE_LEAST_KPA} kPa or more, two halves as one (ASTM E1049 rainflow)`),
];

/** Figures of the bank, over the whole run. */
// biome-ignore format: a table reads best with one figure to a line
export const BANK_FIGURES = [
  bank('assessedS', 'second', 'less', `Time for which rows are assessed: the bank has been working for ${SETTLED_S} s or more`),
  bank('oilTotalLpm', 'litrePerMinute', 'more', 'Mean flow from the rail into all rows'),
  bank('hydraulicW', 'watt', 'more', 'Mean power drawn from the rail'),
  bank('coilTotalW', 'watt', 'more', 'Mean of the power that all coils draw, volts times amperes'),
  bank('coilTotalLossW', 'watt', 'more', 'Part of the coils’ power that warms their windings, I²R'),
  bank('bankStrokesPerMin', 'perMinute', 'more', 'Strokes ordered in all rows'),
  bank('peakCoilsA', 'ampere', 'more', 'Highest current of all coils'),
  bank('leastBankV', 'volt', 'less', 'Lowest voltage at the bank'),
  bank('leastRailKpa', 'kilopascal', 'less', 'Lowest rail pressure'),
  bank('missedStrokesTotal', 'none', 'more', 'Strokes in all rows that did not move their valve'),
  bank('faultsRaised', 'none', 'more', 'Times that a fault was raised'),
];

/** All figures: what texts, requirements and documents are made from. */
export const FIGURES: readonly Figure[] = [...ROW_FIGURES, ...BANK_FIGURES];

export type RowFigureName = (typeof ROW_FIGURES)[number]['name'];
export type BankFigureName = (typeof BANK_FIGURES)[number]['name'];
export type FigureName = RowFigureName | BankFigureName;

/** The time for which a fault was raised. */
export interface FaultSpan {
  readonly name: string;
  readonly scope: 'bank' | 'row';
  /** Counted from 1; 0 for the bank. */
  readonly row: number;
  /** Begin of the first tick with it. */
  readonly fromS: number;
  /** Begin of the first tick without it; the run's end if it was still raised then. */
  readonly toS: number;
  readonly isRaisedAtEnd: boolean;
}

/** How many cycles of chamber pressure had a range from `fromKpa` to below the next one's; halves count as such. */
export interface CycleBin {
  readonly fromKpa: number;
  readonly count: number;
}

/** What a run comes to. A figure of which nothing could be known, as of a row that was never assessed, is NaN; in JSON null. */
export interface Figures {
  readonly rows: number;
  readonly seconds: number;
  readonly byRow: Readonly<Record<RowFigureName, readonly number[]>>;
  /** Over the rows that were assessed, or all of them where a figure is of the whole run. */
  readonly over: Readonly<Record<RowFigureName, Readonly<Record<Over, number>>>>;
  readonly bank: Readonly<Record<BankFigureName, number>>;
  /** In order of their begin; of a fault that flickers in a row, the first 20 times. */
  readonly faults: readonly FaultSpan[];
  /** Of all rows; bins of 5 bar that are not empty, in ascending order. */
  readonly pressureCycles: readonly CycleBin[];
}
