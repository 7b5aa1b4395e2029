import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import binaryen from 'binaryen';
import { beforeAll, describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { describeModule, SECTION } from '../../../host/contract/embed.js';
import { createWasmRunner } from '../../../host/runner/wasm-runner.js';
import { arbitraryInputs } from '../../support/arbitrary-inputs.js';
import { controller } from '../../support/bench.js';
import { missingTool } from '../../support/missing-tool.js';
import { PROJECT } from '../../support/project.js';
import { readSections } from '../../support/wasm-sections.js';

const bytes = readFileSync(PROJECT.controllerWasm);
const module = new WebAssembly.Module(bytes);
let parsed: binaryen.Module;
beforeAll(() => {
  parsed = binaryen.readBinary(bytes);
});

/** Everything in wabt 1.0.32 that came after WebAssembly 1.0 and is on by default. */
const LATER_FEATURES = [
  'mutable-globals',
  'saturating-float-to-int',
  'sign-extension',
  'simd',
  'multi-value',
  'bulk-memory',
  'reference-types',
].map((feature) => `--disable-${feature}`);

describe('the release binary', () => {
  it('imports nothing', () => {
    expect(WebAssembly.Module.imports(module)).toEqual([]);
  });

  it('exports memory, configure and tick, and nothing else', () => {
    const exports = WebAssembly.Module.exports(module).map(({ name, kind }) => `${name}: ${kind}`);
    expect(exports.sort()).toEqual(['configure: function', 'memory: memory', 'tick: function']);
  });

  it('configure takes and gives one i32, tick neither takes nor gives', () => {
    const signature = (name: string): unknown[] => {
      const { value } = binaryen.getExportInfo(parsed.getExport(name));
      const { params, results } = binaryen.getFunctionInfo(parsed.getFunction(value));
      return [binaryen.expandType(params), binaryen.expandType(results)];
    };
    expect(signature('configure')).toEqual([[binaryen.i32], [binaryen.i32]]);
    expect(signature('tick')).toEqual([[], []]);
  });

  it('has no mutable global', () => {
    const globals = Array.from({ length: parsed.getNumGlobals() }, (_, index) => binaryen.getGlobalInfo(parsed.getGlobalByIndex(index)));
    expect(globals.filter(({ mutable }) => mutable).map(({ name }) => name)).toEqual([]);
  });

  it('has the sections of a program without data, tables or a start function, and two custom ones at most', () => {
    const standard = readSections(bytes).filter(({ id }) => id !== 0);
    // 1 type, 3 function, 5 memory, 6 global, 7 export, 10 code (WebAssembly Core Specification 1.0, §5.5.2)
    expect(standard.map(({ id }) => id).filter((id) => ![1, 3, 5, 6, 7, 10].includes(id))).toEqual([]);
    expect(standard.map(({ id }) => id)).toEqual(expect.arrayContaining([1, 3, 5, 7, 10]));
    expect(parsed.getNumMemorySegments()).toBe(0);
  });

  it('has one page of memory that can not grow', () => {
    const { initial, max } = parsed.getMemoryInfo();
    expect({ initial, max }).toEqual({ initial: 1, max: 1 });
  });

  it('is valid as WebAssembly 1.0, says binaryen', () => {
    parsed.setFeatures(binaryen.Features.MVP);
    expect(parsed.validate()).toBe(1);
  });

  it('binaryen would find an instruction that is not in WebAssembly 1.0', () => {
    // In a process of its own, because binaryen prints what it finds.
    const script = `
      import binaryen from 'binaryen';
      const other = binaryen.parseText('(module (func (param i32) (result i32) (i32.extend8_s (local.get 0))))');
      other.setFeatures(binaryen.Features.MVP);
      process.exit(other.validate() === 0 ? 0 : 1);`;
    expect(spawnSync(process.execPath, ['--input-type=module', '-e', script], { cwd: PROJECT.root }).status).toBe(0);
  });

  it('is valid as WebAssembly 1.0, says wasm-validate', ({ skip }) => {
    if (missingTool('wasm-validate', 'apt-get install wabt')) return skip();
    const { status, stdout, stderr } = spawnSync('wasm-validate', [...LATER_FEATURES, PROJECT.controllerWasm], { encoding: 'utf8' });
    expect(status, stdout + stderr).toBe(0);
  });

  it('carries the contract of this checkout exactly once', () => {
    expect(WebAssembly.Module.customSections(module, SECTION)).toHaveLength(1);
    const description = describeModule(module);
    expect(description.contract).toEqual(JSON.parse(JSON.stringify(describeContract())));
    expect(description.sourceHash).toMatch(/^[0-9a-f]{64}$/);
  });
});

/** Runs on with random inputs and tells outputs and state hash of every tick. */
function runOn(target: ReturnType<typeof createWasmRunner>, from: number, ticks: number): string[] {
  return Array.from({ length: ticks }, (_, count) => {
    arbitraryInputs(target.input, from + count);
    target.tick();
    return `${Buffer.from(target.output).toString('hex')} ${target.stateHash()}`;
  });
}

describe('a copy of memory is a complete snapshot', () => {
  it.each([1, 3, 24, 48])('%i rows go on from it tick by tick as they did', (rows) => {
    const target = createWasmRunner(controller, rows, { lowerSettleMs: 0, restMs: 5, relatchS: 1, frozenMs: 0 });
    runOn(target, 0, 700);
    const snapshot = target.saveState();
    const first = runOn(target, 700, 500);
    expect(new Set(first).size).toBeGreaterThan(400);
    target.restoreState(snapshot);
    expect(runOn(target, 700, 500)).toEqual(first);
  });

  it('another instance goes on from it as well', () => {
    const values = { lowerSettleMs: 0, restMs: 5, relatchS: 1, frozenMs: 0 };
    const one = createWasmRunner(controller, 5, values);
    runOn(one, 0, 333);
    const other = createWasmRunner(controller, 5, {});
    other.restoreState(one.saveState());
    expect(runOn(other, 333, 500)).toEqual(runOn(one, 333, 500));
  });

  it('a snapshot is a copy: what runs on does not change it', () => {
    const target = createWasmRunner(controller, 2);
    const snapshot = target.saveState();
    const before = Buffer.from(snapshot).toString('hex');
    runOn(target, 0, 10);
    expect(Buffer.from(snapshot).toString('hex')).toBe(before);
  });
});
