import { strokesText } from '../../replay/strokes.js';
import { VERDICT_TEXT } from '../../replay/verdict.js';
import type { Review, RunReview } from '../../review/review.js';
import { type JunitCase, junitXml } from '../form/junit.js';
import { JUNIT_KINDS } from '../form/verdict.js';
import { divergenceText, refusalsOf, runName, suspectedLines, tickText } from './phrases.js';

function junitCase(run: RunReview): JunitCase {
  const { verdict, first, tickHz, strokes } = run;
  const where = first === undefined ? refusalsOf(run).join('; ') : `${tickText(first.tick, tickHz)}: ${divergenceText(first)}`;
  const text = first === undefined ? '' : [...suspectedLines(first), strokesText(strokes, tickHz)].filter(Boolean).join('\n');
  return { name: runName(run), kind: JUNIT_KINDS[verdict], message: [VERDICT_TEXT[verdict], where].filter(Boolean).join('; '), text };
}

/** A review's verdicts as a JUnit XML report with one test case for each run. */
export const reviewJunit = ({ runs }: Review): string => junitXml('latchbench compare', runs.map(junitCase));
