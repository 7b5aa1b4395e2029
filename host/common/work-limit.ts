import { InputError, type InputErrorDetails } from './input-error.js';

/** Work that is done without asking: a file can demand any amount of it in a few lines. */
const SECONDS_MAX = 600;
const BYTES_MAX = 2 ** 30;

/** An estimate of work, for this computer. */
export type Work = { readonly seconds: number } | { readonly bytes: number };

const durationText = (seconds: number): string => {
  const minutes = Math.ceil(seconds / 60);
  return minutes < 120 ? `${minutes} min` : `${Math.ceil(minutes / 60)} h`;
};
const sizeText = (bytes: number): string => `${Math.ceil(bytes / 2 ** 30)} GiB`;

/**
 * Checks before work starts, or grows, that it is not much more than expected.
 * @param place the file that demands it
 * @param what is to be done: `10 runs of 48 rows`
 * @param isConfirmed the user has agreed to any amount
 * @throws InputError with the estimate
 */
export function checkWork(
  place: Pick<InputErrorDetails, 'file' | 'line' | 'column'>,
  what: string,
  work: Work,
  isConfirmed: boolean | undefined,
): void {
  if (isConfirmed === true) return;
  const [amount, max, problem, allowed] =
    'seconds' in work
      ? [work.seconds, SECONDS_MAX, `${what} would take about ${durationText(work.seconds)}`, durationText(SECONDS_MAX)]
      : [work.bytes, BYTES_MAX, `${what} would take about ${sizeText(work.bytes)}`, sizeText(BYTES_MAX)];
  // Written so that NaN is refused.
  if (amount <= max) return;
  throw new InputError({ ...place, problem, allowed: `at most ${allowed}`, hint: 'Pass --yes to run it anyway' });
}
