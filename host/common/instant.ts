/** ISO 8601, date and time: 2026-04-30T07:12:00.5Z. Without a time it is midnight, without an offset UTC. */
const DATE = /^(\d{4})-(\d\d)-(\d\d)(?:[T ](\d\d):(\d\d)(?::(\d\d)(?:[.,](\d{1,9}))?)?(?:Z|([+-])(\d\d):?(\d\d))?)?$/;

/** Years in which all times of a recording have a place: MCAP counts ns from 1970 on. */
const YEAR_MIN = 1970;
const YEAR_MAX = 2199;

/** What a text must be that `parseInstant` reads. */
export const INSTANT_RULE = `a date from ${YEAR_MIN} to ${YEAR_MAX}, as 2026-04-30T07:12:00.5Z (UTC) or with an offset such as +02:00`;

/** Tells whether an instant, ns since 1970, is in one of those years. */
export function isInstant(ns: bigint): boolean {
  return ns >= 0n && ns < BigInt(Date.UTC(YEAR_MAX + 1, 0)) * 1_000_000n;
}

/** Returns the ns since 1970, UTC, or undefined if the text is not a date and time, or one that does not exist. */
export function parseInstant(text: string): bigint | undefined {
  const found = DATE.exec(text.trim());
  if (found === null) return undefined;
  const [year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0] = found.slice(1, 7).map((part) => Number(part ?? 0));
  const ms = Date.UTC(year, month - 1, day, hour, minute, second);
  // Date.UTC carries 30 February over to March, and 24:00 to the next day.
  const written = [year, month, day, hour, minute, second].map((part) => String(part).padStart(2, '0'));
  const exists = new Date(ms).toISOString().slice(0, 19).split(/[-T:]/).join() === written.join();
  const [fraction = '', sign, offsetHour = '0', offsetMinute = '0'] = found.slice(7);
  const offsetMinutes = Number(offsetHour) * 60 + Number(offsetMinute);
  if (!exists || Number(offsetHour) > 14 || Number(offsetMinute) > 59) return undefined;
  const utc = ms - (sign === '-' ? -1 : 1) * offsetMinutes * 60_000;
  const ns = BigInt(utc) * 1_000_000n + BigInt(fraction.padEnd(9, '0'));
  return isInstant(ns) ? ns : undefined;
}

/** Writes ns since 1970 as ISO 8601 in UTC, with as many digits of the second as it needs. */
export function formatInstant(ns: bigint): string {
  const seconds = new Date(Number(ns / 1_000_000_000n) * 1000).toISOString().slice(0, 19);
  const fraction = String(ns % 1_000_000_000n)
    .padStart(9, '0')
    .replace(/0+$/, '');
  return `${seconds}${fraction === '' ? '' : `.${fraction}`}Z`;
}
