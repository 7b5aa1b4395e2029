import type { Review, RunReview } from '../../review/review.js';
import { type JunitCase, junitXml } from '../form/junit.js';
import { lineText, partingText, refusalsOf, strokesText, VERDICT_WORDS, whenText } from './review-text.js';

const KINDS = { same: 'passed', inner: 'failure', outputs: 'failure', stopped: 'error', refused: 'error' } as const satisfies Record<
  RunReview['verdict'],
  JunitCase['kind']
>;

function junitCase(run: RunReview): JunitCase {
  const { name, verdict, first, tickHz, strokes } = run;
  const where = first === undefined ? refusalsOf(run).join('; ') : `${whenText(first.tick, tickHz)}: ${partingText(first)}`;
  const text = first === undefined ? '' : [lineText(first), strokesText(strokes, tickHz)].filter(Boolean).join('\n');
  return { name, kind: KINDS[verdict], message: [VERDICT_WORDS[verdict], where].filter(Boolean).join('; '), text };
}

/** A review's verdicts as a JUnit XML report: one test case for each run; anything that differs is a failure, a stop or a refusal an error. */
export const reviewJunit = ({ runs }: Review): string => junitXml('latchbench compare', runs.map(junitCase));
