import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { shortHash } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { TOOL_ROOT } from '../common/project.js';
import { readBytes } from '../common/read-file.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';
import type { Contract } from '../contract/contract.js';
import { writeCHeader } from '../contract/generate/c-header.js';
import { readController } from '../runner/wasm-runner.js';
import { type Channel, type Chip, FIRMWARE, installCommand, missingTools } from './chips.js';
import { protocolHeader } from './protocol.js';
import { translate } from './translate.js';

/**
 * Flags for the translated controller, which is one long path through functions with one or two callers each: inlining makes it
 * smaller and faster. Found by trial, by the count of instructions on a Cortex-M4F.
 */
export const CONTROLLER_FLAGS = [
  '-O2',
  ...['max-inline-insns-auto=1000', 'max-inline-insns-single=1000', 'inline-unit-growth=200', 'large-function-growth=1000'].flatMap(
    (one) => ['--param', one],
  ),
  ...['--param', 'large-stack-frame-growth=5000', '-fno-tree-pre', '-fno-if-conversion', '-fno-if-conversion2', '-fno-reorder-blocks'],
  // The loop over the rows has hundreds of addresses: fewer base registers are found if all of them are considered together.
  ...['--param', 'iv-consider-all-candidates-bound=300', '-fno-tree-vrp'],
  // Nothing is pushed to the stack inside a loop: the bound of the stack could not count it.
  '-fno-shrink-wrap',
  // No loop becomes a call of memmove: that of a C library may take from the stack in a loop.
  '-fno-tree-loop-distribute-patterns',
] as const;

/** What goes into an existing firmware. */
export const LIBRARY_SOURCES = ['controller.c', 'library.c'] as const;
export const LIBRARY_HEADERS = ['latchbench.h', 'latchbench-chip.h', 'wasm-ops.h'] as const;
const FIRMWARE_SOURCES = ['coils.c', 'frame.c', 'inputs.c', 'journal.c', 'link.c', 'firmware.c', 'main.c'];
/** Sources that are compiled for size: none of their code dominates a tick. */
const SMALL_SOURCES = ['coils.c', 'inputs.c', 'journal.c', 'link.c', 'firmware.c', 'main.c'];

/**
 * -ffp-contract=off: WebAssembly has no fused multiply-add. -fno-math-errno: a square root compiles to the instruction. Jump tables
 * are off so that every jump in the machine code can be followed for the stack bound.
 */
export const ARITHMETIC = ['-ffp-contract=off', '-fno-math-errno'] as const;
const COMPILING = [
  ...['-std=gnu11', '-g', '-Wall', '-Wextra', '-Werror', '-Wno-unused-parameter', '-Wno-unused-label', '-Wno-unused-function'],
  ...['-ffunction-sections', '-fdata-sections', '-fno-jump-tables', '-fno-common', '-fstack-usage', '-DNDEBUG'],
];

export interface FirmwareOptions {
  readonly channel: Channel;
  /** Whether faults can be injected over the link; for safety tests only. */
  readonly isInjectable?: boolean;
  /** More compiler flags, after the others. */
  readonly flags?: readonly string[];
}

export interface Firmware {
  readonly chip: Chip;
  readonly contract: Contract;
  readonly channel: Channel;
  /** Folder with image, objects and sources, below dist/chip. */
  readonly folder: string;
  /** The image, an ELF file. */
  readonly image: string;
}

/** Cache of finished builds, addressed by their content; it may be emptied at any time. */
const CACHE = join(TOOL_ROOT, 'dist', 'chip');

/** @throws InputError with what is not installed, and the command that installs it */
export function requireTools(chip: Chip): void {
  const missing = missingTools(chip);
  if (missing.length === 0) return;
  const problem = `${missing.join(' and ')} ${missing.length === 1 ? 'is' : 'are'} not installed`;
  throw new InputError({ file: chip.name, problem, hint: `Run \`${installCommand([chip])}\`` });
}

/** Longest error output of a compiler that is shown; it may run to pages. */
const ERROR_OUTPUT_MAX = 1500;

/** @throws InputError with its error output if it fails, such as for flags of the user */
function run(program: string, words: readonly string[], folder: string): string {
  try {
    return execFileSync(program, words, { cwd: folder, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'], maxBuffer: 1 << 28 });
  } catch (error) {
    const { stderr, message } = error as Error & { stderr?: string };
    const problem = `it failed:\n${(stderr || message).trim().slice(0, ERROR_OUTPUT_MAX)}`;
    throw new InputError({ file: program, problem });
  }
}

/** The library's sources: file name → text. */
function librarySources(wasmFile: string): Map<string, string> {
  const { contract } = readController(wasmFile).description;
  const copied = ['library.c', 'latchbench-chip.h', 'wasm-ops.h'].map(
    (name) => [name, readFileSync(join(FIRMWARE, name), 'utf8')] as const,
  );
  return new Map([...copied, ['latchbench.h', writeCHeader(contract)], ['controller.c', translated(wasmFile)]]);
}

/** The sources around the library: path below the firmware's folder → text. */
function firmwareSources(): Map<string, string> {
  const paths = readdirSync(FIRMWARE, { recursive: true, encoding: 'utf8' }).filter(
    (path) => /\.(c|h|ld)$/.test(path) && !path.startsWith('examples'),
  );
  const copied = paths.sort().map((path) => [path, readFileSync(join(FIRMWARE, path), 'utf8')] as const);
  return new Map([...copied, ['protocol.h', protocolHeader()]]);
}

function writeSources(folder: string, sources: ReadonlyMap<string, string>): void {
  for (const [path, text] of sources) {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), text);
  }
}

const compilerFlags = (chip: Chip, options: Pick<FirmwareOptions, 'flags'>): string[] => [
  ...COMPILING,
  ...ARITHMETIC,
  ...chip.processor,
  ...(options.flags ?? []),
];

/** Flags for the firmware around the library only. */
const boardFlags = (chip: Chip, options: FirmwareOptions): string[] => [
  ...chip.buffers[options.channel],
  ...(options.channel === 'files' ? ['-DLB_SEMIHOSTING'] : []),
  ...(options.isInjectable === true ? ['-DLB_INJECT'] : []),
];

/** The translation may declare or set a variable that nothing uses. */
const TRANSLATED_FLAGS = ['-Wno-unused-variable', '-Wno-unused-but-set-variable'];

const flagsOf = (source: string): readonly string[] =>
  source === 'controller.c' ? [...CONTROLLER_FLAGS, ...TRANSLATED_FLAGS] : SMALL_SOURCES.includes(source) ? ['-Os'] : ['-O2'];

/** Compiles each source to an object in the same folder. Returns the objects. */
function compileSources(chip: Chip, sources: readonly string[], folder: string, flags: readonly string[]): string[] {
  return sources.map((source) => {
    const object = `${source.replaceAll('/', '-').replace(/\.c$/, '')}.o`;
    run(`${chip.tools}gcc`, [...flagsOf(source), ...flags, '-I.', '-c', source, '-o', object], folder);
    return object;
  });
}

function linkImage(chip: Chip, objects: readonly string[], folder: string, flags: readonly string[]): void {
  const own = chip.emulator === undefined ? [] : ['-nostartfiles', '-T', `boards/${chip.name}/memory.ld`, '-T', 'boards/sections.ld'];
  const words = [...flags, ...own, ...chip.linking, '-Wl,--gc-sections', ...objects, '-lm', '-o', 'firmware.elf'];
  run(`${chip.tools}gcc`, words, folder);
}

const versions = new Map<string, string>();

/** What the compiler reports about itself. */
function compilerVersion({ tools }: Chip): string {
  const version = versions.get(tools) ?? run(`${tools}gcc`, ['--version'], TOOL_ROOT);
  versions.set(tools, version);
  return version;
}

const textOf = (sources: ReadonlyMap<string, string>): string => [...sources].flat().join('\0');

/** Returns a folder of the cache that `make` fills unless it exists. It appears there complete or not at all. */
function cached(name: string, keys: readonly string[], make: (folder: string) => void): string {
  const folder = join(CACHE, `${name}-${shortHash(keys.join('\0\0'))}`);
  if (existsSync(folder)) return folder;
  mkdirSync(CACHE, { recursive: true });
  const unfinished = makeTemporaryFolder('.build-', CACHE);
  try {
    make(unfinished);
    renameSync(unfinished, folder);
  } catch (error) {
    // Another process may have finished the same build meanwhile; its result is as good.
    if (!existsSync(folder)) throw error;
  } finally {
    removeTemporaryFolder(unfinished);
  }
  return folder;
}

/** Writes the library's sources, with the header of the binary's own contract. @throws Error when it cannot be translated */
export function writeLibrary(wasmFile: string, folder: string): void {
  writeSources(folder, librarySources(wasmFile));
}

/**
 * Compiles the library, or takes it from the cache: it is the same for every board with this chip.
 * @returns folder with the objects
 */
export function buildLibrary(chip: Chip, wasmFile: string, options: Pick<FirmwareOptions, 'flags'>): string {
  const sources = librarySources(wasmFile);
  const flags = compilerFlags(chip, options);
  const keys = [textOf(sources), compilerVersion(chip), flags.join(' '), LIBRARY_SOURCES.flatMap(flagsOf).join(' ')];
  return cached(`${chip.name}-library`, keys, (folder) => {
    writeSources(folder, sources);
    compileSources(chip, LIBRARY_SOURCES, folder, flags);
  });
}

const translations = new Map<string, string>();

/** The translated controller, once for each binary. */
function translated(wasmFile: string): string {
  const hash = shortHash(readBytes(wasmFile, 'binary'));
  const controller = translations.get(hash) ?? translate(wasmFile);
  translations.set(hash, controller);
  return controller;
}

/**
 * Builds the firmware of the example board from a controller's binary, or takes it from the cache.
 * @throws InputError when tools are not installed
 * @throws Error with the compiler's output when it does not compile
 */
export function buildFirmware(chip: Chip, wasmFile: string, options: FirmwareOptions): Firmware {
  requireTools(chip);
  const { contract } = readController(wasmFile).description;
  const library = buildLibrary(chip, wasmFile, options);
  const sources = firmwareSources();
  const boardSources = [...FIRMWARE_SOURCES, ...chip.board];
  const flags = [...compilerFlags(chip, options), ...boardFlags(chip, options)];
  const keys = [library, textOf(sources), flags.join(' '), chip.linking.join(' '), boardSources.flatMap(flagsOf).join(' ')];
  const folder = cached(chip.name, keys, (unfinished) => {
    writeSources(unfinished, sources);
    cpSync(library, unfinished, { recursive: true });
    const objects = compileSources(chip, boardSources, unfinished, flags);
    linkImage(chip, ['controller.o', 'library.o', ...objects], unfinished, flags);
  });
  return { chip, contract, channel: options.channel, folder, image: join(folder, 'firmware.elf') };
}

/** Bytes of an image or an object by kind of section, without the stack. */
export interface Sizes {
  readonly text: number;
  readonly data: number;
  readonly bss: number;
}

/** @throws Error when the tools cannot read the file */
export function sizesOf(chip: Chip, file: string): Sizes {
  const sizes = { text: 0, data: 0, bss: 0 };
  for (const line of run(`${chip.tools}size`, ['-A', '-d', basename(file)], dirname(file)).split('\n')) {
    const [, section = '', bytes = ''] = /^(\.\S+)\s+(\d+)/.exec(line) ?? [];
    if (/^\.(text|rodata|exidx|vectors|ARM\.exidx|srodata)/.test(section)) sizes.text += Number(bytes);
    else if (/^\.s?data/.test(section)) sizes.data += Number(bytes);
    else if (/^\.(s?bss|kept)/.test(section)) sizes.bss += Number(bytes);
  }
  return sizes;
}
