import { execFileSync } from 'node:child_process';
import { copyFileSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ARITHMETIC } from '../../../host/chip/build.js';
import { FIRMWARE } from '../../../host/chip/chips.js';
import { functionsOf, translate } from '../../../host/chip/translate.js';
import { isChipMissing } from '../../support/chip-tools.js';
import { missingTool } from '../../support/missing-tool.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

describe('the output of wasm2c', () => {
  const HEAD = 'static u32 w2c_tick(Z_controller_instance_t* instance) {\n';
  const END = "}\n\n/* export: 'tick' */\n";

  it('is refused if it has no functions of the module', () => {
    expect(() => functionsOf('int main(void) { return 0; }\n')).toThrow(/version 1.0.32/);
    expect(() => functionsOf(HEAD)).toThrow(/version 1.0.32/);
  });

  it('is refused, with the line, if an unknown use of the instance is left', () => {
    expect(() => functionsOf(`${HEAD}  instance->w2c_table.data[0] = 1;\n${END}`)).toThrow(
      'unexpected output of wasm2c: instance->w2c_table.data[0] = 1;',
    );
    expect(() => functionsOf(`${HEAD}  wasm_rt_grow_memory((&instance->w2c_memory), 1u);\n${END}`)).toThrow(/grow_memory/);
  });

  it('keeps address and constant offset of an access separate, and drops the instance from calls', () => {
    const text = `${HEAD}  x = i32_load(&instance->w2c_memory, (u64)(p) + 12u) + i32_load(&instance->w2c_memory, (u64)(q));\n  w2c_f(instance, x);\n  w2c_g(instance);\n${END}`;
    expect(functionsOf(text)).toContain('x = i32_load(p, 12) + i32_load(q, 0);\n  w2c_f(x);\n  w2c_g();\n');
    expect(functionsOf(text)).toContain('static u32 w2c_tick(void) {');
  });
});

/* One page of memory on both sides, the unit of WebAssembly. */
const MEMORY = 65_536;

type Operation = readonly [name: string, body: string];
const A = '(local.get 0)';
const B = '(local.get 1)';
const real = (word: string): string => `(f32.reinterpret_i32 ${word})`;
const bits = (value: string): string => `(i32.reinterpret_f32 ${value})`;

const ACCESSES = [
  { name: 'i32.load', size: 4 },
  { name: 'f32.load', size: 4 },
  { name: 'i32.load16_u', size: 2 },
  { name: 'i32.load8_u', size: 1 },
  { name: 'i32.store', size: 4 },
  { name: 'f32.store', size: 4 },
  { name: 'i32.store16', size: 2 },
  { name: 'i32.store8', size: 1 },
] as const;
/** Constant offsets: small, at the end of memory, past it, and the largest; all are multiples of the fields' sizes. */
const OFFSETS = [0, 4, 1000, MEMORY - 8, MEMORY - 4, MEMORY, 70_000, 4_294_967_292];

function accessOf(name: string, offset: number): Operation {
  const at = `offset=${offset} ${A}`;
  const value = name.startsWith('f32') ? real(B) : B;
  const body = name.includes('store')
    ? `(${name} ${at} ${value}) (i32.const 0)`
    : name.startsWith('f32')
      ? bits(`(${name} ${at})`)
      : `(${name} ${at})`;
  return [`${name} ${offset}`, body];
}

const NUMERIC: readonly Operation[] = [
  ...['min', 'max'].map((name): Operation => [name, bits(`(f32.${name} ${real(A)} ${real(B)})`)]),
  ...['nearest', 'ceil', 'floor', 'abs', 'sqrt', 'neg'].map((name): Operation => [name, bits(`(f32.${name} ${real(A)})`)]),
  ...['i32.trunc_f32_s', 'i32.trunc_f32_u'].map((name): Operation => [name, `(${name} ${real(A)})`]),
  ...['f32.convert_i32_s', 'f32.convert_i32_u'].map((name): Operation => [name, bits(`(${name} ${A})`)]),
  ...['div_u', 'rem_u', 'shl', 'shr_u', 'shr_s', 'lt_s', 'lt_u'].map((name): Operation => [name, `(i32.${name} ${A} ${B})`]),
  ...['clz', 'ctz'].map((name): Operation => [name, `(i32.${name} ${A})`]),
  ...['add', 'mul', 'div'].map((name): Operation => [`f32.${name}`, bits(`(f32.${name} ${real(A)} ${real(B)})`)]),
  ...['lt', 'ge', 'eq', 'ne'].map((name): Operation => [`f32.${name}`, `(f32.${name} ${real(A)} ${real(B)})`]),
  ['fused', bits(`(f32.add (f32.mul ${real(A)} ${real(A)}) ${real(B)})`)],
  ['unreachable', '(if (i32.eqz (local.get 0)) (then (unreachable))) (local.get 1)'],
];
const OPERATIONS: readonly Operation[] = [...ACCESSES.flatMap(({ name }) => OFFSETS.map((offset) => accessOf(name, offset))), ...NUMERIC];

const WAT = `(module (memory (export "memory") 1 1)
  (func $configure (export "configure") (param i32) (result i32) (i32.const 0))
  (func $reconfigure (export "reconfigure") (result i32) (i32.const 0))
  (func $tick (export "tick"))
${OPERATIONS.map(([, body], index) => `  (func $op${index} (export "op${index}") (param i32 i32) (result i32) ${body})`).join('\n')})`;

/* Replaces the controller's header. Trap numbers are those of latchbench-chip.h. */
const HEADER = `#include <stdint.h>
#define LB_RECORDS_END ${MEMORY}
/* With steps of one byte the check is that of WebAssembly. */
#define LB_CODE_SECTION
#define LB_MEMORY_SECTION
enum { LB_GUARD_BYTES = 1 };
extern uint8_t lb_memory[LB_RECORDS_END + LB_GUARD_BYTES];
enum { LB_TRAP_UNREACHABLE = 1, LB_TRAP_OUT_OF_BOUNDS = 2, LB_TRAP_CONVERSION = 3, LB_TRAP_DIVIDE_BY_ZERO = 4 };
__attribute__((noreturn)) void lb_trap(uint32_t reason);
`;

/* Operation and two words in; trap and word out; at the end the whole memory. */
const MAIN = `#include "controller.c"
#include <setjmp.h>
#include <stdio.h>
static jmp_buf after_trap;
void lb_trap(uint32_t reason) { longjmp(after_trap, (int)reason); }
static u32 (*const operations[])(u32, u32) = {${OPERATIONS.map((_, index) => `w2c_op${index}`).join(', ')}};
int main(void) {
  u32 in[3];
  while (fread(in, 4, 3, stdin) == 3) {
    volatile u32 out[2] = {0, 0};
    const int trap = setjmp(after_trap);
    if (trap == 0) out[1] = operations[in[0]](in[1], in[2]);
    out[0] = (u32)trap;
    fwrite((const void*)out, 4, 2, stdout);
  }
  fwrite(lb_memory, 1, LB_RECORDS_END, stdout);
}
`;

interface Call {
  readonly operation: number;
  readonly a: number;
  readonly b: number;
}

/** Messages of V8's traps, with the numbers of latchbench-chip.h. */
const TRAPS: readonly (readonly [pattern: RegExp, reason: number])[] = [
  [/unreachable/, 1],
  [/out of bounds/, 2],
  [/unrepresentable/, 3],
  [/divide by zero|remainder by zero/, 4],
];

/** NaN has many bit patterns, and WebAssembly leaves open which one results. */
const canonicalNan = (word: number): number => ((word & 0x7fffffff) >>> 0 > 0x7f800000 ? 0x7fc00000 : word >>> 0);
/** Operations whose result is a computed float. */
const isComputed = (operation: number): boolean => /^(min|max|nearest|ceil|floor|sqrt|f32\.(add|mul|div)|fused)$/.test(nameOf(operation));
const nameOf = (operation: number): string => OPERATIONS[operation]?.[0] ?? '';

type Result = readonly [trap: number, word: number];

interface Built {
  readonly wasm: WebAssembly.Module;
  readonly program: string;
}
let built: Built | undefined;

/** Module and program of all operations, built once. */
function builtOnce(): Built {
  built ??= build();
  return built;
}

function build(): Built {
  const path = (name: string): string => join(folder, name);
  writeFileSync(path('module.wat'), WAT);
  execFileSync('wat2wasm', ['--debug-names', path('module.wat'), '-o', path('module.wasm')]);
  writeFileSync(path('latchbench-chip.h'), HEADER);
  copyFileSync(join(FIRMWARE, 'wasm-ops.h'), path('wasm-ops.h'));
  writeFileSync(path('controller.c'), translate(path('module.wasm')));
  writeFileSync(path('main.c'), MAIN);
  execFileSync('gcc', ['-std=gnu11', '-O2', ...ARITHMETIC, '-I', folder, path('main.c'), '-lm', '-o', path('program')], { stdio: 'pipe' });
  return { wasm: new WebAssembly.Module(readFileSync(path('module.wasm'))), program: path('program') };
}

/** Runs the calls one after another on one memory: translated and compiled, and in this engine's WebAssembly. */
function runBoth(calls: readonly Call[]): { c: Result[]; wasm: Result[]; memories: readonly [Buffer, Buffer] } {
  const { wasm, program } = builtOnce();
  const input = Buffer.from(Uint32Array.from(calls.flatMap(({ operation, a, b }) => [operation, a, b])).buffer);
  const bytes = execFileSync(program, { input, maxBuffer: 1 << 28 });
  const { exports } = new WebAssembly.Instance(wasm);
  const run = ({ operation, a, b }: Call): Result => {
    try {
      return [0, (exports[`op${operation}`] as (a: number, b: number) => number)(a, b) >>> 0];
    } catch (error) {
      const { message } = error as Error;
      return [TRAPS.find(([pattern]) => pattern.test(message))?.[1] ?? -1, 0];
    }
  };
  const canonical = ([trap, word]: Result, { operation }: Call): Result => [trap, isComputed(operation) ? canonicalNan(word) : word];
  const ofC = (_: Call, index: number): Result => [bytes.readUInt32LE(index * 8), bytes.readUInt32LE(index * 8 + 4)];
  return {
    c: calls.map((call, index) => canonical(ofC(call, index), call)),
    wasm: calls.map((call) => canonical(run(call), call)),
    memories: [bytes.subarray(calls.length * 8), Buffer.from((exports.memory as WebAssembly.Memory).buffer)],
  };
}

function expectSame(calls: readonly Call[]): { traps: Set<number> } {
  const { c, wasm, memories } = runBoth(calls);
  const textOf = (results: readonly Result[], index: number): string => {
    const { operation = 0, a = 0, b = 0 } = calls[index] ?? {};
    return `${nameOf(operation)} ${a.toString(16)} ${b.toString(16)}: trap ${results[index]?.[0]} ${results[index]?.[1].toString(16)}`;
  };
  const different = c.flatMap((result, index) =>
    result[0] === wasm[index]?.[0] && result[1] === wasm[index]?.[1] ? [] : [[textOf(c, index), textOf(wasm, index)]],
  );
  expect(different.slice(0, 10)).toEqual([]);
  expect(Buffer.compare(...memories)).toBe(0);
  return { traps: new Set(c.map(([trap]) => trap)) };
}

const wordOf = (value: number): number => new Uint32Array(Float32Array.of(value).buffer)[0] ?? 0;

/** Values at which rounding, conversion and comparison change their behaviour, with both signs. */
const EDGES = [
  ...[0, 2 ** -149, 2 ** -127, 2 ** -126, 0.25, 0.49999997, 0.5, 0.50000006, 0.99999994, 1, 1.0000001, 1.5, 2, 2.5, 3.5, 126.5],
  ...[2 ** 21 + 0.25, 2 ** 22 - 0.5, 2 ** 22 + 0.5, 2 ** 23 - 1.5, 2 ** 23 - 0.5, 2 ** 23, 2 ** 23 + 1, 2 ** 24, 2 ** 24 + 2],
  ...[2 ** 31 - 128, 2 ** 31, 2 ** 31 + 256, 2 ** 32 - 256, 2 ** 32, 2 ** 33, 3.4028234663852886e38, Number.POSITIVE_INFINITY],
].flatMap((value) => [wordOf(value), wordOf(-value)]);
/** Quiet and signalling, of both signs. */
const NANS = [0x7fc00000, 0xffc00000, 0x7f800001, 0xff800001, 0x7fffffff];
const WORDS = [...EDGES, ...NANS, 1, 2, 31, 32, 33, 0x7fffffff, 0x80000001, 0xfffffffe, 0xffffffff];

/** The same words in every run: xorshift32 of Marsaglia, Journal of Statistical Software 8(14), 2003. */
function* randomWords(count: number): Generator<number> {
  let x = 2_463_534_242;
  for (let index = 0; index < count; index++) {
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    yield x >>> 0;
  }
}

const IS_MISSING = isChipMissing('native') || missingTool('wat2wasm', 'apt-get install wabt');
const FIRST_NUMERIC = OPERATIONS.length - NUMERIC.length;

describe.skipIf(IS_MISSING)('the operations in C', () => {
  it('trap at the end of memory for exactly the accesses for which WebAssembly traps', () => {
    const calls = ACCESSES.flatMap(({ size }, access) =>
      OFFSETS.flatMap((offset, index) => {
        const limits = [0, MEMORY - size - offset, MEMORY - offset, MEMORY - size, MEMORY, 2 ** 31, 2 ** 32 - size, 2 ** 32 - offset];
        const near = limits.flatMap((limit) => [limit - 1, limit, limit + 1]).filter((at) => at >= 0 && at < 2 ** 32);
        return near.map((a) => ({ operation: access * OFFSETS.length + index, a, b: 0x1234_5678 + a }));
      }),
    );
    expect(expectSame(calls).traps).toEqual(new Set([0, 2]));
  });

  it("allow every access inside the records and none outside the array, with the chip's steps", () => {
    const program = `#include <setjmp.h>
#include <stdio.h>
#include <stdint.h>
#define LB_RECORDS_END 1000u
#define LB_CODE_SECTION
enum { LB_GUARD_BYTES = 256 };
uint8_t lb_memory[LB_RECORDS_END + LB_GUARD_BYTES];
enum { LB_TRAP_UNREACHABLE = 1, LB_TRAP_OUT_OF_BOUNDS = 2, LB_TRAP_CONVERSION = 3, LB_TRAP_DIVIDE_BY_ZERO = 4 };
__attribute__((noreturn)) void lb_trap(uint32_t reason);
#include "wasm-ops.h"
static jmp_buf after_trap;
void lb_trap(uint32_t reason) { longjmp(after_trap, (int)reason); }
static int is_allowed(u32 at, u32 offset) {
  if (setjmp(after_trap) != 0) return 0;
  CHECK_ACCESS(u32);
  return 1;
}
int main(void) {
  unsigned allowed = 0, trapped = 0, wrong = 0;
  for (u32 offset = 0; offset < 1400; offset += 4) {
    for (int64_t at = -1400; at < 1400; at += 4) {
      const uint64_t end = (uint64_t)(u32)at + offset + 4;
      if (is_allowed((u32)at, offset)) { allowed++; wrong += end > 1255; } else { trapped++; wrong += end <= 1000; }
    }
  }
  printf("%d %d %u\\n", allowed > 10000, trapped > 10000, wrong);
}
`;
    const path = (name: string): string => join(folder, name);
    writeFileSync(path('guard.c'), program);
    copyFileSync(join(FIRMWARE, 'wasm-ops.h'), path('wasm-ops.h'));
    writeFileSync(path('latchbench-chip.h'), '');
    execFileSync('gcc', ['-std=gnu11', '-O1', '-I', folder, path('guard.c'), '-lm', '-o', path('guard')], { stdio: 'pipe' });
    expect(execFileSync(path('guard'), { encoding: 'utf8' })).toBe('1 1 0\n');
  });

  it('agree with WebAssembly for every pair of edge values', () => {
    const calls = NUMERIC.flatMap((_, index) => WORDS.flatMap((a) => WORDS.map((b) => ({ operation: FIRST_NUMERIC + index, a, b }))));
    expect(expectSame(calls).traps).toEqual(new Set([0, 1, 3, 4]));
  });

  it('agree with WebAssembly for random words', () => {
    const words = [...randomWords(8000)];
    const calls = NUMERIC.flatMap((_, index) =>
      words.slice(1).map((a, at) => ({ operation: FIRST_NUMERIC + index, a, b: words[at] ?? 0 })),
    );
    expectSame(calls);
  });

  it('return -0, ties to even and NaN where IEEE 754 requires them', () => {
    // By hand, to reveal an error common to both sides: operation, operands, word.
    const operationOf = (name: string): number => OPERATIONS.findIndex(([one]) => one === name);
    const [plus, minus] = [wordOf(0), wordOf(-0)];
    const table: readonly (readonly [string, number, number, number])[] = [
      ['min', plus, minus, minus],
      ['min', minus, plus, minus],
      ['max', minus, plus, plus],
      ['max', plus, minus, plus],
      ['min', wordOf(Number.NaN), wordOf(1), 0x7fc00000],
      ['max', wordOf(1), wordOf(Number.NaN), 0x7fc00000],
      ['nearest', wordOf(2.5), 0, wordOf(2)],
      ['nearest', wordOf(3.5), 0, wordOf(4)],
      ['nearest', wordOf(-0.5), 0, minus],
      ['ceil', wordOf(-0.7), 0, minus],
      ['ceil', wordOf(2 ** 23 - 0.5), 0, wordOf(2 ** 23)],
      ['floor', wordOf(-0.3), 0, wordOf(-1)],
      ['floor', minus, 0, minus],
      ['i32.trunc_f32_s', wordOf(-2147483648), 0, 0x80000000],
      ['i32.trunc_f32_u', wordOf(-0.99999994), 0, 0],
      ['clz', 0, 0, 32],
      ['ctz', 0, 0, 32],
    ];
    const { c } = runBoth(table.map(([name, a, b]) => ({ operation: operationOf(name), a, b })));
    expect(c).toEqual(table.map(([, , , word]) => [0, word]));
  });
});
