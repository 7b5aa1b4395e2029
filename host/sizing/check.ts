import type { UnitName } from '../../shared/units.js';

export type Verdict = 'pass' | 'near' | 'fail';

/** What a design rule says of a machine. */
export interface Check {
  readonly name: string;
  readonly verdict: Verdict;
  readonly value: number;
  readonly is: '<=' | '>=';
  /** On this side of `limit` it passes; up to `nearLimit` it is near; beyond it fails. */
  readonly limit: number;
  readonly nearLimit: number;
  readonly unit: UnitName;
  /** Why it matters. */
  readonly reason: string;
  readonly remedy: string;
  readonly rule: string;
  readonly source: string;
}

export const COMMON_PRACTICE = 'common practice, no source';

/** Order of a check's words in a table: why it matters, what to do, the rule, where the rule is from. */
type Words = readonly [reason: string, remedy: string, rule: string, source: string];

const judge = (holds: boolean, nearly: boolean): Verdict => (holds ? 'pass' : nearly ? 'near' : 'fail');

/** A value that must not be above its limit; near up to `nearLimit`. NaN fails. */
export function atMost(name: string, unit: UnitName, value: number, limit: number, nearLimit: number, words: Words): Check {
  const [reason, remedy, rule, source] = words;
  const verdict = judge(value <= limit, value <= nearLimit);
  return { name, verdict, value, is: '<=', limit, nearLimit, unit, reason, remedy, rule, source };
}

/** A value that must not be below its limit; near down to `nearLimit`. NaN fails. */
export function atLeast(name: string, unit: UnitName, value: number, limit: number, nearLimit: number, words: Words): Check {
  const [reason, remedy, rule, source] = words;
  const verdict = judge(value >= limit, value >= nearLimit);
  return { name, verdict, value, is: '>=', limit, nearLimit, unit, reason, remedy, rule, source };
}
