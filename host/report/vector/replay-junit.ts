import { strokesText } from '../../replay/strokes.js';
import { VERDICT_TEXT } from '../../replay/verdict.js';
import type { VectorResult } from '../../vector/replay-vector.js';
import { junitXml } from '../form/junit.js';
import { JUNIT_KINDS } from '../form/verdict.js';
import { differenceText } from './verdicts.js';

/** The verdicts of a replay as a JUnit XML report with one test case for each vector. */
export const junitReport = (results: readonly VectorResult[], seconds: number): string =>
  junitXml(
    'latchbench replay',
    results.map((result) => ({
      name: result.name,
      kind: JUNIT_KINDS[result.verdict],
      message: [VERDICT_TEXT[result.verdict], differenceText(result)].filter(Boolean).join('; '),
      text: strokesText(result.comparison.strokes),
    })),
    seconds,
  );
