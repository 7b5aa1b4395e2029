import type { UnitName } from '../../shared/units.js';

export type CheckResult = 'pass' | 'marginal' | 'fail';

/** A design rule applied to a machine. */
export interface Check {
  readonly name: string;
  readonly result: CheckResult;
  readonly value: number;
  readonly operator: '<=' | '>=';
  /** It passes up to `limit`, is marginal up to `marginalLimit`, and fails beyond. */
  readonly limit: number;
  readonly marginalLimit: number;
  readonly unit: UnitName;
  /** Why it matters. */
  readonly reason: string;
  readonly remedy: string;
  readonly rule: string;
  readonly source: string;
}

export const RULE_OF_THUMB = 'rule of thumb';

/** The texts of a check: why it matters, what to do, the rule, where the rule comes from. */
type Texts = readonly [reason: string, remedy: string, rule: string, source: string];

const resultOf = (passes: boolean, isMarginal: boolean): CheckResult => (passes ? 'pass' : isMarginal ? 'marginal' : 'fail');

/** Returns a check of an upper limit; marginal up to `marginalLimit`. NaN fails. */
export function atMost(name: string, unit: UnitName, value: number, limit: number, marginalLimit: number, texts: Texts): Check {
  const [reason, remedy, rule, source] = texts;
  const result = resultOf(value <= limit, value <= marginalLimit);
  return { name, result, value, operator: '<=', limit, marginalLimit, unit, reason, remedy, rule, source };
}

/** Returns a check of a lower limit; marginal down to `marginalLimit`. NaN fails. */
export function atLeast(name: string, unit: UnitName, value: number, limit: number, marginalLimit: number, texts: Texts): Check {
  const [reason, remedy, rule, source] = texts;
  const result = resultOf(value >= limit, value >= marginalLimit);
  return { name, result, value, operator: '>=', limit, marginalLimit, unit, reason, remedy, rule, source };
}
