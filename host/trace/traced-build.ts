import { readdirSync, readFileSync } from 'node:fs';
import { SourceMap, type SourceMapPayload } from 'node:module';
import { join } from 'node:path';
import asc from 'assemblyscript/asc';
import { ROOT } from '../project.js';
import { readBinary, type WasmBinary } from './binary.js';
import { instrument, type Site } from './instrument.js';

/** Sources of a controller: path below the project's folder → text. */
export type SourceTree = ReadonlyMap<string, string>;

const CONTROLLER = 'assembly/controller';

/** Sources as a build's source map carries them; undefined where it carries none. */
export function sourcesOfMap(mapFile: string): SourceTree | undefined {
  const { sources = [], sourcesContent = [] } = JSON.parse(readFileSync(mapFile, 'utf8')) as Partial<SourceMapPayload>;
  const found = sources.flatMap((path, index): [string, string][] => {
    const text = sourcesContent[index];
    return text !== undefined && path.startsWith(CONTROLLER) ? [[path, text]] : [];
  });
  return found.length === 0 ? undefined : new Map(found);
}

/** The controller's sources below a folder. */
export function sourcesBelow(root: string): SourceTree {
  const paths = readdirSync(join(root, CONTROLLER), { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.ts'));
  return new Map(paths.map((path) => [`${CONTROLLER}/${path}`, readFileSync(join(root, CONTROLLER, path), 'utf8')]));
}

/** A build that can tell what it does. */
export interface TracedBuild {
  readonly module: WebAssembly.Module;
  readonly binary: WasmBinary;
  readonly sites: readonly Site[];
  readonly sources: SourceTree;
  readonly map: SourceMap;
}

/** The compiler's settings that decide what is computed; how well it is optimised does not. */
function compilerOptions(): string[] {
  const { options } = JSON.parse(readFileSync(join(ROOT, 'asconfig.json'), 'utf8')) as { options: Record<string, unknown> };
  const { optimizeLevel: _, shrinkLevel: __, converge: ___, ...kept } = options;
  return Object.entries(kept).flatMap(([name, value]) =>
    (Array.isArray(value) ? value : [value]).flatMap((one) => [`--${name}`, String(one)]),
  );
}

/**
 * Compiles sources without optimisation, so that every function, local and constant of theirs is there by name, and instruments
 * the binary. It does what the release build does, bit for bit but for the payload of what is not a number.
 * @throws Error with the compiler's messages
 */
export async function buildTraced(sources: SourceTree): Promise<TracedBuild> {
  const made = new Map<string, string | Uint8Array>();
  const words = [`${CONTROLLER}/index.ts`, ...compilerOptions(), '-O0', '--debug', '--sourceMap', '--outFile', 'traced.wasm'];
  const { error, stderr } = await asc.main(words, {
    readFile: (path) => sources.get(path.replace(/^\.\//, '')) ?? null,
    writeFile: (path, content) => void made.set(path, content),
    listFiles: () => [],
  });
  if (error !== null) throw new Error(stderr.toString() || error.message);
  const binary = readBinary(made.get('traced.wasm') as Uint8Array);
  const map = JSON.parse(String(made.get('traced.wasm.map'))) as SourceMapPayload;
  const { bytes, sites } = instrument(binary);
  return { module: new WebAssembly.Module(bytes), binary, sites, sources, map: new SourceMap({ ...map, sourceRoot: '' }) };
}

/** A place in the sources. */
export interface Position {
  readonly file: string;
  /** From 1. */
  readonly line: number;
  readonly column: number;
  readonly function: string;
  readonly text: string;
}

/** Short name of a function: what stands after its file. */
const shortName = (name: string): string => name.split('/').at(-1) ?? name;

/** The source's file and line, from 0, behind a byte of the binary. */
function entryOf(map: SourceMap, at: number): { file: string; line: number; column: number } | undefined {
  const entry = map.findEntry(0, at);
  return 'originalSource' in entry ? { file: entry.originalSource, line: entry.originalLine, column: entry.originalColumn } : undefined;
}

/**
 * Where a site stands in the sources. The compiler leaves some instructions without a place: then that of the next one of the
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
