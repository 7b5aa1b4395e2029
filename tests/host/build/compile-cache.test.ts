import { existsSync, readdirSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { type CacheEntry, cached, ENTRIES_MAX } from '../../../host/build/compile-cache.js';
import { sha256 } from '../../../host/common/hash.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const ENTRY: CacheEntry = { wasm: Buffer.from([0, 97, 115, 109]), map: '{}', messages: 'WARNING' };
const KEY = '0123456789abcdef'.repeat(4);

let turn = 0;
let cache = '';
let made = 0;
const make = async (): Promise<CacheEntry> => {
  made += 1;
  return ENTRY;
};
const get = (key = KEY) => cached(cache, 'thing', key, make);

beforeEach(() => {
  turn += 1;
  made = 0;
  cache = join(folder, String(turn), 'builds');
});

describe('the cache of compilations', () => {
  it('makes an entry once, and gives the same bytes again', async () => {
    const first = await get();
    expect(await get()).toEqual(first);
    expect(first).toMatchObject(ENTRY);
    expect([readFileSync(first.file), readFileSync(`${first.file}.map`, 'utf8')]).toEqual([ENTRY.wasm, ENTRY.map]);
    expect(made).toBe(1);
  });

  it('makes another entry for another key', async () => {
    await get();
    await get(KEY.replace('0', '1'));
    expect(made).toBe(2);
  });

  it.each(['thing.wasm', 'thing.wasm.map', 'entry.json'])('makes an entry again whose %s is damaged or missing', async (name) => {
    const damaged = join(dirname((await get()).file), name);
    const text = readFileSync(damaged);
    const damages = [() => truncateSync(damaged, 1), () => writeFileSync(damaged, 'something else'), () => rmSync(damaged)];
    for (const [index, damage] of damages.entries()) {
      damage();
      expect(await get()).toMatchObject(ENTRY);
      expect([made, readFileSync(damaged)]).toEqual([index + 2, text]);
    }
  });

  it('is made again where it was emptied', async () => {
    await get();
    rmSync(cache, { recursive: true });
    expect(await get()).toMatchObject(ENTRY);
    expect(made).toBe(2);
  });

  it('serves two that want the same entry at once', async () => {
    const [one, other] = await Promise.all([get(), get()]);
    expect(one).toEqual(other);
    expect(readdirSync(cache)).toHaveLength(1);
  });

  it('keeps nothing of what fails', async () => {
    const fail = (): Promise<CacheEntry> => Promise.reject(new Error('does not compile'));
    await expect(cached(cache, 'thing', KEY, fail)).rejects.toThrow('does not compile');
    expect(existsSync(cache)).toBe(false);
  });

  it('drops what was not used for the longest time', async () => {
    const keyOf = (index: number): string => sha256(String(index));
    for (let index = 0; index <= ENTRIES_MAX; index++) await get(keyOf(index));
    expect(readdirSync(cache)).toHaveLength(ENTRIES_MAX);
    await get(keyOf(ENTRIES_MAX));
    expect(made).toBe(ENTRIES_MAX + 1);
  });
});
