import type { FileWatch, Save } from '../../common/watch-files.js';

/** Thrown in work whose sources have been saved again meanwhile. */
class Outdated extends Error {}

/** What is done at the start and after each save. */
export interface WatchWork<Result> {
  /** Does the work. It calls `check` whenever it can be dropped, which throws if something has been saved meanwhile. */
  readonly work: (check: () => Promise<void>) => Promise<Result>;
  /** Called with the result. @param seconds from the last save, or from the start */
  readonly done: (result: Result, save: Save, seconds: number) => void;
  /** Called with an error that the user can correct. */
  readonly failed: (message: string, save: Save) => void;
  /** The time, in milliseconds. */
  readonly now: () => number;
}

/** Lets the events of the files in. */
const eventLoopTurn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/**
 * Does work now and after each save, until the watch is closed. What was saved meanwhile drops the work, because its result would be
 * about sources that are no more.
 * @param count maximum number of results and errors
 */
export async function watchLoop<Result>(files: FileWatch, { work, done, failed, now }: WatchWork<Result>, count: number): Promise<void> {
  const check = async (): Promise<void> => {
    await eventLoopTurn();
    if (files.hasChanged()) throw new Outdated();
  };
  let left = count;
  let deleted: readonly string[] = [];
  for (let save: Save | undefined = { atMs: now(), deleted: [] }; save !== undefined && left > 0; ) {
    deleted = [...deleted, ...save.deleted];
    const { atMs } = save;
    try {
      const result = await work(check);
      await check();
      done(result, { atMs, deleted }, (now() - atMs) / 1000);
      [left, deleted] = [left - 1, []];
    } catch (error) {
      const { isExpected, message } = error as Error & { isExpected?: boolean };
      if (!(error instanceof Outdated) && isExpected !== true) throw error;
      await eventLoopTurn();
      // The error of sources that are no more is of no use either.
      if (!(error instanceof Outdated) && !files.hasChanged()) {
        failed(message, { atMs, deleted });
        [left, deleted] = [left - 1, []];
      }
    }
    if (left > 0) save = await files.next();
  }
}
