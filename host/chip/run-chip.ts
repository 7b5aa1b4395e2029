import { dirname } from 'node:path';
import { crc32 } from 'node:zlib';
import { writeAtomic } from '../common/write-atomic.js';
import { hashText } from '../replay/change.js';
import type { Controller } from '../runner/wasm-runner.js';
import type { VectorCase } from '../vector/vector.js';
import type { Firmware } from './build.js';
import { startFirmware } from './line.js';
import { Link } from './link.js';
import { runTasks } from './many.js';
import { type ChipCaseResult, replayOnChip } from './replay-chip.js';

/** All vectors on one chip. */
export interface ChipRun {
  readonly chip: string;
  /** How the bytes of the link travelled. */
  readonly over: string;
  readonly cases: readonly ChipCaseResult[];
  /** Chain over all vectors, of the chip and of the wasm. */
  readonly chain: string;
  readonly wasmChain: string;
}

/** One chain over the chains of all vectors, in their order. */
const chainOver = (chains: readonly string[]): string => hashText(crc32(chains.join(' ')));

function chipRun(chip: string, over: string, cases: readonly ChipCaseResult[]): ChipRun {
  const chain = chainOver(cases.map(({ chipChain }) => chipChain));
  return { chip, over, cases, chain, wasmChain: chainOver(cases.map(({ wasmChain }) => wasmChain)) };
}

const overOf = ({ chip, channel }: Firmware): string =>
  chip.emulator === undefined ? 'pipes' : channel === 'uart' ? 'emulated UART' : 'files';

/** Runs vectors on emulated chips, each vector on an emulator of its own, many at once. */
export async function runOnFirmware(
  firmware: readonly Firmware[],
  wasmFile: string,
  cases: readonly VectorCase[],
  say: (text: string) => void,
): Promise<ChipRun[]> {
  const tasks = firmware.flatMap((one) => cases.map(({ caseFile }) => ({ firmware: one, vectorFolder: dirname(caseFile) })));
  const results = await runTasks({ wasmFile }, tasks, (done) => say(`${done} of ${tasks.length} vectors`));
  return firmware.map((one, index) => chipRun(one.chip.name, overOf(one), results.slice(index * cases.length, (index + 1) * cases.length)));
}

/** Lines about the link, for people: what the chip said of itself, and how each vector went, second by second. */
class LinkLog {
  private readonly lines: string[] = [];

  constructor(over: string) {
    this.lines.push(`# Lockstep over ${over}. One request and one answer for each tick; chain: hashes of the chip's whole state.`);
  }

  begin({ name, rows, tickHz }: VectorCase): void {
    this.lines.push(`vector ${name} rows ${rows} tickHz ${tickHz}`);
  }

  tick(tick: number, chain: number, output: Uint8Array): void {
    this.lines.push(`  tick ${tick} chain ${hashText(chain)} outputs ${hashText(crc32(output))}`);
  }

  end(result: ChipCaseResult, { trouble, traffic }: Link): void {
    const { board, contractHash, startCause } = result.greeting;
    this.lines.push(
      `  board ${board} contract ${contractHash} started by ${startCause}`,
      `  ${result.verdict} after ${result.ticks} ticks; chip ${result.chipChain} wasm ${result.wasmChain}; stack ${result.stackBytes} B`,
      `  sent ${traffic.sent} B received ${traffic.received} B repeated ${trouble.repeated} damaged ${trouble.damaged}`,
    );
  }

  write(file: string): void {
    writeAtomic(file, `${this.lines.join('\n')}\n`);
  }
}

/** One vector after another on a chip that is there; the log is written at the end, or when it ends badly. */
export async function runOnLink(
  link: Link,
  controller: Controller,
  cases: readonly VectorCase[],
  over: string,
  logFile: string | undefined,
  say: (text: string) => void,
): Promise<ChipRun> {
  const log = new LinkLog(over);
  const results: ChipCaseResult[] = [];
  try {
    for (const [index, one] of cases.entries()) {
      say(`${link.line.name}: ${index + 1} of ${cases.length}: ${one.name}`);
      log.begin(one);
      const result = replayOnChip(link, controller, one, (tick, { chain, output }) => {
        if ((tick + 1) % one.tickHz === 0) log.tick(tick, chain, output);
      });
      log.end(result, link);
      results.push(result);
      if (result.verdict === 'stopped') break;
    }
  } finally {
    if (logFile !== undefined) log.write(logFile);
  }
  return chipRun(results[0]?.greeting.board ?? link.line.name, over, results);
}

/** Emulated chips one after another, with a log: one file, or for several chips one for each beside it. */
export async function runLogged(
  firmware: readonly Firmware[],
  controller: Controller,
  cases: readonly VectorCase[],
  logFile: string,
  say: (text: string) => void,
): Promise<ChipRun[]> {
  const runs: ChipRun[] = [];
  for (const one of firmware) {
    const line = startFirmware(one);
    const file = firmware.length === 1 ? logFile : logFile.replace(/(\.[^./]+)?$/, `-${one.chip.name}$1`);
    try {
      runs.push(await runOnLink(new Link(line), controller, cases, overOf(one), file, say));
    } finally {
      line.close();
    }
  }
  return runs;
}
