import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { PLANT_WASM, TOOL_ROOT } from '../common/project.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { createScenarioPlant, defaultSettings } from '../simulate/run.js';
import { readScenario } from '../simulate/scenario.js';
import { BENCH_ROWS, BENCH_SCENARIO, median, PROJECT, type Ring } from './inputs.js';

const RUNS = 5;
const RUNTIME = '/usr/share/wabt/wasm2c';

export type NativeResult =
  | { readonly ratio: number; readonly wasmRate: number; readonly nativeRate: number }
  | { readonly missing: string };

/** A module in Node, set up to tick. */
interface Prepared {
  readonly memory: ArrayBuffer;
  /** Written before each tick. */
  readonly input: Uint8Array;
  tick(): void;
}

const isInstalled = (program: string): boolean => spawnSync(program, ['--version']).status === 0;

/** -ffp-contract=off: WebAssembly has no fused multiply-add. Bounds checks on, as on the chip. */
function compile(wasm: string, folder: string): string {
  const program = join(folder, 'native');
  execFileSync('wasm2c', [wasm, '-n', 'module', '-o', join(folder, 'module.c')]);
  execFileSync('gcc', [
    ...['-O2', '-ffp-contract=off', '-DNDEBUG', '-DWASM_RT_MEMCHECK_SIGNAL_HANDLER=0', `-I${folder}`, `-I${RUNTIME}`],
    ...[join(TOOL_ROOT, 'host', 'bench', 'native.c'), join(folder, 'module.c'), join(RUNTIME, 'wasm-rt-impl.c')],
    ...['-lm', '-o', program],
  ]);
  return program;
}

/** Runs a module in Node and as native C on the same inputs; both must end with the same memory. */
function measure(wasm: string, ticks: number, ring: Ring, folder: string, prepare: () => Prepared): NativeResult {
  const missing = ['wasm2c', 'gcc'].filter((program) => !isInstalled(program));
  if (missing.length > 0) return { missing: `${missing.join(' and ')} not found: apt-get install wabt gcc libc6-dev` };
  const program = compile(wasm, folder);
  const inputs = join(folder, 'inputs.bin');
  writeFileSync(inputs, ring.bytes);
  const wasmSeconds: number[] = [];
  const nativeSeconds: number[] = [];
  for (let run = 0; run < RUNS; run++) {
    const { memory, input, tick } = prepare();
    const memoryFile = join(folder, 'memory.bin');
    writeFileSync(memoryFile, new Uint8Array(memory));
    const start = performance.now();
    for (let count = 0, from = 0; count < ticks; count++, from += ring.stride) {
      if (from === ring.bytes.length) from = 0;
      input.set(ring.bytes.subarray(from, from + ring.stride));
      tick();
    }
    wasmSeconds.push((performance.now() - start) / 1000);
    const words = [inputs, String(ring.stride), String(input.byteOffset), String(ticks), memoryFile];
    nativeSeconds.push(Number(execFileSync(program, words, { encoding: 'utf8' })));
    if (!Buffer.from(memory).equals(readFileSync(memoryFile))) throw new Error('native code and wasm end with different memory');
  }
  const rate = (seconds: number): number => (ticks * BENCH_ROWS) / seconds;
  const [wasmRate, nativeRate] = [rate(median(wasmSeconds)), rate(median(nativeSeconds))];
  return { ratio: wasmRate / nativeRate, wasmRate, nativeRate };
}

/** The controller on recorded inputs. */
export function measureController(controller: Controller, ring: Ring, folder: string): NativeResult {
  return measure(PROJECT.controllerWasm, 100_000, ring, folder, () => {
    const { input, tick } = createWasmRunner(controller, BENCH_ROWS);
    return { memory: input.buffer as ArrayBuffer, input, tick };
  });
}

/** The plant under recorded orders. */
export function measurePlant(orders: Ring, folder: string): NativeResult {
  const scenario = readScenario(PROJECT, BENCH_SCENARIO);
  return measure(PLANT_WASM, 10_000, orders, folder, () => {
    const plant = createScenarioPlant(loadPlant(), scenario, defaultSettings(scenario));
    plant.apply(scenario.timeline, 0);
    return { memory: plant.output.buffer as ArrayBuffer, input: plant.output, tick: plant.tick };
  });
}
