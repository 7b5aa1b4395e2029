import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { CONTROLLER_WASM, ROOT } from '../project.js';
import { type Controller, createWasmTarget } from '../target/wasm.js';
import { BENCH_ROWS, median } from './inputs.js';

const RUNS = 5;
const TICKS = 100_000;
const RUNTIME = '/usr/share/wabt/wasm2c';

export type NativeFigure =
  | { readonly ratio: number; readonly wasmRate: number; readonly nativeRate: number }
  | { readonly missing: string };

const isThere = (program: string): boolean => spawnSync(program, ['--version']).status === 0;

/** -ffp-contract=off: WebAssembly has no fused multiply-add. Bounds checks on, as on the chip. */
function compile(folder: string): string {
  const program = join(folder, 'native');
  execFileSync('wasm2c', [CONTROLLER_WASM, '-n', 'controller', '-o', join(folder, 'controller.c')]);
  execFileSync('gcc', [
    ...['-O2', '-ffp-contract=off', '-DNDEBUG', '-DWASM_RT_MEMCHECK_SIGNAL_HANDLER=0', `-I${folder}`, `-I${RUNTIME}`],
    ...[join(ROOT, 'host', 'bench', 'native.c'), join(folder, 'controller.c'), join(RUNTIME, 'wasm-rt-impl.c')],
    ...['-lm', '-o', program],
  ]);
  return program;
}

/** Controller in Node against the same controller as native C, on the same inputs; both must end with the same memory. */
export function measureNative(controller: Controller, ring: { bytes: Uint8Array; stride: number }, folder: string): NativeFigure {
  const missing = ['wasm2c', 'gcc'].filter((program) => !isThere(program));
  if (missing.length > 0) return { missing: `${missing.join(' and ')} not found: apt-get install wabt gcc libc6-dev` };
  const program = compile(folder);
  const inputs = join(folder, 'inputs.bin');
  writeFileSync(inputs, ring.bytes);
  const at = createWasmTarget(controller, BENCH_ROWS).input.byteOffset;
  const wasmSeconds: number[] = [];
  const nativeSeconds: number[] = [];
  for (let run = 0; run < RUNS; run++) {
    const target = createWasmTarget(controller, BENCH_ROWS);
    const memoryFile = join(folder, 'memory.bin');
    writeFileSync(memoryFile, target.saveState());
    const begin = performance.now();
    for (let tick = 0, from = 0; tick < TICKS; tick++, from += ring.stride) {
      if (from === ring.bytes.length) from = 0;
      target.input.set(ring.bytes.subarray(from, from + ring.stride));
      target.tick();
    }
    wasmSeconds.push((performance.now() - begin) / 1000);
    const said = execFileSync(program, [inputs, String(ring.stride), String(at), String(TICKS), memoryFile], { encoding: 'utf8' });
    nativeSeconds.push(Number(said));
    if (!Buffer.from(target.saveState()).equals(readFileSync(memoryFile)))
      throw new Error('native code ends with another memory than the wasm');
  }
  const rate = (seconds: number): number => (TICKS * BENCH_ROWS) / seconds;
  const wasmRate = rate(median(wasmSeconds));
  const nativeRate = rate(median(nativeSeconds));
  return { ratio: wasmRate / nativeRate, wasmRate, nativeRate };
}
