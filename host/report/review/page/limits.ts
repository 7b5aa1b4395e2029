/** How much of a run the page contains: less if more runs differ, so that a page of thirty runs has a megabyte, and one of fifty less than two. */
export interface Limits {
  /** Maximum number of lines of a list. */
  readonly lines: number;
  /** Whether values that are equal on both sides are written as text; otherwise the script writes them from the packed data. */
  readonly hasEqualValues: boolean;
  /** Levels between minimum and maximum of a plot over the whole run; even the smaller number exceeds the pixels. */
  readonly levels: number;
}

/** Lines of all lists of a kind together, and of a single list. */
const LINES_TOTAL = 600;
const LINES_MIN = 20;
const LINES_MAX = 400;
const FEW_RUNS = 20;

/** Limits for each run if `differing` runs differ. */
export const limitsFor = (differing: number): Limits => ({
  lines: Math.max(LINES_MIN, Math.min(LINES_MAX, Math.floor(LINES_TOTAL / Math.max(1, differing)))),
  hasEqualValues: differing <= FEW_RUNS,
  levels: differing <= FEW_RUNS ? 2047 : 127,
});
