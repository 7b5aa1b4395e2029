import { StateChain } from '../../host/chip/chain.js';
import { LinkLost } from '../../host/chip/link.js';
import type { ParameterValues } from '../../host/contract/contract.js';
import { type Contract, recordOf } from '../../host/contract/contract.js';
import { messageRecords } from '../../host/contract/messages.js';
import type {
  Board,
  BoardCounters,
  BoardEvent,
  BoardStatus,
  FreeRun,
  FreeRunEnd,
  FreeRunListener,
  Greeting,
  LinkStatistics,
  LockstepRun,
} from '../../host/rig/board.js';
import type { Clock } from '../../host/rig/link/clock.js';
import { type Controller, createWasmRunner, type WasmRunner } from '../../host/runner/wasm-runner.js';

/** What a double of a board does wrong, and how its link is. */
export interface DoubleFaults {
  /** Time of each way, ms. */
  readonly latencyMs?: number;
  /** Whether inputs for a step get lost on the way. */
  readonly losesInputs?: (step: number) => boolean;
  /** Whether the report of a step is lost for good. */
  readonly losesReport?: (step: number) => boolean;
  /** Whether the board skips the timer tick before this step. */
  readonly skipsBefore?: (step: number) => boolean;
  /** Changes what the board gives as its outputs. */
  readonly changes?: (step: number, output: Uint8Array) => void;
  /** The board restarts at this step, or tick in lockstep. */
  readonly restartsAt?: number;
  /** The board ends the run itself at this step. */
  readonly endsAt?: number;
}

const START_TICK = 5000;
const ENDING_STEPS = 10;
const INPUT_SLOTS = 256;

const COUNTERS: BoardCounters = {
  received: 0,
  damaged: 0,
  lost: 0,
  doubled: 0,
  reordered: 0,
  sent: 0,
  dropped: 0,
  late: 0,
  held: 0,
  early: 0,
  overruns: 0,
  longestStepCounts: 0,
  capped: 0,
};
const STATUS: BoardStatus = { state: 'ready', end: 'none', notClosed: 0, steps: 0, stackBytes: 0, counters: COUNTERS };

export const NO_LINK: LinkStatistics = {
  sent: { frames: 0, bytes: 0 },
  received: { frames: 0, bytes: 0, lost: 0, doubled: 0, reordered: 0, damaged: 0 },
  board: undefined,
  repeatedRequests: 0,
  journalBytesLost: 0,
  reconnections: 0,
  relay: undefined,
  roundTripMs: { count: 0, min: 0, median: 0, p99: 0, max: 0 },
};

/** A free run of the double, in virtual time. */
class DoubleRun implements FreeRun {
  readonly startTimerTick = START_TICK;
  private readonly startMs: number;
  private readonly slots = new Map<number, Uint8Array>();
  private readonly shutDownAt: number;
  private readonly parameters: { values: ParameterValues; resolve: (step: number) => void; reject: (error: Error) => void }[] = [];
  private readonly state: StateChain;
  private step = 0;
  private timerTick = START_TICK;
  private used = -1;
  private isOver = false;
  private endsAfter = Number.POSITIVE_INFINITY;
  private ended: ((end: FreeRunEnd) => void) | undefined;

  constructor(
    private readonly wasm: WasmRunner,
    private readonly period: number,
    private readonly tickHz: number,
    private readonly clock: Clock,
    private readonly faults: DoubleFaults,
    private readonly listener: FreeRunListener,
  ) {
    this.startMs = clock.nowMs();
    this.state = new StateChain(wasm.input.buffer as ArrayBuffer, wasm.description.contract, wasm.rows);
    this.shutDownAt = recordOf(wasm.description.contract, 'BankInput').fields.find(({ name }) => name === 'shutDown')?.offset ?? 0;
    this.tick();
  }

  get rows(): number {
    return this.wasm.rows;
  }

  sendInputs(firstStep: number, inputs: Uint8Array, count: number): void {
    const bytes = this.wasm.input.length;
    const copy = inputs.slice();
    this.later(() => {
      for (let index = 0; index < count; index++) {
        const step = firstStep + index * this.period;
        if (this.faults.losesInputs?.(step) !== true) this.slots.set(step, copy.subarray(index * bytes, (index + 1) * bytes));
      }
    });
  }

  reconfigure(values: ParameterValues): Promise<number> {
    return new Promise((resolve, reject) => this.later(() => void this.parameters.push({ values, resolve, reject })));
  }

  async watch(): Promise<void> {}

  stepAt(hostTimeMs: number): { step: number; boundSteps: number } {
    return {
      step: Math.floor(((hostTimeMs - this.startMs) * this.tickHz) / 1000) - (this.timerTick - START_TICK - this.step),
      boundSteps: 1,
    };
  }

  end(): Promise<FreeRunEnd> {
    return new Promise((resolve) => {
      this.ended = resolve;
      this.later(() => this.startEnding('requested'));
    });
  }

  private startEnding(end: FreeRunEnd['end']): void {
    if (Number.isFinite(this.endsAfter)) return;
    this.endsAfter = this.step + ENDING_STEPS;
    const event: BoardEvent = { what: 'run ending', step: this.step, end };
    this.later(() => this.listener.onEvent?.(event));
  }

  private later(run: () => void): void {
    this.clock.after(this.faults.latencyMs ?? 1, run);
  }

  private tick(): void {
    if (this.isOver) return;
    const { faults, step } = this;
    if (step === faults.restartsAt) {
      this.isOver = true;
      this.later(() => this.listener.onLink?.({ kind: 'restarted', reason: 'watchdog' }));
      return;
    }
    if (step === faults.endsAt) this.startEnding('power failing');
    if (faults.skipsBefore?.(step) === true) this.timerTick += 1;
    this.runStep(step);
    this.step += 1;
    this.timerTick += 1;
    if (this.step >= this.endsAfter) {
      this.isOver = true;
      this.later(() => this.ended?.({ end: 'requested', steps: this.step, isComplete: true }));
      return;
    }
    this.clock.after(this.startMs + ((this.timerTick - START_TICK) * 1000) / this.tickHz - this.clock.nowMs(), () => this.tick());
  }

  private runStep(step: number): void {
    const { wasm, listener, faults } = this;
    for (const { values, resolve } of this.parameters.splice(0)) {
      wasm.reconfigure(values);
      this.later(() => listener.onParameters?.(step, 0, 0));
      this.later(() => resolve(step));
    }
    const found = [...this.slots.keys()].filter((one) => one <= step && one > this.used);
    if (found.length > 0) {
      this.used = Math.max(...found);
      wasm.input.set(this.slots.get(this.used) ?? []);
      for (const one of found) this.slots.delete(one);
    }
    const isEnding = step >= this.endsAfter - ENDING_STEPS;
    if (isEnding) wasm.input[this.shutDownAt] = 1;
    wasm.tick();
    const output = wasm.output.slice();
    faults.changes?.(step, output);
    const report = { step, timerTick: this.timerTick, inputStep: this.used, isEnding, output };
    const isLost = faults.losesReport?.(step) === true;
    this.later(() => (isLost ? listener.onLost?.(step, step) : listener.onStep?.(report)));
    if ((step + 1) % this.tickHz !== 0) return;
    this.state.value = 0;
    this.state.update();
    const hash = this.state.value;
    this.later(() => listener.onHash?.(step, hash));
    this.later(() => listener.onStatistics?.(step, COUNTERS));
  }
}

/** A board in memory: the wasm in the role of the firmware. Its time is that of the clock. */
export class DoubleBoard implements Board {
  readonly name = 'double';
  readonly session = 1;
  readonly journalOffset = 0;
  restarts = 0;
  stops = 0;
  isClosed = false;
  private runStart: { ms: number; tickHz: number } | undefined;

  constructor(
    private readonly controller: Controller,
    private readonly time: Clock,
    readonly faults: DoubleFaults = {},
  ) {}

  get description() {
    return this.controller.description;
  }

  get greeting(): Greeting {
    return {
      board: 'double',
      contractHash: this.description.contract.hash,
      state: 'ready',
      startCause: 'power',
      startReason: 0,
      arithmetic: 0,
      rowsMax: 48,
      valveRows: 48,
      countHz: 0,
      countCost: 0,
      tickHz: 1000,
      memoryBytes: this.description.contract.memoryBytes,
      requestBytes: 1024,
      window: 4,
      inputSlots: INPUT_SLOTS,
      journalBytes: 8192,
      isResumed: false,
    };
  }

  statistics = () => NO_LINK;

  clock() {
    const { ms, tickHz } = this.runStart ?? { ms: 0, tickHz: 1000 };
    const offset = ms - (START_TICK * 1000) / tickHz;
    return { offsetMs: { value: offset, min: offset - 0.1, max: offset + 0.1 }, driftPpm: { value: 0, min: -10, max: 10 }, exchanges: 2 };
  }

  status = async () => STATUS;
  resumeFreeRun = async (): Promise<FreeRun> => Promise.reject(new Error('not in the double'));
  readParameters = async () => ({});
  readMemory = async (_at: number, count: number) => new Uint8Array(count);
  /** What was written to the inputs before a free run. */
  private primed = new Uint8Array(0);

  async writeMemory(_at: number, bytes: Uint8Array): Promise<void> {
    this.primed = bytes.slice();
  }

  inject = async () => {};

  async stop(): Promise<void> {
    this.stops += 1;
  }

  async restart(): Promise<Greeting> {
    this.restarts += 1;
    return this.greeting;
  }

  async close(): Promise<void> {
    this.isClosed = true;
  }

  async lockstep(rows: number, values: ParameterValues): Promise<LockstepRun> {
    const wasm = createWasmRunner(this.controller, rows, values);
    const chain = new StateChain(wasm.input.buffer as ArrayBuffer, this.description.contract, rows);
    const bytes = wasm.input.length;
    let ticks = 0;
    return {
      rows,
      ticksMax: Math.floor(this.greeting.requestBytes / bytes),
      window: this.greeting.window,
      runTicks: async (inputs) => {
        const copy = inputs.slice();
        for (let at = 0; at < copy.length; at += bytes, ticks++) {
          if (ticks === this.faults.restartsAt && this.restarts === 0) throw new LinkLost('double has restarted: watchdog');
          wasm.input.set(copy.subarray(at, at + bytes));
          wasm.tick();
          this.faults.changes?.(ticks, wasm.output);
          chain.update();
        }
        return { output: wasm.output.slice(), chain: chain.value, counts: { total: copy.length / bytes, max: 1 } };
      },
      stateHash: async () => wasm.stateHash(),
      reconfigure: async (changed) => wasm.reconfigure(changed),
      end: async () => {},
    };
  }

  async freeRun(rows: number, values: ParameterValues, { inputPeriod = 1 }, listener: FreeRunListener): Promise<FreeRun> {
    const { tickHz = 1000 } = values;
    this.runStart = { ms: this.time.nowMs(), tickHz };
    const wasm = createWasmRunner(this.controller, rows, values);
    wasm.input.set(this.primed);
    return new DoubleRun(wasm, inputPeriod, tickHz, this.time, this.faults, listener);
  }
}

/** Where a byte of a row's outputs is. */
export function outputByte(contract: Contract, row: number, field: string): number {
  const { bank, row: record } = messageRecords(contract, 'output');
  return bank.size + (row - 1) * record.size + (record.fields.find(({ name }) => name === field)?.offset ?? 0);
}
