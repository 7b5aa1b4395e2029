/** How much of a run stands in the page: the more runs differ, the less, so that the page of fifty stays below two megabytes. */
export interface Room {
  /** Lines that each list may have. */
  readonly lines: number;
  /** Whether values that are the same are written as text; else the script writes them out of the packed data. */
  readonly isAlikeText: boolean;
  /** Levels between the least and the most value of a plot over the whole run: a pixel has more than two even of the fewer. */
  readonly levels: number;
}

/** Lines that all lists of a kind have together, and each of them. */
const LINES_TOGETHER = 1000;
const LINES_LEAST = 20;
const LINES_MOST = 400;
const FEW_RUNS = 20;

/** The room that each run has where so many differ. */
export const roomFor = (differing: number): Room => ({
  lines: Math.max(LINES_LEAST, Math.min(LINES_MOST, Math.floor(LINES_TOGETHER / Math.max(1, differing)))),
  isAlikeText: differing <= FEW_RUNS,
  levels: differing <= FEW_RUNS ? 2047 : 255,
});
