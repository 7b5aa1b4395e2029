import type { VectorResult } from '../../vector/replay-vector.js';
import { junitXml } from '../form/junit.js';
import { difference, strokePhrase } from './verdicts.js';

const KINDS = { same: 'passed', changed: 'failure', broken: 'error' } as const;

/** The verdicts as a JUnit XML report: one test case for each vector. */
export const junitReport = (results: readonly VectorResult[], seconds: number): string =>
  junitXml(
    'latchbench replay',
    results.map((result) => ({
      name: result.name,
      kind: KINDS[result.verdict],
      message: difference(result),
      text: strokePhrase(result.comparison),
    })),
    seconds,
  );
