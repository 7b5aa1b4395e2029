import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readControllerSources } from '../../../host/build/controller.js';
import { openRecording } from '../../../host/recording/reader.js';
import { traceCall } from '../../../host/review/trace/call-tree.js';
import { findDivergence, type TracedDivergence } from '../../../host/review/trace/find-divergence.js';
import type { SignalMatch } from '../../../host/review/trace/signal-match.js';
import { isSameLine, matchLines } from '../../../host/review/trace/source-lines.js';
import { buildTraced, isCompiledFrom, type TracedBuild } from '../../../host/review/trace/traced-build.js';
import { createWasmRunner } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { controller } from '../../support/bench.js';
import { PROJECT } from '../../support/project.js';

/** A controller of a few lines: inputs are floats from byte 16 on, outputs from byte 64 on. */
const build = (lines: string): Promise<TracedBuild> => {
  const index = `${lines}\nexport function configure(rows: i32): i32 {\n  return 0;\n}\n`;
  return buildTraced({ ...readControllerSources(PROJECT.root), sources: new Map([['assembly/controller/index.ts', index]]) });
};

const MEMORY_BYTES = 65536;
const OUT = 64;
const SIGNALS = ['first', 'second', 'third'];
const nameOf = (address: number): string | undefined => SIGNALS[(address - OUT) / 4];

/** Memory with these inputs. */
function memoryOf(inputs: readonly number[]): Uint8Array {
  const memory = new Uint8Array(MEMORY_BYTES);
  new Float32Array(memory.buffer, 16).set(inputs);
  return memory;
}

const outputsOf = (memory: Uint8Array): number[] => [...new Float32Array(memory.buffer, OUT, SIGNALS.length)];

/** Runs a tick of two small controllers and finds the first difference. */
async function diverge(base: string, head: string, inputs: readonly number[]): Promise<TracedDivergence | undefined> {
  const [a, b] = [await build(base), await build(head)];
  const before = memoryOf(inputs);
  const after = [a, b].map((one) => outputsOf(traceCall(one, before, 'tick', 1).memory));
  const match: SignalMatch = {
    baseName: nameOf,
    headName: nameOf,
    same: (_, left, right) => Object.is(left, right),
    before: () => [0, 0],
    differing: new Set(SIGNALS.filter((_, index) => !Object.is(after[0]?.[index], after[1]?.[index]))),
    sameRecord: () => false,
  };
  return findDivergence({ build: a, rows: 1, before }, { build: b, rows: 1, before }, 'tick', match);
}

/** Signal, both values, and the text of the suspected line. */
const summaryOf = (found: TracedDivergence | undefined) =>
  found && [found.signal, found.base, found.head, found.suspectedLine?.text.trim()];

const tick = (...lines: string[]): string => `export function tick(): void {\n${lines.map((line) => `  ${line}`).join('\n')}\n}`;

describe('the suspected line of a difference', () => {
  it('is none if nothing differs', async () => {
    const source = tick('store<f32>(64, load<f32>(16) * 2);');
    expect(await diverge(source, source, [3])).toBeUndefined();
  });

  it('is the store that computes a different value', async () => {
    const found = await diverge(tick('store<f32>(64, load<f32>(16) * 2);'), tick('store<f32>(64, load<f32>(16) * 3);'), [5]);
    expect(summaryOf(found)).toEqual(['first', 10, 15, 'store<f32>(64, load<f32>(16) * 3);']);
    expect(found?.baseLine?.text.trim()).toBe('store<f32>(64, load<f32>(16) * 2);');
    expect(found?.suspectedLine).toMatchObject({ file: 'assembly/controller/index.ts', line: 2, function: 'tick' });
  });

  it('is in a called function, not where its result is stored', async () => {
    const source = (body: string): string =>
      `function twice(x: f32): f32 {\n  ${body}\n}\n${tick('store<f32>(64, twice(load<f32>(16)));')}`;
    expect(summaryOf(await diverge(source('return x + x;'), source('return x * x;'), [5]))).toEqual(['first', 10, 25, 'return x * x;']);
  });

  it('is the call with arguments in the wrong order, not the function', async () => {
    const less = 'function less(x: f32, y: f32): f32 {\n  return x - y;\n}\n';
    const source = (call: string): string =>
      less + tick('const a = load<f32>(16);', 'const b = load<f32>(20);', `store<f32>(64, ${call});`);
    const found = await diverge(source('less(a, b)'), source('less(b, a)'), [5, 3]);
    expect(summaryOf(found)).toEqual(['first', 2, -2, 'store<f32>(64, less(b, a));']);
  });

  it('is a different value of a local, several steps before the store', async () => {
    const source = (first: string): string => tick(first, 'const b = a * 2;', 'const c = b + 1;', 'store<f32>(64, c);');
    const found = await diverge(source('const a = load<f32>(16) + 1;'), source('const a = load<f32>(16) - 1;'), [5]);
    expect(summaryOf(found)).toEqual(['first', 13, 9, 'const a = load<f32>(16) - 1;']);
  });

  it('is the condition with a different result', async () => {
    const source = (condition: string): string =>
      tick(`if (load<f32>(16) ${condition} 5) store<f32>(64, 1);`, 'else store<f32>(64, 2);', 'store<f32>(68, 7);');
    expect(summaryOf(await diverge(source('>'), source('>='), [5]))).toEqual(['first', 2, 1, 'if (load<f32>(16) >= 5) store<f32>(64, 1);']);
  });

  it('is the condition behind a store on one side only, and behind an early return', async () => {
    const source = (limit: string): string =>
      `function isLarge(x: f32): bool {\n  return x > ${limit};\n}\n${tick('if (!isLarge(load<f32>(16))) return;', 'store<f32>(64, 1);')}`;
    expect(summaryOf(await diverge(source('9'), source('4'), [5]))).toEqual(['first', 0, 1, 'return x > 4;']);
    expect(summaryOf(await diverge(source('4'), source('9'), [5]))).toEqual(['first', 1, 0, 'return x > 9;']);
  });

  it('is the place of a removed store', async () => {
    const found = await diverge(tick('store<f32>(68, 1);', 'store<f32>(64, load<f32>(16));'), tick('store<f32>(68, 1);', '// gone'), [5]);
    expect(summaryOf(found)).toEqual(['first', 5, 0, '// gone']);
  });

  it('is shown with the removed line of base, and with where a moved one went', async () => {
    const [first, second] = ['store<f32>(68, 1);', 'store<f32>(64, load<f32>(16));'];
    const gone = await diverge(tick(first, second, 'store<f32>(72, 1);'), tick(first, 'store<f32>(72, 1);'), [5]);
    expect([gone?.removedLine?.line, gone?.removedLine?.text.trim(), gone?.suspectedLine?.line]).toEqual([3, second, 3]);
    const [set, use] = ['let a: f32 = 1;', 'store<f32>(64, a);'];
    const later = await diverge(tick(set, 'a = load<f32>(16);', use), tick(set, use, 'a = load<f32>(16);', 'store<f32>(68, a);'), [5]);
    expect([later?.removedLine, later?.suspectedLine?.line, later?.suspectedLine?.text.trim()]).toEqual([
      undefined,
      4,
      'a = load<f32>(16);',
    ]);
    expect(later?.reason).toContain('moved from line 3 of base');
  });

  it('is the use that takes another constant, not the declaration of that one', async () => {
    const source = (mask: string): string =>
      `const NARROW: i32 = 1;\nconst WIDE: i32 = 3;\n${tick(`store<f32>(64, <f32>(<i32>load<f32>(16) & ${mask}));`, 'store<i32>(200, NARROW + WIDE);')}`;
    const found = await diverge(source('NARROW'), source('WIDE'), [2]);
    expect(summaryOf(found)?.[3]).toBe('store<f32>(64, <f32>(<i32>load<f32>(16) & WIDE));');
  });

  it('is the declaration that another one is computed from', async () => {
    const source = (value: string): string =>
      `const SHARE: f32 = ${value};\nconst TWICE: f32 = 2 * SHARE;\n${tick('store<f32>(64, load<f32>(16) * TWICE);')}`;
    expect(summaryOf(await diverge(source('0.5'), source('0.25'), [8]))).toEqual(['first', 8, 4, 'const SHARE: f32 = 0.25;']);
  });

  it('is in the round of a loop that differs', async () => {
    const source = (step: string): string =>
      tick('let sum: f32 = 0;', `for (let index = 0; index < 3; index++) sum ${step} load<f32>(16 + 4 * index);`, 'store<f32>(64, sum);');
    expect((await diverge(source('+='), source('-='), [1, 2, 4]))?.suspectedLine?.line).toBe(3);
  });

  it('is the declaration of a constant, via the line that uses it', async () => {
    const source = (value: string): string => `const SHARE: f32 = ${value};\n${tick('store<f32>(64, load<f32>(16) * SHARE);')}`;
    const found = await diverge(source('0.5'), source('0.25'), [8]);
    expect(summaryOf(found)).toEqual(['first', 4, 2, 'const SHARE: f32 = 0.25;']);
    expect(found?.via?.text.trim()).toBe('store<f32>(64, load<f32>(16) * SHARE);');
    expect(found?.baseLine?.text).toBe('const SHARE: f32 = 0.5;');
    expect([found?.suspectedLine?.function, found?.baseLine?.function, found?.via?.function]).toEqual(['', '', 'tick']);
  });

  it('is the declaration itself, not one in a comment or a function', async () => {
    const source = (value: string): string =>
      `// const SHARE: f32 = 0.5;\nfunction other(): f32 {\n  const SHARE: f32 = 1;\n  return SHARE;\n}\nconst SHARE: f32 = ${value};\n${tick('store<f32>(64, load<f32>(16) * SHARE);', 'store<f32>(68, other());')}`;
    const found = await diverge(source('0.5'), source('0.25'), [8]);
    expect([found?.suspectedLine?.line, found?.suspectedLine?.text]).toEqual([6, 'const SHARE: f32 = 0.25;']);
  });

  it('is a constant in one of several conditions combined to one value', async () => {
    const source = (value: string): string =>
      `const LEAST: f32 = ${value};\n${tick('const x = load<f32>(16);', 'const is = x >= LEAST && x <= 9;', 'if (is) store<f32>(64, x);')}`;
    const found = await diverge(source('1'), source('6'), [5]);
    expect(summaryOf(found)).toEqual(['first', 5, 0, 'const LEAST: f32 = 6;']);
  });

  describe('next to an innocent change', () => {
    /** Two constants, one of which is innocent, and a tick. */
    const source = (innocent: number, share: number, ...lines: string[]): string =>
      `const LIMIT: f32 = ${innocent};\nconst SHARE: f32 = ${share};\nfunction keep(x: f32): void {\n  store<f32>(200, x);\n}\nfunction kept(x: f32): f32 {\n  return x;\n}\n${tick(...lines)}`;

    it.each([
      ['in a guard before it that never applies', ['if (x > LIMIT) return;', 'store<f32>(64, x * SHARE);']],
      ['in a guard of a call', ['if (x > LIMIT) keep(x);', 'store<f32>(64, x * SHARE);']],
      ['in an argument of a call before it', ['keep(LIMIT);', 'store<f32>(64, x * SHARE);']],
      ['in an argument of a call whose result is dropped', ['kept(LIMIT);', 'store<f32>(64, x * SHARE);']],
      ['in a guard before the relevant condition', ['if (x > LIMIT) return;', 'if (x * SHARE > 2.5) store<f32>(64, 1);']],
      ['in the condition of another step', ['if (x > LIMIT - 5) keep(x);', 'if (x * SHARE > 2.5) store<f32>(64, 1);']],
      [
        'in the round before',
        ['for (let y: f32 = 2; y > 0; y--) {', 'if (y * LIMIT > 18.5) keep(y);', 'if (x * SHARE > 2.5)', 'store<f32>(64, 1);', '}'],
      ],
    ])('%s', async (_, lines) => {
      const [base, head] = [source(9, 0.5, 'const x = load<f32>(16);', ...lines), source(9.5, 0.75, 'const x = load<f32>(16);', ...lines)];
      expect(summaryOf(await diverge(base, head, [4]))?.[3]).toBe('const SHARE: f32 = 0.75;');
    });
  });

  describe('is a constant in the condition that decides on it', () => {
    const source = (limit: number, ...lines: string[]): string =>
      `const LIMIT: f32 = ${limit};\n${tick('const x = load<f32>(16);', ...lines)}`;

    it.each([
      ['in one line', ['if (x > LIMIT) store<f32>(64, 1); else store<f32>(64, 2);']],
      ['by an early return', ['if (x > LIMIT) return;', 'if (x < 0) return;', 'store<f32>(64, 1);']],
      ['by leaving a loop', ['for (let y: f32 = 0; y < 9; y++) {', 'store<f32>(64, y);', 'if (y > LIMIT) break;', '}']],
      ['by skipping the rest of a round', ['for (let y: f32 = 0; y < 9; y++) {', 'if (y > LIMIT) continue;', 'store<f32>(64, y);', '}']],
      ['by the number of rounds', ['for (let y: f32 = 0; y < LIMIT; y++) {', 'store<f32>(64, y);', '}']],
      ['by a switch', ['switch (<i32>(x > LIMIT)) {', 'case 0:', 'store<f32>(64, 1);', 'break;', 'default:', 'store<f32>(64, 2);', '}']],
      ['by a conditional expression', ['store<f32>(64, x > LIMIT ? 1 : 2);']],
    ])('%s', async (_, lines) => {
      expect(summaryOf(await diverge(source(3, ...lines), source(5, ...lines), [4]))?.[3]).toBe('const LIMIT: f32 = 5;');
    });
  });

  it('is found behind a temporary value in memory', async () => {
    const source = (first: string): string => tick(`store<f32>(64, ${first});`, 'store<f32>(68, load<f32>(64) * 2);', 'store<f32>(64, 0);');
    const found = await diverge(source('load<f32>(16)'), source('-load<f32>(16)'), [5]);
    expect(summaryOf(found)).toEqual(['second', 10, -10, 'store<f32>(64, -load<f32>(16));']);
  });

  it('distinguishes −0 from 0, and not NaN from NaN', async () => {
    expect(
      summaryOf(await diverge(tick('store<f32>(64, 0 * load<f32>(16));'), tick('store<f32>(64, -0.0 * load<f32>(16));'), [5]))?.slice(0, 3),
    ).toEqual(['first', 0, -0]);
    expect(await diverge(tick('store<f32>(64, load<f32>(16) / 0);'), tick('store<f32>(64, -(load<f32>(16) / 0));'), [0])).toBeUndefined();
  });

  it('is the assertion that fails on one side only', async () => {
    const source = (condition: string): string => tick(`assert(load<f32>(16) ${condition} 5);`, 'store<f32>(64, 1);');
    const found = await diverge(source('<='), source('<'), [5]);
    expect(found?.suspectedLine?.text.trim()).toBe('assert(load<f32>(16) < 5);');
  });
});

describe('a stop next to another difference', () => {
  it('is located by its assertion, not by the other difference', async () => {
    const source = (limit: string, share: string): string =>
      tick(`if (load<f32>(16) * ${share} > 4) store<f32>(68, 1);`, `assert(load<f32>(20) < ${limit});`, 'store<f32>(64, 1);');
    for (const share of ['0.6', '1.5'])
      expect((await diverge(source('9', '0.5'), source('3', share), [5, 5]))?.suspectedLine?.text.trim()).toBe(
        'assert(load<f32>(20) < 3);',
      );
  });
});

describe('edits without effect', () => {
  const base = `function half(x: f32): f32 {\n  return x / 2;\n}\n${tick('const a = load<f32>(16);', 'const b = half(a);', 'store<f32>(64, b);', 'store<f32>(68, a * 3);')}`;

  it.each([
    ['a comment on top', `// A comment.\n\n${base}`],
    ['a renamed local', base.replaceAll(' a ', ' value ').replaceAll('(a)', '(value)')],
    [
      'stores in another order',
      base.replace('  store<f32>(64, b);\n  store<f32>(68, a * 3);', '  store<f32>(68, a * 3);\n  store<f32>(64, b);'),
    ],
    ['an extracted function', `function triple(x: f32): f32 {\n  return x * 3;\n}\n${base.replace('a * 3', 'triple(a)')}`],
    ['an inlined function', base.replace('half(a)', 'a / 2')],
    ['exchanged operands', base.replace('a * 3', '3 * a')],
  ])('cause no divergence: %s', async (_, head) => {
    expect(head).not.toBe(base);
    expect(await diverge(base, head, [5])).toBeUndefined();
  });

  it('do not hide a change with an effect', async () => {
    const head = `// A comment.\nfunction triple(x: f32): f32 {\n  return x * 3;\n}\n${base.replace('a * 3', 'triple(a)').replace('x / 2', 'x / 4')}`;
    expect(summaryOf(await diverge(base, head, [8]))).toEqual(['first', 4, 2, 'return x / 4;']);
  });
});

describe('the traced build of the controller', () => {
  it.each(['target-step', 'missed-closes', 'small-reservoir', 'garbage-then-recovery'])(
    'computes the same bits as the release build over %s',
    async (name) => {
      const traced = await buildTraced(readControllerSources(PROJECT.root));
      const { rows, values, inputFile } = readVector(PROJECT, name);
      const runner = createWasmRunner(controller, rows, values);
      let checked = 0;
      for (const { tick: at, payload } of openRecording(inputFile).messages({ messages: ['input'], toTick: 1500 })) {
        runner.input.set(payload);
        const before = runner.saveState();
        runner.tick();
        if (at % 50 !== 0) continue;
        const { memory, trap } = traceCall(traced, before, 'tick', rows);
        expect(trap).toBeUndefined();
        expect(Buffer.from(memory).equals(runner.saveState()), `tick ${at}`).toBe(true);
        checked += 1;
      }
      expect(checked).toBeGreaterThan(25);
    },
  );
});

describe('sources of a binary', () => {
  const bytes = readFileSync(PROJECT.controllerWasm);
  const { sourceHash } = controller.description;
  const from = readControllerSources(PROJECT.root);
  const { sources } = from;
  const other = new Map(sources).set('assembly/controller/bank.ts', `${sources.get('assembly/controller/bank.ts')}\nthis does not compile`);
  const index = sources.get('assembly/controller/index.ts') ?? '';
  const grown = new Map(sources).set('assembly/controller/index.ts', `${index}\nexport function more(): i32 {\n  return 1;\n}\n`);

  it.each([
    ['by their hash', sources, sourceHash, true],
    ['by what they compile to, if a file in the hash is not imported', sources, 'another hash', true],
    ['not those that compile to different code', grown, sourceHash, false],
    ['not those that do not compile', other, sourceHash, false],
    ['not a part of them', new Map([...sources].slice(1)), sourceHash, false],
  ])('%s', async (_, tree, hash, is) => {
    expect(await isCompiledFrom(bytes, { sourceHash: hash }, { ...from, sources: tree })).toBe(is);
  });
});

describe('matchLines', () => {
  const match = matchLines('a\nb\nc\nd', 'x\na\nB\nc');

  it('finds changed lines, and the head line of each base line', () => {
    expect([...match.changed]).toEqual([1, 3, 5]);
    expect([...match.headOf]).toEqual([
      [1, 2],
      [2, 3],
      [3, 4],
      [4, 5],
    ]);
  });

  it.each([
    [1, 2, true],
    [1, 1, false],
    [2, 3, true],
    [2, 4, false],
    [3, 4, true],
  ])('base line %d and head line %d: %s', (base, head, is) => {
    expect(isSameLine(match, base, head)).toBe(is);
  });
});
