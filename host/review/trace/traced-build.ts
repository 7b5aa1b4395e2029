import { readdirSync, readFileSync } from 'node:fs';
import { SourceMap, type SourceMapPayload } from 'node:module';
import { join } from 'node:path';
import asc from 'assemblyscript/asc';
import { hashTree } from '../../build/source-hash.js';
import { ROOT } from '../../common/project.js';
import { readBinary, type WasmBinary } from './binary.js';
import { instrument, type Site } from './instrument.js';

/** Sources of a controller: path below the project's folder → text. */
export type SourceTree = ReadonlyMap<string, string>;

const CONTROLLER = 'assembly/controller';

/** Sources as a build's source map carries them; undefined where it carries none, or is damaged. */
export function sourcesOfMap(mapFile: string): SourceTree | undefined {
  let map: Partial<Record<keyof SourceMapPayload, unknown>> | null;
  try {
    map = JSON.parse(readFileSync(mapFile, 'utf8'));
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

const settingsText = (): string => readFileSync(join(ROOT, 'asconfig.json'), 'utf8');

/** How well the compiler optimises does not decide what is computed. */
const OPTIMISATION = ['optimizeLevel', 'shrinkLevel', 'converge'];

/** The compiler's settings as words, without these. */
function compilerOptions(without: readonly string[]): string[] {
  const { options } = JSON.parse(settingsText()) as { options: Record<string, unknown> };
  return Object.entries(options).flatMap(([name, value]) =>
    without.includes(name)
      ? []
      : (Array.isArray(value) ? value : [value]).flatMap((one) => (one === true ? [`--${name}`] : [`--${name}`, String(one)])),
  );
}

/** Compiles sources in memory. @throws Error with the compiler's messages */
async function compileTree(sources: SourceTree, options: readonly string[]): Promise<{ wasm: Uint8Array; map: SourceMapPayload }> {
  const made = new Map<string, string | Uint8Array>();
  const { error, stderr } = await asc.main([`${CONTROLLER}/index.ts`, ...options, '--sourceMap', '--outFile', 'made.wasm'], {
    readFile: (path) => sources.get(path.replace(/^\.\//, '')) ?? null,
    writeFile: (path, content) => void made.set(path, content),
    listFiles: () => [],
  });
  if (error !== null) throw new Error(stderr.toString() || error.message);
  return { wasm: made.get('made.wasm') as Uint8Array, map: JSON.parse(String(made.get('made.wasm.map'))) as SourceMapPayload };
}

/** All of a binary but what is only said of it. */
const codeOf = (bytes: Uint8Array): Buffer =>
  Buffer.concat(readBinary(bytes).sections.flatMap(({ id, start, end }) => (id === 0 ? [] : [bytes.subarray(start, end)])));

/**
 * Whether a binary was made of sources: by the hash that it tells, or else by compiling them, since a file that nothing imports
 * counts in the hash and is not in the map.
 */
export async function isMadeOf(bytes: Uint8Array, sourceHash: string, sources: SourceTree): Promise<boolean> {
  const below = new Map([...sources].map(([path, text]) => [path.slice(CONTROLLER.length + 1), text]));
  if (hashTree(below, settingsText()) === sourceHash) return true;
  const code = codeOf(bytes);
  // A build in a hurry optimises less.
  for (const options of [compilerOptions([]), [...compilerOptions(['optimizeLevel']), '--optimizeLevel', '1']]) {
    try {
      if (codeOf((await compileTree(sources, options)).wasm).equals(code)) return true;
    } catch {
      // Sources that don't compile made no binary.
      return false;
    }
  }
  return false;
}

/**
 * Compiles sources without optimisation, so that every function, local and constant of theirs is there by name, and instruments
 * the binary. It does what the release build does, bit for bit but for the payload of what is not a number.
 * @throws Error with the compiler's messages
 */
export async function buildTraced(sources: SourceTree): Promise<TracedBuild> {
  const { wasm, map } = await compileTree(sources, [...compilerOptions(OPTIMISATION), '-O0', '--debug']);
  const binary = readBinary(wasm);
  const { bytes, sites } = instrument(binary);
  return { module: new WebAssembly.Module(bytes), binary, sites, sources, map: new SourceMap({ ...map, sourceRoot: '' }) };
}

/** A place in the sources. */
export interface Position {
  readonly file: string;
  /** From 1. */
  readonly line: number;
  readonly column: number;
  /** Empty outside of functions. */
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
