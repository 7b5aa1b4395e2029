import { posix } from 'node:path';
import { InputError } from '../common/input-error.js';
import { embedDescription } from '../contract/embed.js';
import type { CacheEntry } from './compile-cache.js';
import type { CompilerOptions } from './compiler-options.js';
import type { SourceTree } from './sources.js';

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

/** Options as command-line words. */
export function optionWords(options: CompilerOptions): string[] {
  return Object.entries(options).flatMap(([name, value]) => {
    if (typeof value === 'boolean') return value ? [`--${name}`] : [];
    return (Array.isArray(value) ? value : [value]).flatMap((one) => [`--${name}`, String(one)]);
  });
}

/**
 * Compiles AssemblyScript. It reads nothing but the sources, writes nothing, and runs none of their code.
 * @throws InputError with the compiler's messages
 */
export async function compileInMemory({ name, sources, entry, options, section }: Compilation): Promise<CacheEntry> {
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
