import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { dirname, join, posix } from 'node:path';
import { sha256 } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { TOOL_ROOT } from '../common/project.js';
import { writeAllAtomic } from '../common/write-atomic.js';
import { embedDescription } from '../contract/embed.js';
import { type CacheEntry, cached } from './compile-cache.js';
import type { SourceTree } from './sources.js';

/** The compiler's options by name, as asconfig.json has them. */
export type CompilerOptions = Readonly<Record<string, string | number | boolean | readonly string[]>>;

/** All that decides what a compilation results in. */
export interface Compilation {
  /** File name of the binary, without its ending. */
  readonly name: string;
  /** Every file that the compiler may read. */
  readonly sources: SourceTree;
  /** Path of the file whose exports are the binary's. */
  readonly entry: string;
  readonly options: CompilerOptions;
  /** A custom section to append: its name, and its content, which is written as JSON. */
  readonly section?: { readonly name: string; readonly content: unknown };
}

/** The options of an asconfig.json. */
export const parseOptions = (asconfig: string): CompilerOptions => (JSON.parse(asconfig) as { options: CompilerOptions }).options;

/** The cache of everything that this program compiles, for whatever project. */
export const CACHE = join(TOOL_ROOT, 'dist', 'builds');

export const compilerVersion = (): string =>
  String(JSON.parse(readFileSync(join(TOOL_ROOT, 'node_modules', 'assemblyscript', 'package.json'), 'utf8')).version);

/** Options as command-line words. */
function optionWords(options: CompilerOptions): string[] {
  return Object.entries(options).flatMap(([name, value]) => {
    if (typeof value === 'boolean') return value ? [`--${name}`] : [];
    return (Array.isArray(value) ? value : [value]).flatMap((one) => [`--${name}`, String(one)]);
  });
}

function keyOf({ name, sources, entry, options, section }: Compilation): string {
  const files = [...sources].sort(([a], [b]) => (a < b ? -1 : 1));
  return sha256(JSON.stringify([compilerVersion(), name, entry, optionWords(options), section ?? null, files]));
}

async function compileInMemory({ name, sources, entry, options, section }: Compilation): Promise<CacheEntry> {
  // The compiler takes half a second to load, and is not needed for what the cache has.
  const { default: asc } = await import('assemblyscript/asc');
  const outFile = `${name}.wasm`;
  const outputs = new Map<string, string | Uint8Array>();
  const { error, stderr } = await asc.main([entry, ...optionWords(options), '--sourceMap', '--outFile', outFile], {
    readFile: (path, folder) => sources.get(posix.join(folder, path)) ?? null,
    writeFile: (path, content) => void outputs.set(path, content),
    listFiles: () => [],
  });
  // The optimiser says so whenever it reaches its limit of rounds; the binary is sound.
  const messages = stderr.toString().replace(/^Last converge was suboptimal\.\n/m, '');
  if (error !== null)
    throw new InputError({ file: posix.dirname(entry), problem: `the sources do not compile:\n${(messages || error.message).trim()}` });
  const code = outputs.get(outFile) as Uint8Array;
  const wasm = section === undefined ? code : embedDescription(code, section.content, section.name);
  return { wasm, map: String(outputs.get(`${outFile}.map`)), messages };
}

/** A compiled binary. */
export interface Compiled extends CacheEntry {
  /** Where the cache has the binary; its source map lies beside it. */
  readonly file: string;
}

/** Compiles AssemblyScript, or takes the result from the cache. @throws InputError with the compiler's messages */
export const compile = (compilation: Compilation): Promise<Compiled> =>
  cached(CACHE, compilation.name, keyOf(compilation), () => compileInMemory(compilation));

/** Writes a binary and its source map, unless the file has these bytes already. */
export function writeBinary(file: string, { wasm, map }: CacheEntry): void {
  if (existsSync(file) && existsSync(`${file}.map`) && readFileSync(file).equals(wasm)) return;
  mkdirSync(dirname(file), { recursive: true });
  writeAllAtomic([
    [`${file}.map`, map],
    [file, wasm],
  ]);
}
