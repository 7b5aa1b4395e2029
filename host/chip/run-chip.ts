import { dirname } from 'node:path';
import { crc32 } from 'node:zlib';
import { runPool } from '../common/pool.js';
import { writeAtomic } from '../common/write-atomic.js';
import { hashText } from '../replay/change.js';
import type { Controller } from '../runner/wasm-runner.js';
import type { VectorCase } from '../vector/vector.js';
import type { Firmware } from './build.js';
import { startFirmware } from './line.js';
import { Link } from './link.js';
import { type ChipVectorResult, replayOnChip } from './replay-chip.js';
import type { ChipTask, Shared } from './worker.js';

/** All vectors on one chip. */
export interface ChipRun {
  readonly chip: string;
  /** What carries the bytes of the link. */
  readonly over: string;
  readonly vectors: readonly ChipVectorResult[];
  /** Chain over the chains of all vectors, of the chip and of the wasm. */
  readonly chain: string;
  readonly wasmChain: string;
}

/** One chain over the chains of all vectors, in their order. */
const chainOver = (chains: readonly string[]): string => hashText(crc32(chains.join(' ')));

/** The vectors of one chip with their chains. */
export function chipRun(chip: string, over: string, vectors: readonly ChipVectorResult[]): ChipRun {
  const chain = chainOver(vectors.map(({ chipChain }) => chipChain));
  return { chip, over, vectors, chain, wasmChain: chainOver(vectors.map(({ wasmChain }) => wasmChain)) };
}

const overOf = ({ chip, channel }: Firmware): string =>
  chip.emulator === undefined ? 'pipes' : channel === 'uart' ? 'emulated UART' : 'files';

/** Vectors that share an emulator: its start costs as much as a second of a vector, and with fewer there is more to run in parallel. */
const GROUP_SIZE = 7;

/** Runs vectors on emulated chips, in groups, as many at once as there are processors. */
export async function runOnFirmware(
  firmware: readonly Firmware[],
  wasmFile: string,
  vectors: readonly VectorCase[],
  onProgress: (text: string) => void,
): Promise<ChipRun[]> {
  const folders = vectors.map(({ caseFile }) => dirname(caseFile));
  const groups = folders.flatMap((_, index) => (index % GROUP_SIZE === 0 ? [folders.slice(index, index + GROUP_SIZE)] : []));
  const tasks: ChipTask[] = firmware.flatMap((one) => groups.map((vectorFolders) => ({ firmware: one, vectorFolders })));
  const worker = new URL('./worker.js', import.meta.url);
  const shared: Shared = { wasmFile };
  const onDone = (done: number): void => onProgress(`${Math.floor((100 * done) / tasks.length)} % of the vectors`);
  const results = (await runPool<ChipTask, ChipVectorResult[]>(worker, shared, tasks, onDone)).flat();
  const ofChip = (index: number): ChipVectorResult[] => results.slice(index * vectors.length, (index + 1) * vectors.length);
  return firmware.map((one, index) => chipRun(one.chip.name, overOf(one), ofChip(index)));
}

/** A readable log of the link: what the chip reports about itself, and the state of each vector second by second. */
class LinkLog {
  private readonly lines: string[] = [];

  constructor(over: string) {
    this.lines.push(`# Lockstep over ${over}, several ticks per request. chain: hashes of the chip's whole state, tick by tick.`);
  }

  vector({ name, rows, tickHz }: VectorCase): void {
    this.lines.push(`vector ${name} rows ${rows} tickHz ${tickHz}`);
  }

  second(tick: number, chain: number, output: Uint8Array): void {
    this.lines.push(`  tick ${tick} chain ${hashText(chain)} outputs ${hashText(crc32(output))}`);
  }

  result(result: ChipVectorResult, { errors, traffic }: Link): void {
    const { board, contractHash, startCause } = result.greeting;
    this.lines.push(
      `  board ${board} contract ${contractHash} start cause ${startCause}`,
      `  ${result.verdict} after ${result.ticks} ticks; chip ${result.chipChain} wasm ${result.wasmChain}; stack ${result.stackBytes} B`,
      `  sent ${traffic.sent} B received ${traffic.received} B repeated ${errors.repeated} damaged ${errors.damaged}`,
    );
  }

  write(file: string): void {
    writeAtomic(file, `${this.lines.join('\n')}\n`);
  }
}

/** Runs one vector after another on a connected chip. The log is written at the end, also after an error. */
export function runOnLink(
  link: Link,
  controller: Controller,
  vectors: readonly VectorCase[],
  over: string,
  logFile: string | undefined,
  onProgress: (text: string) => void,
): ChipRun {
  const log = new LinkLog(over);
  const results: ChipVectorResult[] = [];
  try {
    for (const [index, vector] of vectors.entries()) {
      onProgress(`${link.line.name}: ${index + 1} of ${vectors.length}: ${vector.name}`);
      log.vector(vector);
      const result = replayOnChip(link, controller, vector, (tick, { chain, output }) => log.second(tick, chain, output));
      log.result(result, link);
      results.push(result);
      if (result.verdict === 'stopped') break;
    }
  } finally {
    if (logFile !== undefined) log.write(logFile);
  }
  return chipRun(results[0]?.greeting.board ?? link.line.name, over, results);
}

/** Runs emulated chips one after another, with a log: one file, or a file per chip beside it. */
export function runLogged(
  firmware: readonly Firmware[],
  controller: Controller,
  vectors: readonly VectorCase[],
  logFile: string,
  onProgress: (text: string) => void,
): ChipRun[] {
  return firmware.map((one) => {
    const line = startFirmware(one);
    const file = firmware.length === 1 ? logFile : logFile.replace(/(\.[^./]+)?$/, `-${one.chip.name}$1`);
    try {
      return runOnLink(new Link(line), controller, vectors, overOf(one), file, onProgress);
    } finally {
      line.close();
    }
  });
}
