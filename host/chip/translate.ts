import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** What wasm2c calls the module; all its names begin so. */
const MODULE = 'controller';
const INSTANCE = `Z_${MODULE}_instance_t`;

const PREAMBLE = `/* The controller, translated from WebAssembly by wasm2c. Do not edit. */
#include "wasm-ops.h"

`;
const ENTRIES = `
uint8_t lb_memory[LB_RECORDS_END + LB_GUARD_BYTES] __attribute__((aligned(8)));

int32_t lb_configure(int32_t rows) { return (int32_t)w2c_configure((u32)rows); }
void lb_tick(void) { w2c_tick(); }
`;

/**
 * Takes the functions out of what wasm2c has written and hands their memory accesses to wasm-ops.h: the instance parameter goes,
 * as there is one memory, and address and constant offset stay apart, so that the check needs no 64-bit sum.
 * @throws Error when the text is not as wasm2c 1.0.32 writes it
 */
export function functionsOf(text: string): string {
  const begin = text.search(new RegExp(`^static \\w+ w2c_\\w+\\(${INSTANCE}\\*`, 'm'));
  const end = text.indexOf("/* export: '");
  if (begin === -1 || end === -1) throw new Error('wasm2c has written something else than was expected: version 1.0.32 is known to work');
  if (/LOAD_DATA\(\w/.test(text.slice(begin)))
    throw new Error('the controller has data outside its records, which a chip would start without');
  const functions = text
    .slice(begin, end)
    .replace(/^static void init_memories[^}]*}\n/m, '')
    .replaceAll(new RegExp(`\\(${INSTANCE}\\*(?: instance)?\\)`, 'g'), '(void)')
    .replaceAll(new RegExp(`\\(${INSTANCE}\\*(?: instance)?, `, 'g'), '(')
    .replaceAll(/&instance->w2c_memory, \(u64\)\((\w+)\)(?: \+ (\d+)u)?/g, (_, at, offset = '0') => `${at}, ${offset}`)
    .replaceAll(/\(instance(?:, )?/g, '(');
  checkOffsets(functions);
  const left = /^.*\b(?:instance|w2c_memory)\b.*$/m.exec(functions);
  if (left !== null) throw new Error(`wasm2c has written something that is not understood: ${left[0].trim()}`);
  return markCold(functions);
}

/** A field stands at a multiple of its size, so wasm-ops.h may reach it as an element. @throws Error for one that does not */
function checkOffsets(functions: string): void {
  for (const [access, bits = '32', offset] of functions.matchAll(/[if]32_(?:load|store)(8|16)?\w*\(\w+, (\d+)/g)) {
    if (Number(offset) % (Number(bits) / 8) !== 0) throw new Error(`the controller reaches a field across its alignment: ${access}`);
  }
}

/** Functions that only configure() calls are marked as such: they are made small, not fast. */
function markCold(functions: string): string {
  const bodies = new Map<string, string>();
  for (const [, name = '', body = ''] of functions.matchAll(/^static \w+ (w2c_\w+)\([^)]*\) \{\n([\s\S]*?)^\}/gm)) bodies.set(name, body);
  const reached = (from: string, seen = new Set<string>()): Set<string> => {
    if (seen.has(from)) return seen;
    seen.add(from);
    for (const [, callee = ''] of (bodies.get(from) ?? '').matchAll(/\b(w2c_\w+)\(/g)) reached(callee, seen);
    return seen;
  };
  const warm = reached('w2c_tick');
  return functions.replaceAll(/^static (\w+ (w2c_\w+)\([^)]*\);)$/gm, (line, rest, name) =>
    warm.has(name) ? line : `static __attribute__((cold)) ${rest}`,
  );
}

/** The controller as one C file. @throws Error when wasm2c is not there, or refuses the binary */
export function translate(wasmFile: string): string {
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-wasm2c-'));
  try {
    const made = join(folder, 'controller.c');
    // Its description says nothing to the translator, and a copy without it keeps file names out of the C.
    writeFileSync(join(folder, 'controller.wasm'), readFileSync(wasmFile));
    execFileSync('wasm2c', [join(folder, 'controller.wasm'), '-n', MODULE, '-o', made], { stdio: ['ignore', 'pipe', 'pipe'] });
    return PREAMBLE + functionsOf(readFileSync(made, 'utf8')) + ENTRIES;
  } finally {
    rmSync(folder, { recursive: true });
  }
}
