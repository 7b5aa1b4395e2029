import { SourceMap, type SourceMapPayload } from 'node:module';
import { CONTROLLER, type ControllerSources, compileController, hashController } from '../../build/controller.js';
import type { SourceTree } from '../../build/sources.js';
import { oncePer } from '../../common/once.js';
import { readBytes } from '../../common/read-file.js';
import type { BuildDescription } from '../../contract/embed.js';
import { readBinary, type WasmBinary } from './binary.js';
import { instrument, type Site } from './instrument.js';

/** The controller's sources that a build's source map carries; undefined if it carries none or is damaged. */
export function sourcesOfMap(mapFile: string): SourceTree | undefined {
  let map: Partial<Record<keyof SourceMapPayload, unknown>> | null;
  try {
    map = JSON.parse(readBytes(mapFile, 'sourceMap').toString('utf8'));
  } catch (error) {
    if (error instanceof SyntaxError) return undefined;
    throw error;
  }
  const { sources, sourcesContent } = map ?? {};
  if (!Array.isArray(sources) || !Array.isArray(sourcesContent)) return undefined;
  const found = sources.flatMap((path: unknown, index): [string, string][] => {
    const text: unknown = sourcesContent[index];
    return typeof text === 'string' && typeof path === 'string' && path.startsWith(`${CONTROLLER}/`) ? [[path, text]] : [];
  });
  return found.length === 0 ? undefined : new Map(found);
}

/** A build without optimisation, in which every function, local and constant keeps its name. */
export interface PlainBuild {
  readonly binary: WasmBinary;
  readonly sources: SourceTree;
  readonly map: SourceMap;
}

/** A build that reports every step of its execution. */
export interface TracedBuild extends PlainBuild {
  readonly module: WebAssembly.Module;
  readonly sites: readonly Site[];
}

/** A binary without its custom sections: names, source map and description. */
const codeOf = (bytes: Uint8Array): Buffer =>
  Buffer.concat(readBinary(bytes).sections.flatMap(({ id, start, end }) => (id === 0 ? [] : [bytes.subarray(start, end)])));

/**
 * Whether a binary was compiled from sources: by the hash in its description, or else by compiling them, since a file that nothing
 * imports counts in the hash and is not in the map.
 */
export async function isCompiledFrom(
  bytes: Uint8Array,
  { sourceHash }: Pick<BuildDescription, 'sourceHash'>,
  from: ControllerSources,
): Promise<boolean> {
  if (hashController(from) === sourceHash) return true;
  const code = codeOf(bytes);
  for (const optimisation of ['release', 'quick'] as const) {
    try {
      if (codeOf((await compileController(from, { optimisation })).wasm).equals(code)) return true;
    } catch {
      // Sources that do not compile are not those of a binary.
      return false;
    }
  }
  return false;
}

/**
 * Compiles sources without optimisation. The build computes what the release build computes, bit for bit except the payload of NaN.
 * @throws Error with the compiler's messages
 */
export const buildPlain = oncePer(async (from: ControllerSources): Promise<PlainBuild> => {
  const compiled = await compileController(from, { optimisation: 'none' });
  const map = new SourceMap({ ...(JSON.parse(compiled.map) as SourceMapPayload), sourceRoot: '' });
  return { binary: readBinary(compiled.wasm), sources: from.sources, map };
});

/** Compiles sources without optimisation, and instruments the binary. @throws Error with the compiler's messages */
export async function buildTraced(from: ControllerSources): Promise<TracedBuild> {
  const plain = await buildPlain(from);
  const { bytes, sites } = instrument(plain.binary);
  return { ...plain, module: new WebAssembly.Module(bytes), sites };
}

/** A line of the sources. */
export interface Position {
  readonly file: string;
  /** From 1. */
  readonly line: number;
  readonly column: number;
  /** Empty outside functions. */
  readonly function: string;
  readonly text: string;
}

/** Name of a function without its file. */
export const shortName = (name: string): string => name.split('/').at(-1) ?? name;

/** File, line and column, from 0, of a byte of the binary. */
function entryOf(map: SourceMap, at: number): { file: string; line: number; column: number } | undefined {
  const entry = map.findEntry(0, at);
  return 'originalSource' in entry ? { file: entry.originalSource, line: entry.originalLine, column: entry.originalColumn } : undefined;
}

/**
 * Position of a site in the sources. The compiler leaves some instructions without a position: then it is that of the next one in the
 * function, which belongs to the same statement.
 */
export function positionOf({ map, binary, sources, sites }: TracedBuild, index: number): Position | undefined {
  const own = sites[index]?.function;
  for (let at = index; sites[at] !== undefined && sites[at]?.function === own; at++) {
    const entry = entryOf(map, sites[at]?.at ?? 0);
    const text = entry === undefined ? undefined : sources.get(entry.file)?.split('\n')[entry.line];
    if (entry === undefined || text === undefined) continue;
    const { file, line, column } = entry;
    return { file, line: line + 1, column: column + 1, function: shortName(binary.functions[own ?? -1]?.name ?? ''), text };
  }
  return undefined;
}
