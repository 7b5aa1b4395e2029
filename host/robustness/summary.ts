import type { CaseResult } from './measure.js';

/** Limits that the distribution over random machines must keep: our choice. */
export const AIMS = { median: 1.1, ninthDecile: 1.25, worst: 1.5 } as const;

/** Distribution of a ratio over cases. */
export interface Distribution {
  readonly median: number;
  readonly ninthDecile: number;
  readonly worst: number;
}

/** Quantile by linear interpolation between order statistics (Hyndman and Fan 1996, type 7). NaN counts as larger than all others. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].map((value) => (Number.isNaN(value) ? Number.POSITIVE_INFINITY : value)).sort((a, b) => a - b);
  const place = share * (sorted.length - 1);
  const low = sorted[Math.floor(place)] ?? Number.NaN;
  const high = sorted[Math.ceil(place)] ?? Number.NaN;
  return low === high ? low : low + (high - low) * (place - Math.floor(place));
}

export const distributionOf = (values: readonly number[]): Distribution => ({
  median: quantile(values, 0.5),
  ninthDecile: quantile(values, 0.9),
  worst: quantile(values, 1),
});

/** What all cases show together. */
export interface Summary {
  /**
   * Of random machines that pass their design checks: load RMS error over nominal, and what the controller adds, over nominal; the
   * latter has the aims. On the others the load is not the controller's to hold.
   */
  readonly loadRatio: Distribution;
  readonly addedRatio: Distribution;
  /** Random machines that fail a design check, and what the controller adds on all random machines. */
  readonly undersized: number;
  readonly addedRatioOfAll: Distribution;
  /** Cases of the table beyond their wanted ratio. */
  readonly beyondWanted: number;
  /** Cases with a row that was lost without a broken part, and with a broken safety rule. */
  readonly casesWithLostRows: number;
  readonly casesWithViolations: number;
  readonly falseAlarmsPerH: number;
}

/** Written so that NaN is beyond. */
export const isBeyond = ({ judged, wanted }: CaseResult): boolean => !(judged <= wanted);

export function summarise(results: readonly CaseResult[]): Summary {
  const random = results.filter(({ of }) => of.group === 'random');
  const sized = random.filter(({ undersized }) => undersized.length === 0);
  const single = results.filter(({ of }) => of.group !== 'random');
  return {
    loadRatio: distributionOf(sized.map(({ ratios }) => ratios.loadRmsN)),
    addedRatio: distributionOf(sized.map(({ addedRatio }) => addedRatio)),
    undersized: random.length - sized.length,
    addedRatioOfAll: distributionOf(random.map(({ addedRatio }) => addedRatio)),
    beyondWanted: single.filter(isBeyond).length,
    casesWithLostRows: results.filter(({ rowsLostPerH }) => rowsLostPerH > 0).length,
    casesWithViolations: results.filter(({ violations }) => violations.length > 0).length,
    falseAlarmsPerH: results.reduce((sum, { falseAlarmsPerH }) => sum + falseAlarmsPerH, 0) / results.length,
  };
}

/** An aim and whether it is reached. */
export interface AimResult {
  readonly aim: string;
  readonly measured: number;
  readonly max: number;
  readonly isReached: boolean;
}

/** Returns the aims with what was measured. Without random machines theirs are left out. */
export function aimsOf(summary: Summary): AimResult[] {
  const { addedRatio } = summary;
  const aim = (text: string, measured: number, max: number): AimResult => ({ aim: text, measured, max, isReached: measured <= max });
  const ofRandom = [
    aim('random machines that pass their design checks, error added to perfect, over nominal: median', addedRatio.median, AIMS.median),
    aim('the same: ninth decile', addedRatio.ninthDecile, AIMS.ninthDecile),
    aim('the same: worst', addedRatio.worst, AIMS.worst),
  ];
  return [
    ...(Number.isNaN(addedRatio.median) ? [] : ofRandom),
    aim('cases beyond their wanted ratio', summary.beyondWanted, 0),
    aim('cases with a row lost without a broken part', summary.casesWithLostRows, 0),
    aim('cases with a broken safety rule', summary.casesWithViolations, 0),
  ];
}
