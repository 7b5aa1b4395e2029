import { VERDICT_TEXT, type Verdict, type VerdictCounts, verdictCountsText } from '../../replay/verdict.js';
import { colours } from './colours.js';
import type { JunitCase } from './junit.js';

const PAINT: Readonly<Record<Verdict, (text: string) => string>> = {
  stopped: colours.red,
  refused: colours.red,
  outputsDiffer: colours.yellow,
  timingDiffers: colours.yellow,
  stateDiffers: colours.cyan,
  same: colours.green,
};

/** A verdict, or another text about it, in the verdict's colour. */
export const paintVerdict = (verdict: Verdict, text = VERDICT_TEXT[verdict]): string => PAINT[verdict](text);

/** `1 stopped, 12 same`, each in its colour. */
export const paintCounts = (counts: VerdictCounts): string => verdictCountsText(counts, paintVerdict);

/** Any difference is a failure; a run without a result is an error. */
export const JUNIT_KINDS: Readonly<Record<Verdict, JunitCase['kind']>> = {
  stopped: 'error',
  refused: 'error',
  outputsDiffer: 'failure',
  timingDiffers: 'failure',
  stateDiffers: 'failure',
  same: 'passed',
};
