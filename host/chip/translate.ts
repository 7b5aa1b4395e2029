import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { InputError } from '../common/input-error.js';
import { readBytes } from '../common/read-file.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';

/** wasm2c's name of the module, the prefix of all its names. */
const MODULE = 'controller';
const INSTANCE = `Z_${MODULE}_instance_t`;

const PREAMBLE = `/* The controller, translated from WebAssembly by wasm2c. Do not edit. */
#include "wasm-ops.h"

`;
const ENTRIES = `
LB_MEMORY_SECTION uint8_t lb_memory[LB_RECORDS_END + LB_GUARD_BYTES] __attribute__((aligned(8)));

int32_t lb_configure(int32_t rows) { return (int32_t)w2c_configure((u32)rows); }
int32_t lb_reconfigure(void) { return (int32_t)w2c_reconfigure(); }
LB_CODE_SECTION void lb_tick(void) { w2c_tick(); }
`;

/**
 * Extracts the functions from the output of wasm2c and directs their memory accesses to wasm-ops.h. The instance parameter is
 * dropped, as there is only one memory, and address and constant offset stay separate, so that the check needs no 64-bit sum.
 * @throws Error when the text differs from what wasm2c 1.0.32 writes
 */
export function functionsOf(text: string): string {
  const start = text.search(new RegExp(`^static \\w+ w2c_\\w+\\(${INSTANCE}\\*`, 'm'));
  const end = text.indexOf("/* export: '");
  if (start === -1 || end === -1) throw new Error('unexpected output of wasm2c; version 1.0.32 is known to work');
  if (/LOAD_DATA\(\w/.test(text.slice(start)))
    throw new Error('the controller has data outside its records; a chip would start without it');
  const functions = text
    .slice(start, end)
    .replace(/^static void init_memories[^}]*}\n/m, '')
    .replaceAll(new RegExp(`\\(${INSTANCE}\\*(?: instance)?\\)`, 'g'), '(void)')
    .replaceAll(new RegExp(`\\(${INSTANCE}\\*(?: instance)?, `, 'g'), '(')
    .replaceAll(/&instance->w2c_memory, \(u64\)\((\w+)\)(?: \+ (\d+)u)?/g, (_, at, offset = '0') => `${at}, ${offset}`)
    .replaceAll(/\(instance(?:, )?/g, '(');
  checkOffsets(functions);
  const left = /^.*\b(?:instance|w2c_memory)\b.*$/m.exec(functions);
  if (left !== null) throw new Error(`unexpected output of wasm2c: ${left[0].trim()}`);
  return markFunctions(functions);
}

/** wasm-ops.h accesses fields as array elements, so each offset must be a multiple of the access's size. @throws Error otherwise */
function checkOffsets(functions: string): void {
  for (const [access, bits = '32', offset] of functions.matchAll(/[if]32_(?:load|store)(8|16)?\w*\(\w+, (\d+)/g)) {
    if (Number(offset) % (Number(bits) / 8) !== 0) throw new Error(`the controller has an unaligned access: ${access}`);
  }
}

/**
 * Tells the compiler about functions: what only configure() and reconfigure() call becomes small instead of fast, and what is called
 * in a single place of a tick becomes a part of its caller, which the compiler would not do with large ones.
 */
function markFunctions(functions: string): string {
  const bodies = new Map<string, string>();
  for (const [, name = '', body = ''] of functions.matchAll(/^static \w+ (w2c_\w+)\([^)]*\) \{\n([\s\S]*?)^\}/gm)) bodies.set(name, body);
  const calls = new Map<string, number>();
  const warm = new Set<string>();
  const follow = (from: string): void => {
    warm.add(from);
    for (const [, callee = ''] of (bodies.get(from) ?? '').matchAll(/\b(w2c_\w+)\(/g)) {
      calls.set(callee, (calls.get(callee) ?? 0) + 1);
      if (!warm.has(callee)) follow(callee);
    }
  };
  follow('w2c_tick');
  return functions.replaceAll(/^static (\w+ (w2c_\w+)\([^)]*\);)$/gm, (_, rest, name) => {
    if (!warm.has(name)) return `static __attribute__((cold)) ${rest}`;
    return calls.get(name) === 1 ? `static inline __attribute__((always_inline)) ${rest}` : `static LB_CODE_SECTION ${rest}`;
  });
}

/** Translates a controller's binary to one C file. @throws InputError when wasm2c refuses the binary, or writes what a chip cannot run */
export function translate(wasmFile: string): string {
  const folder = makeTemporaryFolder('latchbench-wasm2c-');
  try {
    const output = join(folder, 'controller.c');
    // Translating a copy keeps the name of the original file out of the C.
    writeFileSync(join(folder, 'controller.wasm'), readBytes(wasmFile, 'binary'));
    execFileSync('wasm2c', [join(folder, 'controller.wasm'), '-n', MODULE, '-o', output], { stdio: ['ignore', 'pipe', 'pipe'] });
    return PREAMBLE + functionsOf(readFileSync(output, 'utf8')) + ENTRIES;
  } catch (error) {
    const { stderr, message } = error as Error & { stderr?: Buffer };
    throw new InputError({ file: wasmFile, problem: `it cannot be translated to C: ${stderr?.toString().trim() || message}` });
  } finally {
    removeTemporaryFolder(folder);
  }
}
