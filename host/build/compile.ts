import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { dirname, join, posix } from 'node:path';
import { sha256 } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { WorkerPool } from '../common/pool.js';
import { dependencyFile, TOOL_ROOT } from '../common/project.js';
import { writeAllAtomic } from '../common/write-atomic.js';
import { type CacheEntry, cached } from './compile-cache.js';
import { type Compilation, compileInMemory, optionWords } from './compile-in-memory.js';

/** The cache of everything that this program compiles, for whatever project. */
export const CACHE = join(TOOL_ROOT, 'dist', 'builds');

const versionOf = (name: string): string => String(JSON.parse(readFileSync(dependencyFile(name, 'package.json'), 'utf8')).version);

/** Versions of the compiler and of its optimiser. */
const compilerVersions = (): string[] => ['assemblyscript', 'binaryen'].map(versionOf);

function keyOf({ name, sources, entry, options, section }: Compilation): string {
  const files = [...sources].sort(([a], [b]) => (a < b ? -1 : 1));
  return sha256(JSON.stringify([compilerVersions(), name, entry, optionWords(options), section ?? null, files]));
}

/** A compiled binary. */
export interface Compiled extends CacheEntry {
  /** Where the cache has the binary; its source map lies beside it. */
  readonly file: string;
}

/** Time and heap for sources of somebody else; the release takes 10 s and 300 MiB on a slow computer. */
const FOREIGN_SECONDS_MAX = 180;
const FOREIGN_HEAP_MIB = 2048;

let foreignPool: WorkerPool<Compilation, CacheEntry> | undefined;

/** Compiles in a worker thread, which is ended if it takes too long. @throws InputError with the compiler's messages, or if it was ended */
async function compileForeign(compilation: Compilation): Promise<CacheEntry> {
  foreignPool ??= new WorkerPool(new URL('./compile-worker.js', import.meta.url), undefined, 1, FOREIGN_HEAP_MIB);
  try {
    return await foreignPool.runOne(compilation, FOREIGN_SECONDS_MAX);
  } catch (error) {
    if ((error as { isExpected?: boolean }).isExpected === true) throw error;
    const limits = `${FOREIGN_SECONDS_MAX} s or ${FOREIGN_HEAP_MIB} MiB`;
    const problem = `the sources do not compile: the compiler failed, or needed more than ${limits}`;
    throw new InputError({ file: posix.dirname(compilation.entry), problem });
  }
}

/** How to compile. */
export interface CompileOptions {
  /** Whether the sources may be of somebody else: they get limited time and memory. */
  readonly isForeign?: boolean;
  /** Called before the compiler starts, which the cache may make unnecessary. */
  readonly onStart?: (() => void) | undefined;
}

/**
 * Compiles AssemblyScript, or takes the result from the cache.
 * @throws InputError with the compiler's messages
 */
export function compile(compilation: Compilation, { isForeign = false, onStart }: CompileOptions = {}): Promise<Compiled> {
  return cached(CACHE, compilation.name, keyOf(compilation), () => {
    onStart?.();
    return isForeign ? compileForeign(compilation) : compileInMemory(compilation);
  });
}

/** Writes a binary and its source map, unless the file has these bytes already. */
export function writeBinary(file: string, { wasm, map }: CacheEntry): void {
  if (existsSync(file) && existsSync(`${file}.map`) && readFileSync(file).equals(wasm)) return;
  mkdirSync(dirname(file), { recursive: true });
  writeAllAtomic([
    [`${file}.map`, map],
    [file, wasm],
  ]);
}
