import type { CaseResult } from '../vector/replay-case.js';
import { difference, strokePhrase } from './verdicts.js';
import { escapeXml } from './xml.js';

function testCase(result: CaseResult): string {
  const head = `  <testcase classname="vectors" name="${escapeXml(result.name)}"`;
  if (result.verdict === 'same') return `${head}/>`;
  const kind = result.verdict === 'broken' ? 'error' : 'failure';
  return `${head}>\n    <${kind} message="${escapeXml(difference(result))}">${escapeXml(strokePhrase(result.comparison))}</${kind}>\n  </testcase>`;
}

/** The verdicts as a JUnit XML report: one test case for each vector. */
export function junitReport(results: readonly CaseResult[], seconds: number): string {
  const count = (verdict: string): number => results.filter((result) => result.verdict === verdict).length;
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<testsuite name="latchbench replay" tests="${results.length}" failures="${count('changed')}" errors="${count('broken')}" time="${seconds.toFixed(3)}">`,
    ...results.map(testCase),
    '</testsuite>',
    '',
  ].join('\n');
}
