import { crc32 } from 'node:zlib';
import { StateChain } from '../../host/chip/chain.js';
import { encodeFrame, type Frame, FrameReader } from '../../host/chip/frames.js';
import {
  ACCEPTED,
  ANSWER,
  COUNTERS,
  ENDS,
  ENTRIES,
  EVENTS,
  LINK_VERSION,
  MODES,
  NO_INPUTS,
  NOTICES,
  REFUSALS,
  REFUSED,
  REQUESTS,
  STATES,
} from '../../host/chip/protocol.js';
import { dataViewOf } from '../../host/common/data-view.js';
import { type ParameterValues, recordOf } from '../../host/contract/contract.js';
import { readField } from '../../host/contract/fields.js';
import { messageBytes } from '../../host/contract/messages.js';
import type { Clock } from '../../host/rig/link/clock.js';
import type { Line, LineEvents, Transport } from '../../host/rig/link/line.js';
import { type Controller, createWasmRunner, type WasmRunner } from '../../host/runner/wasm-runner.js';

/** Bytes of a body, piece by piece. */
class Body {
  private readonly pieces: Uint8Array[] = [];
  u8 = (...values: number[]): this => this.add(Uint8Array.from(values));
  u16 = (...values: number[]): this => this.add(new Uint8Array(Uint16Array.from(values).buffer));
  u32 = (...values: number[]): this => this.add(new Uint8Array(Uint32Array.from(values).buffer));
  text = (text: string): this => this.add(Buffer.from(text.padEnd(16, '\0'), 'latin1'));
  add(bytes: Uint8Array): this {
    this.pieces.push(Uint8Array.from(bytes));
    return this;
  }
  get bytes(): Uint8Array {
    return Buffer.concat(this.pieces);
  }
}

export interface DoubleOptions {
  readonly window?: number;
  readonly requestBytes?: number;
  readonly receiveBytes?: number;
  readonly journalBytes?: number;
  readonly inputSlots?: number;
  /** Of each direction. */
  readonly delayMs?: number;
  /** Of the board's timer against the clock. */
  readonly driftPpm?: number;
  readonly contractHash?: string;
  readonly version?: number;
  /** Milliseconds after the start at which the timer's tick 0 began. */
  readonly phaseMs?: number;
  /** Highest rate that works; a higher one is accepted and brings only garbage. */
  readonly maxBaud?: number;
}

const LINK_LOSS_TICKS = 200;
const CLOSING_MS = 50;
/** Longest run of entries in one frame. */
const JOURNAL_FRAME = 272;

/**
 * A board in virtual time, with the controller's WebAssembly behind the link as the firmware has it (chip/firmware/link.c): for
 * tests of the host's end. It ticks, answers, keeps a journal and loses it, restarts and falls silent as asked.
 */
export class LinkDouble implements Transport {
  readonly name = 'double';
  readonly silenceMs = 5000;
  readonly isReopenable = true;
  readonly baud: Transport['baud'];
  /** Whether it can be opened. */
  isThere = true;
  /** Every frame is ignored and nothing is sent. */
  isSilent = false;
  /** Requests that have been carried out, by kind. */
  readonly done: number[] = [];
  readonly counters = Object.fromEntries(COUNTERS.map((name) => [name, 0])) as Record<(typeof COUNTERS)[number], number>;
  session = 0;
  state: (typeof STATES)[number] = 'closing';
  end: (typeof ENDS)[number] = 'none';
  steps = 0;
  /** Inputs that each step used, and its outputs and state afterwards. */
  readonly history: { readonly stamp: number; readonly output: Uint8Array; readonly timerTick: number }[] = [];
  private cause = 0;
  private reader = new FrameReader();
  private events: LineEvents | undefined;
  private next = 1;
  private answers: Frame[] = [];
  private sequence = 0;
  private runner: WasmRunner | undefined;
  private chain: StateChain | undefined;
  private period = 1;
  private slots = new Map<number, Uint8Array>();
  private stamp = NO_INPUTS;
  private heardTick = 0;
  private lastTick = 0;
  private lastOutput: Uint8Array | undefined;
  private watches = new Map<number, { period: number; pieces: { at: number; bytes: number }[] }>();
  private journal: { readonly offset: number; readonly bytes: Uint8Array }[] = [];
  private journalEnd = 0;
  private journalSent = 0;
  private cancel: () => void = () => {};
  private wrongBaud = false;
  private quiet: { first: number; tick: number; count: number } | undefined;

  constructor(
    private readonly controller: Controller,
    private readonly clock: Clock,
    readonly options: DoubleOptions = {},
  ) {
    this.baud = options.maxBaud === undefined ? undefined : { first: 115_200, max: 1_000_000 };
    this.becomeReady();
  }

  async open(events: LineEvents): Promise<Line> {
    if (!this.isThere) throw new Error('not there');
    this.events = events;
    return {
      write: (bytes) => {
        const copy = Uint8Array.from(bytes);
        this.clock.after(this.options.delayMs ?? 0.5, () => this.receive(copy));
        return true;
      },
      setBaud: (baud) => {
        this.wrongBaud = baud > (this.options.maxBaud ?? baud);
      },
      close: async () => {
        this.events = undefined;
      },
    };
  }

  /** The cable is pulled out; it can be opened again once `isThere`. */
  pullOut(): void {
    this.isThere = false;
    const { events } = this;
    this.events = undefined;
    events?.onGone('has gone');
  }

  /** As after a reset. */
  restart(cause = 4): void {
    this.cause = cause;
    [this.session, this.next, this.answers, this.sequence] = [0, 1, [], 0];
    [this.journal, this.journalEnd, this.journalSent, this.steps] = [[], 0, 0, 0];
    this.reader = new FrameReader();
    this.cancel();
    this.state = 'closing';
    this.becomeReady();
    this.send(NOTICES.started.kind, 0, new Body().u8(cause).u32(0).bytes);
  }

  private becomeReady(): void {
    this.cancel = this.clock.after(CLOSING_MS, () => {
      this.state = this.cause >= 1 && this.cause <= 3 ? 'stopped' : 'ready';
    });
  }

  /** The timer at this moment, with fractions. */
  timer(): number {
    const { driftPpm = 0, phaseMs = 0 } = this.options;
    return (this.clock.nowMs() - phaseMs) * (1 + driftPpm / 1e6) + 100_000;
  }

  private tick = (): number => Math.floor(this.timer()) >>> 0;

  private send(kind: number, request: number, body: Uint8Array): void {
    if (this.isSilent || this.wrongBaud) return;
    const frame = encodeFrame({ kind, request, sequence: this.sequence, tick: this.tick() & 0xffff, body });
    this.sequence = (this.sequence + 1) & 0xffff;
    this.counters.sent += 1;
    this.clock.after(this.options.delayMs ?? 0.5, () => this.events?.onBytes(frame));
  }

  private receive(bytes: Uint8Array): void {
    if (this.isSilent || this.wrongBaud) return;
    const before = this.reader.damaged;
    for (const frame of this.reader.take(bytes)) this.takeFrame(frame);
    this.counters.damaged += this.reader.damaged - before;
  }

  private takeFrame(frame: Frame): void {
    if (frame.kind === REQUESTS.hello.kind) {
      this.greet(frame);
      return;
    }
    this.counters.received += 1;
    if (frame.kind === REQUESTS.stop.kind) {
      this.endRun('stopped');
      this.send(REQUESTS.stop.kind | ANSWER, frame.request, new Uint8Array(0));
    } else if (frame.request === 0) this.takeInputs(frame.body);
    else if (frame.request === this.next) this.carryOut(frame);
    else {
      const kept = this.answers.find(({ request }) => request === frame.request);
      if (kept !== undefined) this.send(kept.kind, kept.request, kept.body);
      else if ((frame.request - this.next + 255) % 255 <= 127) this.send(NOTICES.missing.kind, 0, Uint8Array.of(this.next));
    }
  }

  private greet({ body, request }: Frame): void {
    const { window = 4, requestBytes = 1024, receiveBytes = 8192, journalBytes = 4096, inputSlots = 64 } = this.options;
    const { hash, memoryBytes, rowsMax } = this.controller.description.contract;
    const own = this.options.contractHash ?? hash;
    const session = dataViewOf(body).getUint32(4, true);
    const isSame = Buffer.from(body.subarray(8)).toString('latin1') === own;
    const isBusy = session !== this.session && this.session !== 0 && this.state === 'running' && this.tick() - this.heardTick < 1000;
    const accepted: (typeof ACCEPTED)[number] = !isSame ? 'refused' : isBusy ? 'busy' : 'accepted';
    const before = this.session;
    if (accepted === 'accepted' && session !== this.session) {
      [this.session, this.next, this.answers, this.sequence] = [session, 1, [], 0];
    }
    const answer = new Body()
      .u8(this.options.version ?? LINK_VERSION, ACCEPTED.indexOf(accepted), STATES.indexOf(this.state), this.cause)
      .u32(0, before, 0)
      .u16(rowsMax, rowsMax)
      .u32(0, 0, 1000, memoryBytes, requestBytes)
      .u16(window, inputSlots)
      .u32(receiveBytes, journalBytes, this.journal[0]?.offset ?? this.journalEnd, this.journalEnd, this.steps)
      .u8(4, 8, this.next, 0);
    this.send(REQUESTS.hello.kind | ANSWER, request, answer.text(own).text('double').bytes);
  }

  private carryOut(frame: Frame): void {
    this.done.push(frame.kind);
    this.next = (this.next % 255) + 1;
    const body = this.session === 0 ? undefined : this.handle(frame);
    const kind = body === undefined ? REFUSED : frame.kind | ANSWER;
    const answer = { ...frame, kind, body: body?.bytes ?? Uint8Array.of(frame.kind, this.session === 0 ? 1 : 0) };
    this.answers = [...this.answers, answer].slice(-(this.options.window ?? 4));
    this.send(answer.kind, answer.request, answer.body);
    if (frame.kind === REQUESTS.restart.kind) this.restart();
  }

  private handle({ kind, body }: Frame): Body | undefined {
    const bytes = dataViewOf(body);
    const isLockstep = this.state === 'lockstep';
    switch (kind) {
      case REQUESTS.configure.kind:
        return this.configure(body);
      case REQUESTS.ticks.kind:
        return isLockstep ? this.runTicks(body) : undefined;
      case REQUESTS.hash.kind:
        return isLockstep ? new Body().u32(this.runner?.stateHash() ?? 0) : undefined;
      case REQUESTS.read.kind:
        return new Body().add(
          this.runner?.saveState().subarray(bytes.getUint32(0, true), bytes.getUint32(0, true) + bytes.getUint32(4, true)) ??
            new Uint8Array(0),
        );
      case REQUESTS.status.kind:
        return new Body()
          .u8(STATES.indexOf(this.state), ENDS.indexOf(this.end))
          .u16(0)
          .u32(this.steps, 0, ...COUNTERS.map((name) => this.counters[name]));
      case REQUESTS.endRun.kind:
        if (isLockstep) this.state = 'ready';
        this.endRun('requested');
        return new Body();
      case REQUESTS.restart.kind:
        return new Body();
      case REQUESTS.clock.kind: {
        const timer = this.timer();
        return new Body().u32(Math.floor(timer), Math.floor((timer % 1) * 1e6), 1e6);
      }
      case REQUESTS.rate.kind:
        return new Body().u32(1);
      case REQUESTS.reconfigure.kind:
        return this.reconfigure(body);
      case REQUESTS.journalFrom.kind: {
        const offset = bytes.getUint32(0, true);
        this.journalSent = this.journalFrom(offset);
        if (this.journalSent > offset) this.lastOutput = undefined;
        this.clock.after(0, () => this.sendJournal());
        return new Body().u32(this.journalSent);
      }
      case REQUESTS.watch.kind:
        this.watch(bytes);
        return new Body();
      default:
        return undefined;
    }
  }

  private values(body: Uint8Array): ParameterValues {
    const view = dataViewOf(body);
    const { fields } = recordOf(this.controller.description.contract, 'Parameters');
    return Object.fromEntries(fields.map((field) => [field.name, readField(view, 0, field)]));
  }

  private configure(body: Uint8Array): Body {
    const view = dataViewOf(body);
    if (this.state !== 'ready' && this.state !== 'lockstep') return new Body().u32(REFUSALS.state.result >>> 0, 0);
    const rows = view.getUint16(0, true);
    this.runner = createWasmRunner(this.controller, rows, this.values(body.subarray(8)));
    this.chain = new StateChain(this.runner.input.buffer as ArrayBuffer, this.controller.description.contract, rows);
    [this.steps, this.stamp, this.slots, this.lastOutput, this.quiet] = [0, NO_INPUTS, new Map(), undefined, undefined];
    for (const name of ['late', 'held', 'early', 'overruns'] as const) this.counters[name] = 0;
    this.history.length = 0;
    this.state = view.getUint8(2) === MODES.lockstep ? 'lockstep' : 'running';
    const first = this.tick() + 1;
    if (this.state === 'running') {
      this.period = view.getUint16(4, true);
      [this.heardTick, this.lastTick] = [this.tick(), this.tick()];
      this.event('run started', 'none');
      this.scheduleStep();
    }
    return new Body().u32(0, first);
  }

  private reconfigure(body: Uint8Array): Body {
    this.runner?.reconfigure(this.values(body));
    if (this.state === 'running') this.entry(ENTRIES.parameters.kind, new Body().u32(this.steps, 0, crc32(body)));
    return new Body().u32(0, this.steps);
  }

  private runTicks(body: Uint8Array): Body {
    const { runner, chain } = this;
    if (runner === undefined || chain === undefined) throw new Error('not configured');
    for (let at = 0; at < body.length; at += runner.input.length) {
      runner.input.set(body.subarray(at, at + runner.input.length));
      runner.tick();
      chain.update();
    }
    return new Body().add(runner.output).u32(chain.value, 0, 0);
  }

  private takeInputs(body: Uint8Array): void {
    if (this.runner === undefined || this.state !== 'running') return;
    this.heardTick = this.tick();
    const view = dataViewOf(body);
    const bytes = this.runner.input.length;
    for (let index = 0; index < view.getUint8(4); index++) {
      const step = view.getUint32(0, true) + index * this.period;
      const inputs = body.subarray(8 + index * bytes, 8 + (index + 1) * bytes);
      if (step < this.steps) {
        this.counters.late += 1;
        if (this.stamp === NO_INPUTS || step > this.stamp) this.use(step, inputs);
      } else if (step >= this.steps + this.period * (this.options.inputSlots ?? 64)) this.counters.early += 1;
      else this.slots.set(step, Uint8Array.from(inputs));
    }
  }

  private use(step: number, inputs: Uint8Array): void {
    this.runner?.input.set(inputs);
    this.stamp = step;
  }

  private scheduleStep(): void {
    const { driftPpm = 0 } = this.options;
    const waitMs = (this.lastTick + 1 - this.timer()) / (1 + driftPpm / 1e6);
    this.cancel = this.clock.after(Math.max(0, waitMs) + 1e-6, () => this.step());
  }

  /** Skips timer ticks, as a board does whose step takes too long. */
  overrunTicks = 0;

  private step(): void {
    const { runner } = this;
    if (runner === undefined) return;
    const isRunning = this.state === 'running';
    const before = this.lastTick;
    this.lastTick += 1 + this.overrunTicks;
    if (this.overrunTicks > 0) this.counters.overruns += 1;
    this.overrunTicks = 0;
    if (isRunning && this.steps % this.period === 0) {
      const inputs = this.slots.get(this.steps);
      this.slots.delete(this.steps);
      if (inputs === undefined) this.counters.held += 1;
      else this.use(this.steps, inputs);
    }
    runner.tick();
    const output = Uint8Array.from(runner.output);
    this.history.push({ stamp: this.stamp === NO_INPUTS ? -1 : this.stamp, output, timerTick: this.lastTick });
    this.report(isRunning, this.lastTick - before === 1);
    this.steps += 1;
    if (isRunning && this.tick() - this.heardTick > LINK_LOSS_TICKS) this.endRun('link lost');
    if (this.state === 'ending' && this.steps > this.endingSince + 20) {
      this.event('run ended', this.end);
      this.state = 'closing';
      this.sendJournal();
      this.becomeReady();
      return;
    }
    this.sendJournal();
    this.scheduleStep();
  }

  private endingSince = 0;

  private endRun(end: (typeof ENDS)[number]): void {
    if (this.state !== 'running') return;
    [this.state, this.end, this.endingSince] = ['ending', end, this.steps];
    this.event('run ending', end);
  }

  private report(isFed: boolean, isOnTime: boolean): void {
    const output = this.history.at(-1)?.output ?? new Uint8Array(0);
    const isWholeDue = this.lastOutput === undefined || this.steps % 1000 === 0;
    const isExpected = !isFed || this.stamp === this.steps - (this.steps % this.period);
    if (!isWholeDue && isOnTime && isExpected && Buffer.compare(output, this.lastOutput ?? output) === 0) {
      this.quiet ??= { first: this.steps, tick: this.lastTick, count: 0 };
      this.quiet.count += 1;
      if (this.quiet.count === 20) this.endQuiet();
    } else {
      this.endQuiet();
      this.reportOutputs(output, isWholeDue);
    }
    this.lastOutput = output;
    for (const [id, { period, pieces }] of this.watches) {
      if (this.steps % period !== 0) continue;
      const sample = new Body().u8(id).u32(this.steps);
      const memory = this.runner?.saveState() ?? new Uint8Array(0);
      for (const { at, bytes } of pieces) sample.add(memory.subarray(at, at + bytes));
      this.entry(ENTRIES.sample.kind, sample);
    }
    if ((this.steps + 1) % 1000 !== 0) return;
    this.endQuiet();
    this.entry(ENTRIES.statistics.kind, new Body().u32(this.steps, ...COUNTERS.map((name) => this.counters[name])));
  }

  private endQuiet(): void {
    if (this.quiet === undefined) return;
    const { first, tick, count } = this.quiet;
    this.quiet = undefined;
    this.entry(ENTRIES.steps.kind, new Body().u32(first, tick).u16(count));
  }

  /** Words that differ, in entries of at most 40 bytes of outputs. */
  private reportOutputs(output: Uint8Array, isWhole: boolean): void {
    const changed = Array.from({ length: output.length / 4 }, (_, index) => 4 * index).filter(
      (at) => isWhole || Buffer.compare(output.subarray(at, at + 4), (this.lastOutput ?? output).subarray(at, at + 4)) !== 0,
    );
    for (let done = 0; done === 0 || done < changed.length; done += 10) {
      const body = new Body().u32(this.steps, this.lastTick, this.stamp);
      for (const at of changed.slice(done, done + 10))
        body
          .u16(at)
          .u8(4)
          .add(output.subarray(at, at + 4));
      this.entry(done + 10 < changed.length ? ENTRIES.part.kind : ENTRIES.step.kind, body);
    }
  }

  private event(what: (typeof EVENTS)[number], end: (typeof ENDS)[number]): void {
    this.endQuiet();
    this.entry(ENTRIES.event.kind, new Body().u32(this.steps).u8(EVENTS.indexOf(what)).u32(ENDS.indexOf(end)));
  }

  private entry(kind: number, body: Body): void {
    const bytes = Buffer.concat([Uint8Array.of(kind, body.bytes.length), body.bytes]);
    this.journal.push({ offset: this.journalEnd, bytes });
    this.journalEnd += bytes.length;
    while (this.journalEnd - (this.journal[0]?.offset ?? 0) > (this.options.journalBytes ?? 4096)) this.journal.shift();
  }

  private journalFrom(offset: number): number {
    return this.journal.find((one) => one.offset >= offset)?.offset ?? this.journalEnd;
  }

  private sendJournal(): void {
    this.journalSent = this.journalFrom(this.journalSent);
    for (;;) {
      const waiting = this.journal.filter(({ offset }) => offset >= this.journalSent);
      const [first] = waiting;
      if (first === undefined) return;
      const fitting = waiting.filter(({ offset, bytes }) => offset + bytes.length - first.offset <= JOURNAL_FRAME);
      this.send(NOTICES.journal.kind, 0, new Body().u32(first.offset).add(Buffer.concat(fitting.map(({ bytes }) => bytes))).bytes);
      const last = fitting.at(-1);
      this.journalSent = (last?.offset ?? 0) + (last?.bytes.length ?? 0);
    }
  }

  private watch(bytes: DataView): void {
    const [id, count, period] = [bytes.getUint8(0), bytes.getUint8(1), bytes.getUint16(2, true)];
    const pieces = Array.from({ length: count }, (_, index) => ({
      at: bytes.getUint16(4 + 4 * index, true),
      bytes: bytes.getUint16(6 + 4 * index, true),
    }));
    if (period === 0) this.watches.delete(id);
    else this.watches.set(id, { period, pieces });
  }
}

/** Input bytes for a number of rows. */
export const inputBytesOf = (controller: Controller, rows: number): number => messageBytes(controller.description.contract, 'input', rows);
