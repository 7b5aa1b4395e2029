import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import binaryen from 'binaryen';
import { beforeAll, describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { SECTION } from '../../../host/contract/embed.js';
import { describeBinary } from '../../../host/contract/read-contract.js';
import { createWasmRunner } from '../../../host/runner/wasm-runner.js';
import { readModule } from '../../../host/wasm/module.js';
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

/** Features that came after WebAssembly 1.0 and are on by default in wabt 1.0.32. */
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

  it('exports memory, configure, reconfigure and tick, and nothing else', () => {
    const exports = WebAssembly.Module.exports(module).map(({ name, kind }) => `${name}: ${kind}`);
    expect(exports.sort()).toEqual(['configure: function', 'memory: memory', 'reconfigure: function', 'tick: function']);
  });

  it('configure takes and returns an i32, reconfigure returns one, tick takes and returns nothing', () => {
    const signature = (name: string): unknown[] => {
      const { value } = binaryen.getExportInfo(parsed.getExport(name));
      const { params, results } = binaryen.getFunctionInfo(parsed.getFunction(value));
      return [binaryen.expandType(params), binaryen.expandType(results)];
    };
    expect(signature('configure')).toEqual([[binaryen.i32], [binaryen.i32]]);
    expect(signature('reconfigure')).toEqual([[], [binaryen.i32]]);
    expect(signature('tick')).toEqual([[], []]);
  });

  it('has no mutable global', () => {
    const globals = Array.from({ length: parsed.getNumGlobals() }, (_, index) => binaryen.getGlobalInfo(parsed.getGlobalByIndex(index)));
    expect(globals.filter(({ mutable }) => mutable).map(({ name }) => name)).toEqual([]);
  });

  it('has no data, no tables and no start function', () => {
    const standard = readSections(bytes).filter(({ id }) => id !== 0);
    // 1 type, 3 function, 5 memory, 6 global, 7 export, 10 code (WebAssembly Core Specification 1.0, §5.5.2)
    expect(standard.map(({ id }) => id).filter((id) => ![1, 3, 5, 6, 7, 10].includes(id))).toEqual([]);
    expect(standard.map(({ id }) => id)).toEqual(expect.arrayContaining([1, 3, 5, 7, 10]));
    expect(parsed.getNumMemorySegments()).toBe(0);
  });

  it('has one page of memory, which cannot grow', () => {
    const { initial, max } = parsed.getMemoryInfo();
    expect({ initial, max }).toEqual({ initial: 1, max: 1 });
  });

  it('is valid WebAssembly 1.0 according to binaryen', () => {
    parsed.setFeatures(binaryen.Features.MVP);
    expect(parsed.validate()).toBe(1);
  });

  it('binaryen detects an instruction that is not in WebAssembly 1.0', () => {
    // In another process, because binaryen prints what it finds.
    const script = `
      import binaryen from 'binaryen';
      const other = binaryen.parseText('(module (func (param i32) (result i32) (i32.extend8_s (local.get 0))))');
      other.setFeatures(binaryen.Features.MVP);
      process.exit(other.validate() === 0 ? 0 : 1);`;
    expect(spawnSync(process.execPath, ['--input-type=module', '-e', script], { cwd: PROJECT.root }).status).toBe(0);
  });

  it('is valid WebAssembly 1.0 according to wasm-validate', ({ skip }) => {
    if (missingTool('wasm-validate', 'apt-get install wabt')) return skip();
    const { status, stdout, stderr } = spawnSync('wasm-validate', [...LATER_FEATURES, PROJECT.controllerWasm], { encoding: 'utf8' });
    expect(status, stdout + stderr).toBe(0);
  });

  it('carries the contract of this checkout exactly once', () => {
    expect(WebAssembly.Module.customSections(module, SECTION)).toHaveLength(1);
    const description = describeBinary(readModule(bytes));
    expect(description.contract).toEqual(JSON.parse(JSON.stringify(describeContract())));
    expect(description.sourceHash).toMatch(/^[0-9a-f]{64}$/);
  });
});

/** Runs with random inputs. Returns outputs and state hash of every tick. */
function runOn(runner: ReturnType<typeof createWasmRunner>, from: number, ticks: number): string[] {
  return Array.from({ length: ticks }, (_, count) => {
    arbitraryInputs(runner.input, from + count);
    runner.tick();
    return `${Buffer.from(runner.output).toString('hex')} ${runner.stateHash()}`;
  });
}

describe('a copy of memory is a complete snapshot', () => {
  it.each([1, 3, 24, 48])('%i rows continue from it exactly as before', (rows) => {
    const runner = createWasmRunner(controller, rows, { restMs: 5, relatchS: 1, frozenMs: 0 });
    runOn(runner, 0, 700);
    const snapshot = runner.saveState();
    const first = runOn(runner, 700, 500);
    expect(new Set(first).size).toBeGreaterThan(400);
    runner.restoreState(snapshot);
    expect(runOn(runner, 700, 500)).toEqual(first);
  });

  it('another instance continues from it exactly as the first', () => {
    const values = { restMs: 5, relatchS: 1, frozenMs: 0 };
    const one = createWasmRunner(controller, 5, values);
    runOn(one, 0, 333);
    const other = createWasmRunner(controller, 5, {});
    other.restoreState(one.saveState());
    expect(runOn(other, 333, 500)).toEqual(runOn(one, 333, 500));
  });

  it('it does not change while the controller runs on', () => {
    const runner = createWasmRunner(controller, 2);
    const snapshot = runner.saveState();
    const before = Buffer.from(snapshot).toString('hex');
    runOn(runner, 0, 10);
    expect(Buffer.from(snapshot).toString('hex')).toBe(before);
  });
});
