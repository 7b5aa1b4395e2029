import { mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { sha256 } from '../common/hash.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';

/** What a compilation results in. */
export interface CacheEntry {
  readonly wasm: Uint8Array;
  /** Source map, as JSON. */
  readonly map: string;
  /** What the compiler printed: empty, or warnings. */
  readonly messages: string;
}

/** The file that makes an entry complete: hashes of its other files, and the messages. */
interface Seal {
  readonly wasm: string;
  readonly map: string;
  readonly messages: string;
}

const SEAL = 'entry.json';
/** About half a megabyte each. */
export const ENTRIES_MAX = 256;

/** An entry as it was written; undefined if it is missing or damaged. */
function readEntry(folder: string, name: string): CacheEntry | undefined {
  try {
    const seal = JSON.parse(readFileSync(join(folder, SEAL), 'utf8')) as Seal;
    const wasm = readFileSync(join(folder, `${name}.wasm`));
    const map = readFileSync(join(folder, `${name}.wasm.map`), 'utf8');
    if (sha256(wasm) !== seal.wasm || sha256(map) !== seal.map) return undefined;
    const now = new Date();
    utimesSync(folder, now, now);
    return { wasm, map, messages: seal.messages };
  } catch {
    return undefined;
  }
}

/** Writes each file under a temporary name first, the seal last. Two processes that write the same entry write the same bytes. */
function writeEntry(cache: string, folder: string, name: string, { wasm, map, messages }: CacheEntry): void {
  mkdirSync(folder, { recursive: true });
  const temporary = makeTemporaryFolder('.write-', cache);
  const seal: Seal = { wasm: sha256(wasm), map: sha256(map), messages };
  try {
    for (const [file, data] of [
      [`${name}.wasm.map`, map],
      [`${name}.wasm`, wasm],
      [SEAL, JSON.stringify(seal)],
    ] as const) {
      writeFileSync(join(temporary, file), data);
      renameSync(join(temporary, file), join(folder, file));
    }
  } finally {
    removeTemporaryFolder(temporary);
  }
}

/** Removes the entries that were not used for the longest time. */
function prune(cache: string): void {
  const names = readdirSync(cache);
  if (names.length <= ENTRIES_MAX) return;
  const usedAt = (name: string): number => statSync(join(cache, name), { throwIfNoEntry: false })?.mtimeMs ?? 0;
  const byUse = names.map((name) => ({ name, usedAt: usedAt(name) })).sort((a, b) => b.usedAt - a.usedAt);
  for (const { name } of byUse.slice(ENTRIES_MAX)) rmSync(join(cache, name), { recursive: true, force: true });
}

/**
 * Returns the entry of a key. `make` is called if the cache does not have it.
 * @param cache folder of the cache, in which each entry is a folder; it may be emptied at any time
 * @param name file name of the binary, without its ending
 * @param key hash of all that decides the result
 */
export async function cached(
  cache: string,
  name: string,
  key: string,
  make: () => Promise<CacheEntry>,
): Promise<CacheEntry & { readonly file: string }> {
  const folder = join(cache, key.slice(0, 32));
  const file = join(folder, `${name}.wasm`);
  const known = readEntry(folder, name);
  if (known !== undefined) return { ...known, file };
  const entry = await make();
  writeEntry(cache, folder, name, entry);
  prune(cache);
  return { ...entry, file };
}
