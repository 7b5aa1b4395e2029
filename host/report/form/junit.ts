import { escapeXml } from './xml.js';

/** One test case of a JUnit report. */
export interface JunitCase {
  readonly name: string;
  /** failure: the result differs. error: the run did not finish. */
  readonly kind: 'passed' | 'failure' | 'error';
  readonly message: string;
  readonly text: string;
}

function testCase({ name, kind, message, text }: JunitCase): string {
  const head = `  <testcase classname="vectors" name="${escapeXml(name)}"`;
  if (kind === 'passed') return `${head}/>`;
  return `${head}>\n    <${kind} message="${escapeXml(message)}">${escapeXml(text)}</${kind}>\n  </testcase>`;
}

/** Returns a JUnit XML report of one suite. @param seconds run time, if known */
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
