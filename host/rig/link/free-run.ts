import { parameterBytes } from '../../chip/chip-runner.js';
import type { ParameterValues } from '../../contract/contract.js';
import type { BuildDescription } from '../../contract/embed.js';
import { messageBytes } from '../../contract/messages.js';
import type { BoardStatus, FreeRun, FreeRunEnd, Greeting, MemoryPiece } from '../board.js';
import type { Clock } from './clock.js';
import type { ClockEstimate } from './clock-alignment.js';
import type { JournalReader } from './journal-reader.js';
import type { JournalStream } from './journal-stream.js';
import type { Link } from './link.js';
import { requireReconfigured } from './lockstep.js';

/** Bytes of a frame with inputs before them. */
const INPUTS_HEAD = 8;
/** Stamps in one frame: its count has 8 bits. */
const STAMPS_MAX = 255;
/** Between two looks at whether a run has ended, ms. */
const POLL_MS = 20;
/** Attempts to get the rest of the journal after a run. */
const REST_ATTEMPTS = 200;

/** What a free run needs of the board. */
export interface RunContext {
  readonly link: Link;
  readonly clock: Clock;
  readonly description: BuildDescription;
  readonly greeting: Greeting;
  readonly estimate: ClockEstimate;
  readonly stream: JournalStream;
  readonly reader: JournalReader;
  waitUntilReady(): Promise<BoardStatus>;
}

/** A free run over the link. */
export class LinkFreeRun implements FreeRun {
  private readonly inputBytes: number;
  private readonly stampsMax: number;

  constructor(
    private readonly context: RunContext,
    readonly rows: number,
    private readonly period: number,
    readonly startTimerTick: number,
  ) {
    this.inputBytes = messageBytes(context.description.contract, 'input', rows);
    this.stampsMax = Math.min(STAMPS_MAX, Math.floor((context.greeting.requestBytes - INPUTS_HEAD) / this.inputBytes));
  }

  sendInputs(firstStep: number, inputs: Uint8Array, count: number): void {
    for (let done = 0; done < count; done += this.stampsMax) {
      const part = inputs.subarray(done * this.inputBytes, Math.min(count, done + this.stampsMax) * this.inputBytes);
      const head = Buffer.alloc(INPUTS_HEAD);
      head.writeUInt32LE(firstStep + done * this.period, 0);
      head[4] = part.length / this.inputBytes;
      this.context.link.post('inputs', Buffer.concat([head, part]));
    }
  }

  async reconfigure(values: ParameterValues): Promise<number> {
    const { link, description } = this.context;
    const answer = await link.request('reconfigure', parameterBytes(description, values));
    requireReconfigured(description, answer.getInt32(0, true));
    return answer.getUint32(4, true);
  }

  async watch(id: number, pieces: readonly MemoryPiece[], periodSteps: number): Promise<void> {
    const body = Buffer.alloc(4 + 4 * pieces.length);
    body[0] = id;
    body[1] = pieces.length;
    body.writeUInt16LE(periodSteps, 2);
    for (const [index, { at, bytes }] of pieces.entries()) {
      body.writeUInt16LE(at, 4 + 4 * index);
      body.writeUInt16LE(bytes, 6 + 4 * index);
    }
    await this.context.link.request('watch', body);
  }

  stepAt(hostTimeMs: number): { step: number; boundSteps: number } {
    const { reader, estimate } = this.context;
    const { step, timerTick } = reader.last ?? { step: 0, timerTick: this.startTimerTick };
    const { value, min, max } = estimate.tickAt(hostTimeMs);
    return { step: step + value - estimate.unwrap(timerTick, hostTimeMs), boundSteps: (max - min) / 2 };
  }

  async end(): Promise<FreeRunEnd> {
    const { link, reader, waitUntilReady } = this.context;
    await link.request('endRun');
    const { end, steps } = await waitUntilReady();
    const isComplete = await this.takeRest();
    reader.finish(steps);
    link.run = undefined;
    return { end, steps, isComplete };
  }

  /** Waits for what is left of the journal. Returns whether all of it has arrived, or is lost for good. */
  private async takeRest(): Promise<boolean> {
    const { link, stream, clock } = this.context;
    const { journalEnd } = await link.greet();
    for (let attempt = 0; attempt < REST_ATTEMPTS; attempt++) {
      if (((stream.offset - journalEnd) | 0) >= 0) return true;
      const before = stream.offset;
      // What is still on its way needs not be asked for.
      await new Promise<void>((resolve) => clock.after(POLL_MS, resolve));
      if (stream.offset === before) await stream.askForGap();
    }
    return false;
  }
}
