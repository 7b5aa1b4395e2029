import { expect, it } from 'vitest';
import { junitXml } from '../../../../host/report/form/junit.js';
import { escapeXml } from '../../../../host/report/form/xml.js';

/** Char of XML 1.0, §2.2. */
const ALLOWED = /^[\t\n\r\u0020-\uD7FF\uE000-\uFFFD\u{10000}-\u{10FFFF}]*$/u;

it('every character can stand in XML, and is escaped where it has a meaning', () => {
  const units = Array.from({ length: 0x1_00_00 }, (_, code) => String.fromCharCode(code)).join(' ');
  const escaped = escapeXml(units);
  expect(escaped).toMatch(ALLOWED);
  expect(escaped).not.toMatch(/[<>"']|&(?!(amp|lt|gt|quot|apos);)/);
  expect(escapeXml('<a b="c">\'&\u0000\ud800\ufffe😀')).toBe('&lt;a b=&quot;c&quot;&gt;&apos;&amp;\\u0000\ufffd\ufffd😀');
});

it('a JUnit report stays well-formed', () => {
  const xml = junitXml('suite', [{ name: 'a\u001b"', kind: 'failure', message: '</failure>', text: ']]>\u0008' }]);
  expect(xml).toContain('<testcase classname="vectors" name="a\\u001b&quot;">');
  expect(xml).toContain('<failure message="&lt;/failure&gt;">]]&gt;\\u0008</failure>');
});
