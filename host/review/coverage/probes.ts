import { WorkerPool } from '../../common/pool.js';
import { compileModule } from '../../runner/wasm-runner.js';
import { BadBinary, leb128 } from '../../wasm/bytes.js';
import { PAGE_BYTES } from '../../wasm/inert.js';
import { readModule, SECTION } from '../../wasm/module.js';
import { OP } from '../../wasm/operators.js';
import { join, list, type Part, sized, withSections } from '../../wasm/rewrite.js';
import type { Program } from './program.js';

/** A build that sets a byte for each block of interest that it reaches; else it computes what the release computes. */
export interface ProbedBuild {
  readonly module: WebAssembly.Module;
  /** Address of the bytes, behind the memory of the release. */
  readonly at: number;
  /** Number of bytes. */
  readonly count: number;
  /** Once these have been reached, all is known. */
  readonly targets: readonly number[];
}

/** For what may be somebody else's sources; it takes a second. */
const SECONDS_MAX = 60;
const HEAP_MIB = 1024;

/** Stores 1 at an address: value, offset of the address, alignment. */
const setByte = (address: number): number[] => [...[OP.i32Const, 0, OP.i32Const, 1, OP.i32Store8, 0], ...leb128(address)];

/** A copy of a program's binary that stores a byte at the start of each of some blocks. */
function withProbes({ program: { binary, blocks }, probed }: ProbedProgram): { bytes: Uint8Array; at: number } {
  const module = readModule(binary.bytes);
  const pages = module.memories[0]?.min ?? 0;
  const at = pages * PAGE_BYTES;
  const inFunction = new Map<number, { at: number; address: number }[]>();
  for (const [index, number] of probed.entries()) {
    const block = blocks[number];
    if (block === undefined) continue;
    const own = inFunction.get(block.function) ?? [];
    own.push({ at: block.at, address: at + index });
    inFunction.set(block.function, own);
  }
  const bodies = module.codes.map(({ locals, start, end }, index) => {
    const parts: Part[] = [module.bytes.subarray(locals, start)];
    let from = start;
    for (const probe of inFunction.get(index) ?? []) {
      parts.push(module.bytes.subarray(from, probe.at), setByte(probe.address));
      from = probe.at;
    }
    return sized(join([...parts, module.bytes.subarray(from, end)]));
  });
  const memory = [1, ...leb128(pages + 1), ...leb128(pages + 1)];
  const bytes = withSections(
    module,
    new Map([
      [SECTION.memory, list([memory])],
      [SECTION.code, list(bodies)],
    ]),
  );
  return { bytes, at };
}

/** Inlines calls in a thread of limited time and memory. A binary for which that is not enough stays as it is, and runs slower. */
async function quickened(binaries: readonly Uint8Array[]): Promise<WebAssembly.Module[]> {
  const pool = new WorkerPool<Uint8Array, Uint8Array>(new URL('../../build/inline-worker.js', import.meta.url), undefined, 1, HEAP_MIB);
  try {
    const inlined = await Promise.allSettled(binaries.map((bytes) => pool.runOne(bytes, SECONDS_MAX)));
    return inlined.map((result, index) => moduleOf(result, binaries[index] ?? new Uint8Array()));
  } finally {
    await pool.close();
  }
}

function moduleOf(inlined: PromiseSettledResult<Uint8Array>, bytes: Uint8Array): WebAssembly.Module {
  if (inlined.status === 'rejected') return compileModule(bytes);
  try {
    return compileModule(inlined.value);
  } catch (error) {
    if (!(error instanceof BadBinary)) throw error;
    // Inlining may make a function larger than a controller's may be.
    return compileModule(bytes);
  }
}

/** Blocks of a program to observe. */
export interface ProbedProgram {
  readonly program: Program;
  /** Numbers of the blocks, in order. */
  readonly probed: readonly number[];
  /** Those of them that are looked for; the others are on the way there. */
  readonly targets: ReadonlySet<number>;
}

/** Compiles programs so that they tell which of some blocks they reach. */
export async function probedBuilds(programs: readonly ProbedProgram[]): Promise<ProbedBuild[]> {
  const binaries = programs.map(withProbes);
  const modules = await quickened(binaries.map(({ bytes }) => bytes));
  return programs.map(({ probed, targets }, index) => {
    const wanted = probed.flatMap((block, probe) => (targets.has(block) ? [probe] : []));
    return { module: modules[index] as WebAssembly.Module, at: binaries[index]?.at ?? 0, count: probed.length, targets: wanted };
  });
}
