import { escapeXml } from './xml.js';

/** One test case of a JUnit report. */
export interface JunitCase {
  readonly name: string;
  /** failure: it came out otherwise. error: it did not come to an end. */
  readonly kind: 'passed' | 'failure' | 'error';
  readonly message: string;
  readonly text: string;
}

function testCase({ name, kind, message, text }: JunitCase): string {
  const head = `  <testcase classname="vectors" name="${escapeXml(name)}"`;
  if (kind === 'passed') return `${head}/>`;
  return `${head}>\n    <${kind} message="${escapeXml(message)}">${escapeXml(text)}</${kind}>\n  </testcase>`;
}

/** A JUnit XML report of one suite. @param seconds that it took, where known */
export function junitXml(suite: string, cases: readonly JunitCase[], seconds?: number): string {
  const count = (kind: JunitCase['kind']): number => cases.filter((one) => one.kind === kind).length;
  const time = seconds === undefined ? '' : ` time="${seconds.toFixed(3)}"`;
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<testsuite name="${escapeXml(suite)}" tests="${cases.length}" failures="${count('failure')}" errors="${count('error')}"${time}>`,
    ...cases.map(testCase),
    '</testsuite>',
    '',
  ].join('\n');
}
