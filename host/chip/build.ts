import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { InputError } from '../common/input-error.js';
import { TOOL_ROOT } from '../common/project.js';
import type { Contract } from '../contract/contract.js';
import { writeCHeader } from '../contract/generate/c-header.js';
import { readController } from '../runner/wasm-runner.js';
import { type Chip, FIRMWARE, installCommand, missingTools } from './chips.js';
import { functionsOf, translate } from './translate.js';

/**
 * For the translated controller, which is one long way through functions that are called from one place or two: put into one
 * another they are shorter and quicker. Found by trying, by count of instructions on a Cortex-M4F.
 */
export const CONTROLLER_FLAGS = [
  '-O2',
  ...['max-inline-insns-auto=1000', 'max-inline-insns-single=1000', 'inline-unit-growth=200', 'large-function-growth=1000'].flatMap(
    (one) => ['--param', one],
  ),
  ...['--param', 'large-stack-frame-growth=5000', '-fno-tree-pre', '-fno-if-conversion', '-fno-if-conversion2'],
] as const;

/** What goes into an existing firmware: the controller and what stands around it. */
export const LIBRARY_SOURCES = ['controller.c', 'library.c'] as const;
export const LIBRARY_HEADERS = ['latchbench.h', 'latchbench-chip.h', 'wasm-ops.h'] as const;
const FIRMWARE_SOURCES = ['coils.c', 'frame.c', 'link.c', 'firmware.c'];

/**
 * -ffp-contract=off: WebAssembly has no fused multiply-add. -fno-math-errno: a square root is the instruction. Jump tables are
 * off so that every jump of the machine code can be followed when the stack is worked out.
 */
export const ARITHMETIC = ['-ffp-contract=off', '-fno-math-errno'] as const;
const COMPILING = [
  ...['-std=gnu11', '-g', '-Wall', '-Wextra', '-Werror', '-Wno-unused-parameter', '-Wno-unused-label', '-Wno-unused-function'],
  ...['-ffunction-sections', '-fdata-sections', '-fno-jump-tables', '-fno-common', '-DNDEBUG'],
];

/** How the bytes of the link travel: over a UART, or by files of the emulator, which is a hundred times as fast. */
export type Channel = 'uart' | 'files';

export interface FirmwareOptions {
  readonly channel: Channel;
  /** Whether faults can be put in over the link: for tests of safety only. */
  readonly isInjectable?: boolean;
  /** More flags for the compiler, after the others. */
  readonly flags?: readonly string[];
}

export interface Firmware {
  readonly chip: Chip;
  readonly contract: Contract;
  readonly channel: Channel;
  /** Folder with image, objects and sources, below dist/chip. */
  readonly folder: string;
  /** The image: an ELF file. */
  readonly image: string;
}

/** Nothing that runs in every tick is in these. */
const SMALL = ['firmware.c', 'link.c', 'coils.c'];

/** Firmware that was made once is kept here; it may be emptied at any time. */
const CACHE = join(TOOL_ROOT, 'dist', 'chip');

/** @throws InputError naming what is not installed, and the command that installs it */
export function requireTools(chip: Chip): void {
  const missing = missingTools(chip);
  if (missing.length === 0) return;
  throw new InputError({ file: chip.name, what: `${missing.join(' and ')} not installed`, allowed: installCommand([chip]) });
}

/** A compiler may repeat itself for pages. */
const SAID_MOST = 4000;

function run(program: string, words: readonly string[], folder: string): string {
  try {
    return execFileSync(program, words, { cwd: folder, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'], maxBuffer: 1 << 28 });
  } catch (error) {
    const { stderr, message } = error as Error & { stderr?: string };
    throw new Error(`${program} has failed:\n${(stderr || message).slice(0, SAID_MOST)}`);
  }
}

/** Copies the library's sources, with the header of the binary's own contract. @throws Error when it can't be translated */
export function writeLibrary(wasmFile: string, folder: string): Contract {
  const { contract } = readController(wasmFile).description;
  for (const name of ['library.c', 'latchbench-chip.h', 'wasm-ops.h']) cpSync(join(FIRMWARE, name), join(folder, name));
  writeFileSync(join(folder, 'latchbench.h'), writeCHeader(contract));
  writeFileSync(join(folder, 'controller.c'), translate(wasmFile));
  return contract;
}

export const compilerFlags = (chip: Chip, options: Pick<FirmwareOptions, 'flags'>): string[] => [
  ...COMPILING,
  ...ARITHMETIC,
  ...chip.processor,
  ...(options.flags ?? []),
];

/** What only the firmware around the library is told. */
const boardFlags = (options: FirmwareOptions): string[] => [
  ...(options.channel === 'files' ? ['-DLB_SEMIHOSTING'] : []),
  ...(options.isInjectable === true ? ['-DLB_INJECT'] : []),
];

/** Compiles sources, each into an object beside it. Returns the objects. */
export function compileSources(chip: Chip, sources: readonly string[], folder: string, flags: readonly string[]): string[] {
  return sources.map((source) => {
    const object = `${source.replaceAll('/', '-').replace(/\.c$/, '')}.o`;
    const own = source === 'controller.c' ? CONTROLLER_FLAGS : SMALL.includes(source) ? ['-Os'] : ['-O2'];
    run(`${chip.tools}gcc`, [...own, ...flags, '-I.', '-c', source, '-o', object], folder);
    return object;
  });
}

function linkImage(chip: Chip, objects: readonly string[], folder: string, flags: readonly string[]): void {
  const own = chip.emulator === undefined ? [] : ['-nostartfiles', '-T', `boards/${chip.name}/memory.ld`, '-T', 'boards/sections.ld'];
  const words = [...flags, ...own, ...chip.linking, '-Wl,--gc-sections', ...objects, '-lm', '-o', 'firmware.elf'];
  run(`${chip.tools}gcc`, words, folder);
}

function hashOfSources(): string {
  const hash = createHash('sha256').update(functionsOf.toString());
  for (const path of readdirSync(FIRMWARE, { recursive: true, encoding: 'utf8' }).sort()) {
    if (/\.(c|h|ld)$/.test(path)) hash.update(path).update(readFileSync(join(FIRMWARE, path)));
  }
  return hash.digest('hex');
}

/** What is made once for the same key stands in a folder of the cache; it appears there whole. */
function cached(name: string, keys: readonly (string | Uint8Array)[], make: (folder: string) => void): string {
  const hash = createHash('sha256');
  for (const key of keys) hash.update(key).update('\0');
  const folder = join(CACHE, `${name}-${hash.digest('hex').slice(0, 16)}`);
  if (existsSync(folder)) return folder;
  mkdirSync(CACHE, { recursive: true });
  const aside = mkdtempSync(join(CACHE, '.build-'));
  try {
    make(aside);
    // Somebody else may have made the same meanwhile; theirs is as good.
    if (!existsSync(folder)) renameSync(aside, folder);
  } finally {
    rmSync(aside, { recursive: true, force: true });
  }
  return folder;
}

/** The translated controller and what stands around it, compiled: the same for every board of a chip. */
function buildLibrary(chip: Chip, wasmFile: string, options: FirmwareOptions): string {
  const flags = compilerFlags(chip, options);
  const version = run(`${chip.tools}gcc`, ['--version'], TOOL_ROOT);
  const keys = [hashOfSources(), version, readFileSync(wasmFile), flags.join(' '), CONTROLLER_FLAGS.join(' ')];
  return cached(`${chip.name}-library`, keys, (aside) => {
    writeLibrary(wasmFile, aside);
    compileSources(chip, LIBRARY_SOURCES, aside, flags);
  });
}

/**
 * Makes the firmware of the example board from a controller's binary, or takes it from the cache.
 * @throws InputError when tools are not installed
 * @throws Error with the compiler's words when it does not compile
 */
export function buildFirmware(chip: Chip, wasmFile: string, options: FirmwareOptions): Firmware {
  requireTools(chip);
  const library = buildLibrary(chip, wasmFile, options);
  const flags = [...compilerFlags(chip, options), ...boardFlags(options)];
  const folder = cached(chip.name, [library, flags.join(' ')], (aside) => {
    cpSync(FIRMWARE, aside, { recursive: true });
    cpSync(library, aside, { recursive: true });
    const objects = compileSources(chip, [...FIRMWARE_SOURCES, ...chip.board], aside, flags);
    linkImage(chip, ['controller.o', 'library.o', ...objects], aside, flags);
  });
  const { contract } = readController(wasmFile).description;
  return { chip, contract, channel: options.channel, folder, image: join(folder, 'firmware.elf') };
}

/** Bytes of an image or an object by kind of section. The stack is counted apart. */
export interface Sizes {
  readonly text: number;
  readonly data: number;
  readonly bss: number;
}

/** @throws Error when the file is none that the tools understand */
export function sizesOf(chip: Chip, file: string): Sizes {
  const sizes = { text: 0, data: 0, bss: 0 };
  for (const line of run(`${chip.tools}size`, ['-A', '-d', basename(file)], join(file, '..')).split('\n')) {
    const [, section = '', bytes = ''] = /^(\.\S+)\s+(\d+)/.exec(line) ?? [];
    if (/^\.(text|rodata|exidx|vectors|ARM\.exidx|srodata)/.test(section)) sizes.text += Number(bytes);
    else if (/^\.s?data/.test(section)) sizes.data += Number(bytes);
    else if (/^\.(s?bss|kept)/.test(section)) sizes.bss += Number(bytes);
  }
  return sizes;
}
