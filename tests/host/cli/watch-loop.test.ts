import { describe, expect, it } from 'vitest';
import { watchLoop } from '../../../host/cli/run/watch-loop.js';
import { InputError } from '../../../host/common/input-error.js';
import type { FileWatch, Save } from '../../../host/common/watch-files.js';

/** A watch whose saves are made by the test. */
class Saves implements FileWatch {
  readonly #saves: Save[] = [];
  #wake: ((save: Save | undefined) => void) | undefined;

  save(atMs: number, ...deleted: string[]): void {
    this.#saves.push({ atMs, deleted });
    this.#wake?.(this.#take());
    this.#wake = undefined;
  }

  /** Several saves in a row count as the last one. */
  #take(): Save | undefined {
    const all = this.#saves.splice(0);
    return { atMs: all.at(-1)?.atMs ?? 0, deleted: all.flatMap(({ deleted }) => deleted) };
  }

  hasChanged(): boolean {
    return this.#saves.length > 0;
  }

  next(): Promise<Save | undefined> {
    if (this.hasChanged()) return Promise.resolve(this.#take());
    return new Promise((resolve) => {
      this.#wake = resolve;
    });
  }

  close(): void {}
}

/** Runs the loop; each step of `works` is one call of the work at its time, which may save. */
async function run(count: number, works: ((saves: Saves) => unknown)[]): Promise<unknown[]> {
  const saves = new Saves();
  const printed: unknown[] = [];
  let calls = 0;
  const work = async (check: () => Promise<void>): Promise<string> => {
    const number = calls++;
    await works[number]?.(saves);
    await check();
    printed.push(`checked ${number}`);
    return `result ${number}`;
  };
  const done = (result: string, { deleted }: Save, seconds: number): void => {
    printed.push([result, seconds, ...deleted]);
    if (calls < works.length) saves.save(2000);
  };
  const failed = (message: string, { deleted }: Save): void => void printed.push([message, ...deleted]);
  await watchLoop(saves, { work, done, failed, now: () => 10_000 }, count);
  return printed;
}

describe('the loop of watch', () => {
  it('gives a result at the start and after a save, with the time since it', async () => {
    expect(await run(2, [() => {}, () => {}])).toEqual(['checked 0', ['result 0', 0], 'checked 1', ['result 1', 8]]);
  });

  it('drops the work in which something is saved, and counts the time from the last save', async () => {
    const saved = (saves: Saves): void => {
      saves.save(3000);
      saves.save(4000);
    };
    expect(await run(1, [saved, () => {}])).toEqual(['checked 1', ['result 1', 6]]);
  });

  it('drops the error of sources that were saved meanwhile', async () => {
    const broken = (saves: Saves): never => {
      saves.save(3000);
      throw new InputError({ file: 'a.ts', problem: 'it does not compile' });
    };
    expect(await run(1, [broken, () => {}])).toEqual(['checked 1', ['result 1', 7]]);
  });

  it('names a file that was deleted, also during work that was dropped', async () => {
    const first = (saves: Saves): void => saves.save(3000, 'a.ts');
    const second = (saves: Saves): void => saves.save(4000, 'b.ts');
    expect(await run(1, [first, second, () => {}])).toEqual(['checked 2', ['result 2', 6, 'a.ts', 'b.ts']]);
  });

  it('shows an error that the user can correct, and throws others', async () => {
    const wrong = (): never => {
      throw new InputError({ file: 'a.ts', problem: 'it does not compile' });
    };
    expect(await run(1, [wrong])).toEqual([['a.ts: it does not compile.']]);
    await expect(run(1, [() => Promise.reject(new Error('ours'))])).rejects.toThrow('ours');
  });
});
