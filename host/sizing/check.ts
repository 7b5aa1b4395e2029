import type { UnitName } from '../../shared/units.js';
import { type Remedy, remedyText, type Subject } from './remedies.js';

export type CheckResult = 'pass' | 'marginal' | 'fail';

/** A value under milder conditions, on which a check is marginal instead of failing. */
export interface Milder {
  readonly value: number;
  /** The conditions, as in `0.32 s with oil at 40 °C`. */
  readonly when: string;
}

/** A design rule applied to a machine. */
export interface Check {
  readonly name: string;
  readonly result: CheckResult;
  readonly value: number;
  readonly operator: '<=' | '>=';
  /** It passes up to `limit`, is marginal up to `marginalLimit`, and fails beyond. */
  readonly limit: number;
  readonly marginalLimit: number;
  /** If present, the check is marginal if this value is within `marginalLimit`, whatever `value` is. */
  readonly milder?: Milder;
  readonly unit: UnitName;
  /** Why it matters. */
  readonly reason: string;
  readonly remedy: string;
  readonly rule: string;
  readonly source: string;
}

/** A check whose remedies have not been compared with those of other checks. */
export interface Draft extends Omit<Check, 'remedy'> {
  readonly remedies: readonly Remedy[];
}

export const RULE_OF_THUMB = 'rule of thumb';

/** The texts of a check: why it matters, what to do, the rule, where the rule comes from. */
type Texts = readonly [reason: string, remedies: readonly Remedy[], rule: string, source: string];

const resultOf = (passes: boolean, isMarginal: boolean): CheckResult => (passes ? 'pass' : isMarginal ? 'marginal' : 'fail');

/** A limit, and the one up to which a check is marginal, of its value or of that under milder conditions. */
interface Limits {
  readonly limit: number;
  readonly marginalLimit: number;
  readonly milder?: Milder;
}

function draft(name: string, unit: UnitName, operator: '<=' | '>=', value: number, limits: Limits, texts: Texts): Draft {
  const [reason, remedies, rule, source] = texts;
  // NaN fails.
  const holds = (one: number, limit: number): boolean => (operator === '<=' ? one <= limit : one >= limit);
  const result = resultOf(holds(value, limits.limit), holds(limits.milder?.value ?? value, limits.marginalLimit));
  return { name, result, value, operator, ...limits, unit, reason, remedies, rule, source };
}

/** Returns a check of an upper limit; marginal up to `marginalLimit`. NaN fails. */
export const atMost = (name: string, unit: UnitName, value: number, limit: number, marginalLimit: number, texts: Texts): Draft =>
  draft(name, unit, '<=', value, { limit, marginalLimit }, texts);

/** Returns a check of a lower limit; marginal down to `marginalLimit`. NaN fails. */
export const atLeast = (name: string, unit: UnitName, value: number, limit: number, marginalLimit: number, texts: Texts): Draft =>
  draft(name, unit, '>=', value, { limit, marginalLimit }, texts);

/** Returns a check of an upper limit that is marginal if the value under milder conditions keeps the same limit. NaN fails. */
export const atMostOrMilder = (name: string, unit: UnitName, value: number, limit: number, milder: Milder, texts: Texts): Draft =>
  draft(name, unit, '<=', value, { limit, marginalLimit: limit, milder }, texts);

/** Returns a check of a lower limit that is marginal if the value under milder conditions keeps the same limit. NaN fails. */
export const atLeastOrMilder = (name: string, unit: UnitName, value: number, limit: number, milder: Milder, texts: Texts): Draft =>
  draft(name, unit, '>=', value, { limit, marginalLimit: limit, milder }, texts);

/** Returns checks with their remedies as text, each of which says which other check it works against. @param absent as in `remedyText` */
export const withRemedies = (drafts: readonly Draft[], absent: readonly Subject[]): Check[] =>
  drafts.map(({ remedies, ...check }) => ({ ...check, remedy: remedyText({ ...check, remedies }, drafts, absent) }));
