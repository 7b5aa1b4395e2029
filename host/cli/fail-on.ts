import type { Review, RunReview } from '../review/review.js';

/** What makes a comparison fail, from the least to the most. */
export const FAIL_ON = ['stopped', 'outputs', 'unaccepted', 'any'] as const;
export type FailOn = (typeof FAIL_ON)[number];

const isStopped = ({ verdict }: RunReview): boolean => verdict === 'stopped' || verdict === 'refused';

const FAILS: Readonly<Record<FailOn, (run: RunReview) => boolean>> = {
  stopped: isStopped,
  outputs: ({ verdict }) => verdict !== 'same' && verdict !== 'stateDiffers',
  // Only vectors have accepted outputs.
  unaccepted: (run) => run.acceptance === null || (run.kind === 'scenario' && isStopped(run)),
  any: ({ verdict }) => verdict !== 'same',
};

/** The runs of a review that make it fail. */
export const failingRuns = ({ runs }: Pick<Review, 'runs'>, failOn: FailOn = 'any'): RunReview[] => runs.filter(FAILS[failOn]);
