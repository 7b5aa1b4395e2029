/** How the cells of a time column are read. */
export interface TimeFormat {
  /** Whether it says the day; otherwise times count from midnight, and the day changes at a step back of more than half a day. */
  readonly hasDate: boolean;
  /** Returns ns since 1970, or since midnight; undefined if the text has another form, or is no time that exists. */
  parse(text: string): bigint | undefined;
}

/** Parts of a pattern: text that stands for them, and digits. `f` is a fraction of as many digits as there are. */
const TOKENS = {
  YYYY: '(?<year>\\d{4})',
  YY: '(?<year>\\d{2})',
  MM: '(?<month>\\d{1,2})',
  DD: '(?<day>\\d{1,2})',
  hh: '(?<hour>\\d{1,2})',
  mm: '(?<minute>\\d{1,2})',
  ss: '(?<second>\\d{1,2})',
  AM: '(?<half>[AaPp][Mm])',
} as const;
const TOKEN = /YYYY|YY|MM|DD|hh|mm|ss|AM|[.,]f+|f+/g;
const FRACTION = /[.,]?f+/;

/** What a pattern must be, for errors. */
export const PATTERN_RULE =
  'date, or a pattern of YYYY, YY, MM, DD, hh, mm, ss, fff (fraction of a second) and AM, such as "DD.MM.YYYY hh:mm:ss.fff" or "hh:mm:ss.fff"';

const literal = (text: string): string => text.replaceAll(/[.*+?^${}()|[\]\\/]/g, '\\$&');

/** The pattern as a regular expression; undefined if it lacks hours and minutes, has a part twice, or part of a date. */
function regExpOf(pattern: string): RegExp | undefined {
  const names: readonly string[] = pattern.match(TOKEN) ?? [];
  const has = (...some: string[]): boolean => some.some((one) => names.includes(one));
  const parts = [has('YYYY', 'YY'), has('MM'), has('DD')];
  const isDate = parts.every(Boolean);
  if (!has('mm') || !has('ss') || (!isDate && parts.some(Boolean)) || new Set(names).size < names.length) return undefined;
  if (has('YYYY') && has('YY')) return undefined;
  let source = '';
  let at = 0;
  for (const { 0: token, index } of pattern.matchAll(TOKEN)) {
    source += literal(pattern.slice(at, index));
    // Many programs leave out a fraction that is zero.
    source += FRACTION.test(token) ? '(?:[.,](?<fraction>\\d{1,9}))?' : TOKENS[token as keyof typeof TOKENS];
    at = index + token.length;
  }
  const rest = pattern.slice(at);
  return /[A-Za-z]/.test(rest.replace(/^Z$/, '')) ? undefined : new RegExp(`^${source}${literal(rest)}$`);
}

type Parts = Readonly<Record<string, string | undefined>>;

/** Hours of the day, by a clock of 24 hours or, with `half`, of 12. */
function hourOf({ hour = '0', half }: Parts): number {
  if (half === undefined) return Number(hour);
  return (Number(hour) % 12) + (half.toLowerCase() === 'pm' ? 12 : 0);
}

/** Days since 1970; undefined if there is no such day. */
function dayOf({ year = '', month = '', day = '' }: Parts): number | undefined {
  const full = year.length === 2 ? 2000 + Number(year) : Number(year);
  const date = new Date(Date.UTC(full, Number(month) - 1, Number(day)));
  if (date.getUTCMonth() !== Number(month) - 1 || date.getUTCDate() !== Number(day)) return undefined;
  return date.getTime() / 86_400_000;
}

const DAY_S = 86_400;

/**
 * Compiles a pattern of a time column, such as `DD.MM.YYYY hh:mm:ss.fff`. Years of two digits are from 2000 on.
 * @param offsetMinutes of the log's time zone from UTC, for patterns with a date
 * @returns undefined if it is not a pattern, see `PATTERN_RULE`
 */
export function compileTimeFormat(pattern: string, offsetMinutes = 0): TimeFormat | undefined {
  const form = regExpOf(pattern);
  if (form === undefined) return undefined;
  const hasDate = pattern.includes('YY');
  return {
    hasDate,
    parse: (text) => {
      const parts = form.exec(text.trim())?.groups;
      if (parts === undefined) return undefined;
      const [hour, minute, second] = [hourOf(parts), Number(parts.minute), Number(parts.second)];
      const day = hasDate ? dayOf(parts) : 0;
      if (day === undefined || hour > 23 || minute > 59 || second > 59) return undefined;
      const seconds = day * DAY_S + hour * 3600 + minute * 60 + second - (hasDate ? offsetMinutes * 60 : 0);
      return BigInt(seconds) * 1_000_000_000n + BigInt((parts.fraction ?? '').padEnd(9, '0'));
    },
  };
}

/** Minutes of an offset from UTC such as `+02:00` or `Z`; undefined if the text is not one. */
export function parseOffset(text: string): number | undefined {
  if (text === 'Z') return 0;
  const [, sign, hours = '', minutes = ''] = /^([+-])(\d\d):?(\d\d)$/.exec(text) ?? [];
  if (sign === undefined || Number(hours) > 14 || Number(minutes) > 59) return undefined;
  return (sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes));
}
