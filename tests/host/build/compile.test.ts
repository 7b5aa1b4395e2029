import { describe, expect, it } from 'vitest';
import { compile } from '../../../host/build/compile.js';
import type { CacheEntry } from '../../../host/build/compile-cache.js';
import type { Compilation } from '../../../host/build/compile-in-memory.js';
import { parseOptions } from '../../../host/build/compiler-options.js';
import { WorkerPool } from '../../../host/common/pool.js';
import { SECTION } from '../../../host/contract/embed.js';
import { customSections, readModule } from '../../../host/wasm/module.js';

const SOURCE = 'export function twice(x: i32): i32 {\n  return 2 * x;\n}\n';
const TINY: Compilation = {
  name: 'tiny',
  sources: new Map([['some/index.ts', SOURCE]]),
  entry: 'some/index.ts',
  options: { runtime: 'stub', optimizeLevel: 0 },
};

describe('compile', () => {
  it('compiles from memory, with the source map beside the binary', async () => {
    const { wasm, map, messages } = await compile(TINY);
    const { exports } = new WebAssembly.Instance(new WebAssembly.Module(wasm as Uint8Array<ArrayBuffer>), {});
    expect((exports.twice as (x: number) => number)(21)).toBe(42);
    const { sources, sourcesContent } = JSON.parse(map);
    expect(sourcesContent[sources.indexOf('some/index.ts')]).toBe(SOURCE);
    expect(messages).toBe('');
  });

  it('appends a section', async () => {
    const content = { version: '1', sourceHash: '2' };
    const { wasm } = await compile({ ...TINY, section: { name: SECTION, content } });
    const [section] = customSections(readModule(wasm), SECTION);
    expect(JSON.parse(Buffer.from(section ?? []).toString())).toEqual(content);
  });

  it.each<[string, Partial<Compilation>]>([
    ['sources', { sources: new Map([['some/index.ts', `${SOURCE}// A comment.\n`]]) }],
    ['another file', { sources: new Map([...TINY.sources, ['some/other.ts', '']]) }],
    ['options', { options: { ...TINY.options, optimizeLevel: 1 } }],
    ['name', { name: 'small' }],
    ['section', { section: { name: 'x', content: {} } }],
  ])('has another entry in the cache for other %s', async (_, change) => {
    const [one, other] = [await compile(TINY), await compile({ ...TINY, ...change })];
    expect(other.file).not.toBe(one.file);
  });

  it('rejects with the messages of the compiler', async () => {
    const sources = new Map([['some/index.ts', 'export function twice(x: i32): i32 {\n  return 2x;\n}\n']]);
    await expect(compile({ ...TINY, sources })).rejects.toThrow('in some/index.ts(2,11)');
  });

  it('does not read files that are not among the sources', async () => {
    const sources = new Map([
      ['tests/index.ts', "import { clamp } from '../assembly/controller/pulse';\nexport const x = clamp(1, 2, 3);\n"],
    ]);
    await expect(compile({ ...TINY, sources, entry: 'tests/index.ts' })).rejects.toThrow("File 'assembly/controller/pulse.ts' not found");
  });
});

describe('sources of somebody else', () => {
  const of = (text: string): Compilation => ({ ...TINY, sources: new Map([['some/index.ts', text]]) });

  it('compile to the same binary', async () => {
    expect(Buffer.from((await compile(of(`${SOURCE}// foreign`), { isForeign: true })).wasm)).toEqual(
      Buffer.from((await compile(TINY)).wasm),
    );
  });

  it('are refused with the messages of the compiler', async () => {
    await expect(compile(of('export function twice(x: i32): i32 {\n  return 2x;\n}\n'), { isForeign: true })).rejects.toThrow(
      'in some/index.ts(2,11)',
    );
  });

  it('do not end the program if they crash the compiler', async () => {
    const deep = `export function deep(): i32 {\n  return ${'('.repeat(20_000)}1${')'.repeat(20_000)};\n}\n`;
    await expect(compile(of(deep), { isForeign: true })).rejects.toThrow('some: the sources do not compile: the compiler failed');
  });

  it('do not compile for longer than they may', async () => {
    const pool = new WorkerPool<Compilation, CacheEntry>(new URL('../../../host/build/compile-worker.js', import.meta.url), undefined, 1);
    await expect(pool.runOne(TINY, 0.001)).rejects.toThrow(/abort/);
    await pool.close();
  });
});

describe('parseOptions', () => {
  const options = { runtime: 'stub', use: ['abort='], optimizeLevel: 3, converge: true };

  it('reads options that neither name a file nor run code', () => {
    expect(parseOptions(JSON.stringify({ entries: ['x.ts'], options }))).toEqual(options);
  });

  it.each([
    ['transform', { transform: './x.mjs' }, /unknown compiler option "transform"; it must be one of/],
    ['outFile', { outFile: '/etc/passwd' }, /unknown compiler option "outFile"/],
    ['a level', { optimizeLevel: 4 }, /"options\.optimizeLevel" is 4; it must be at most 3|between 0 and 3/],
    ['an alias', { use: '--transform=x' }, /it must be NAME=VALUE/],
    ['memory', { maximumMemory: 65536 }, /between 0 and 256/],
  ])('refuses %s', (_, more, reason) => {
    expect(() => parseOptions(JSON.stringify({ options: { ...options, ...more } }))).toThrow(reason);
  });

  it('refuses what is no JSON', () => {
    expect(() => parseOptions('{')).toThrow('asconfig.json: this is not JSON.');
  });
});
