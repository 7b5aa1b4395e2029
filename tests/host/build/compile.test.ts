import { describe, expect, it } from 'vitest';
import { type Compilation, compile } from '../../../host/build/compile.js';
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
