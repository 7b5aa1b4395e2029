import { parseNumber } from './parse-number.js';

/** A time in a run as somebody writes it: in seconds, or in ticks with a `t` behind the number. */
export interface Moment {
  readonly value: number;
  readonly isTicks: boolean;
}

/** What `parseMoment` takes, as it follows `it must be`. */
export const MOMENT_RULE = 'a number of seconds, such as 12.5, or a tick, such as 12500t';

/** Parses `12.5` or `12500t`; undefined for any other text. */
export function parseMoment(text: string): Moment | undefined {
  const isTicks = text.endsWith('t');
  const value = parseNumber(isTicks ? text.slice(0, -1) : text);
  if (value === undefined || value < 0 || value > Number.MAX_SAFE_INTEGER / 1e6) return undefined;
  return isTicks && !Number.isInteger(value) ? undefined : { value, isTicks };
}

/** Part of a tick that a written decimal may be off: 0.3 s at 1 kHz is 299.99999999999994 ticks. */
const ROUNDING = 1e-6;

/** The first tick that does not start before a time. */
export const firstTickOf = ({ value, isTicks }: Moment, tickHz: number): number =>
  isTicks ? value : Math.max(0, Math.ceil(value * tickHz - ROUNDING));

/** The last tick that does not start after a time. */
export const lastTickOf = ({ value, isTicks }: Moment, tickHz: number): number => (isTicks ? value : Math.floor(value * tickHz + ROUNDING));

/** `tick 12500 (12.500 s)`. */
export const tickTime = (tick: number, tickHz: number): string => `tick ${tick} (${(tick / tickHz).toFixed(3)} s)`;
