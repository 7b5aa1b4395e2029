import { LinkLost } from '../chip/link.js';
import { verdictOf } from '../chip/replay-chip.js';
import type { ParameterValues } from '../contract/contract.js';
import { placeOf } from '../contract/contract.js';
import { messageBytes } from '../contract/messages.js';
import type { Verdict } from '../replay/verdict.js';
import type { Controller, WasmRunner } from '../runner/wasm-runner.js';
import type { Board, BoardCounters, BoardEvent, FreeRun, FreeRunEnd, FreeRunListener, LinkEvent, StepReport } from './board.js';
import { Explainer, type Explanation } from './explain.js';
import { InputHistory } from './input-history.js';
import type { Clock } from './link/clock.js';
import { type LinkQuality, type LinkReport, linkFaults, QualityMeter } from './link-quality.js';
import type { LinkLimits } from './rig-file.js';

/** Inputs of a free run, step by step. */
export interface InputSource {
  /** Number of steps that have inputs. */
  readonly steps: number;
  /** The inputs of the next step, in order; a view that is valid until the next call. */
  next(): Uint8Array;
  /** Gets each step that the board reports, and the wasm that follows it. */
  take?(report: StepReport, wasm: WasmRunner): void;
}

/** How a free run is made. */
export interface FreeRunSetup {
  readonly rows: number;
  readonly values: ParameterValues;
  readonly tickHz: number;
  /** Steps between inputs. */
  readonly period: number;
  /** How long before their step inputs are sent, ms. */
  readonly leadMs: number;
  readonly limits: LinkLimits;
}

/** What observes a free run besides its result. */
export interface FreeRunObserver {
  /** Each reported step, the inputs that it used, and the wasm that followed it; undefined once they differ. Valid until it returns. */
  readonly onStep?: (report: StepReport, inputs: Uint8Array, wasm: WasmRunner | undefined) => void;
  readonly onReport?: Pick<FreeRunListener, 'onCoils' | 'onStatistics' | 'onEvent' | 'onLink' | 'onLost' | 'onParameters'>;
  /** The board's step that the first inputs are for, before they are asked for. */
  readonly onFirstStep?: (step: number) => void;
  readonly onProgress?: (share: number) => void;
}

/** A verdict of a free run; `notJudged`: the link was too bad, or too much is unknown. */
export type RigVerdict = Verdict | 'notJudged';

/** What a free run has shown. */
export interface FreeRunResult extends LinkReport {
  readonly verdict: RigVerdict;
  /** Why it is not judged, or has stopped; empty otherwise. */
  readonly reasons: readonly string[];
  /** Step of the first inputs. */
  readonly firstStep: number;
  readonly end: FreeRunEnd | undefined;
  readonly explanation: Explanation;
  readonly quality: LinkQuality;
  readonly coilEdges: number;
  readonly events: readonly BoardEvent[];
  readonly linkEvents: readonly LinkEvent[];
}

/** Between two looks at the board's step, ms. */
const PUMP_MS = 2;
/** Head of a frame of inputs, bytes; the count is one byte. */
const INPUTS_HEAD_BYTES = 8;
const COUNT_MAX = 255;

/** A free run in progress. */
class Session implements FreeRunListener {
  readonly history: InputHistory;
  readonly explainer: Explainer;
  readonly meter: QualityMeter;
  readonly events: BoardEvent[] = [];
  readonly linkEvents: LinkEvent[] = [];
  counters: BoardCounters | undefined;
  coilEdges = 0;
  /** Why the run is over, if the board has ended it. */
  over: string | undefined;
  /** Inputs that the last reported step used. */
  private readonly used: Uint8Array;
  private readonly firstInputs: Uint8Array;
  private isEnding = false;
  /** Of the board's timer, ahead of its steps: more with each tick that it skips. */
  private ticksAhead = 0;
  private run: FreeRun | undefined;
  private firstStep = Number.POSITIVE_INFINITY;
  private taken = 0;

  constructor(
    private readonly board: Board,
    controller: Controller,
    private readonly setup: FreeRunSetup,
    private readonly source: InputSource,
    private readonly clock: Clock,
    private readonly observer: FreeRunObserver,
  ) {
    const { rows, values, tickHz, period } = setup;
    this.history = new InputHistory(messageBytes(controller.description.contract, 'input', rows));
    this.explainer = new Explainer(controller, rows, values, this.history);
    this.firstInputs = source.next().slice();
    this.used = new Uint8Array(this.history.inputBytes);
    this.meter = new QualityMeter(this.history, tickHz, () => this.firstStep, period);
  }

  get first(): number {
    return Number.isFinite(this.firstStep) ? this.firstStep : 0;
  }

  private get endStep(): number {
    return this.firstStep + this.source.steps;
  }

  /** Sends all inputs, each ahead of its step, and ends the run. */
  async drive(): Promise<FreeRunEnd | undefined> {
    const { rows, values, period } = this.setup;
    await this.prime();
    this.run = await this.board.freeRun(rows, values, { inputPeriod: period }, this);
    if (this.ticksAhead === 0) this.ticksAhead = this.run.startTimerTick;
    await new Promise<void>((resolve, reject) => {
      const pump = (): void => {
        try {
          if (this.over !== undefined || this.sendDue()) resolve();
          else this.clock.after(PUMP_MS, pump);
        } catch (error) {
          reject(error as Error);
        }
      };
      pump();
    });
    if (this.over !== undefined) return undefined;
    this.isEnding = true;
    return this.run.end();
  }

  /** Writes the first inputs to the board, so that the steps before they are due do not run on those of an earlier run. */
  private async prime(): Promise<void> {
    const { board, setup, firstInputs, explainer } = this;
    await board.lockstep(setup.rows, setup.values);
    await board.writeMemory(placeOf(board.description.contract, 'bankInput').at, firstInputs);
    explainer.wasm.input.set(firstInputs);
    this.used.set(firstInputs);
  }

  /** Sends what is due. Returns whether the last step with inputs is over. */
  private sendDue(): boolean {
    const { run, source, clock, setup } = this;
    if (run === undefined) return true;
    // What is further ahead than a board can keep is dropped by it.
    const slots = (this.board.greeting.inputSlots - 1) * setup.period;
    const lead = Math.min(Math.ceil((setup.leadMs * setup.tickHz) / 1000), slots);
    const step = Math.floor(run.stepAt(clock.nowMs()).step);
    if (!Number.isFinite(this.firstStep)) {
      // A board uses new inputs in the steps that are multiples of the period.
      this.firstStep = Math.ceil((step + lead) / setup.period) * setup.period;
      this.observer.onFirstStep?.(this.firstStep);
    }
    while (this.taken < source.steps && this.firstStep + this.taken <= step + lead) this.sendSome(run, step, lead);
    this.observer.onProgress?.(Math.min(1, Math.max(0, (step - this.firstStep) / source.steps)));
    return step >= this.endStep;
  }

  /** Sends one frame with as many inputs as are due and fit. */
  private sendSome(run: FreeRun, step: number, lead: number): void {
    const { source, history, setup, board } = this;
    const room = Math.floor((board.greeting.requestBytes - INPUTS_HEAD_BYTES) / history.inputBytes);
    const max = Math.max(1, Math.min(COUNT_MAX, room));
    const inputs = new Uint8Array(max * history.inputBytes);
    const sentTick = this.tickNow(run);
    let first: number | undefined;
    let count = 0;
    while (count < max && this.taken < source.steps && this.firstStep + this.taken <= step + lead) {
      const stamp = this.firstStep + this.taken;
      const one = this.taken === 0 ? this.firstInputs : source.next();
      this.taken += 1;
      if ((stamp - this.firstStep) % setup.period !== 0) continue;
      first ??= stamp;
      inputs.set(one, count * history.inputBytes);
      history.put(stamp, one, sentTick);
      count += 1;
      if (stamp <= step) this.meter.sentLate += 1;
    }
    if (first !== undefined) run.sendInputs(first, inputs.subarray(0, count * history.inputBytes), count);
  }

  /** Tick of the board's timer, with fractions, as this computer knows it. */
  private tickNow(run: FreeRun): number {
    return run.stepAt(this.clock.nowMs()).step + this.ticksAhead;
  }

  onStep(report: StepReport): void {
    this.explainer.takeStep(report);
    this.ticksAhead = report.timerTick - report.step;
    this.meter.take(report, this.endStep, this.run === undefined ? undefined : this.tickNow(this.run));
    const inputs = this.history.get(report.inputStep);
    if (inputs !== undefined) this.used.set(inputs);
    this.observer.onStep?.(report, this.used, this.explainer.isOn ? this.explainer.wasm : undefined);
    this.source.take?.(report, this.explainer.wasm);
  }

  onLost(from: number, to: number): void {
    this.explainer.takeLost(from, to);
    this.meter.takeLost(from, to);
    this.observer.onReport?.onLost?.(from, to);
  }

  onHash(step: number, hash: number): void {
    this.explainer.takeHash(step, hash);
  }

  onCoils(edge: Parameters<Required<FreeRunListener>['onCoils']>[0]): void {
    this.coilEdges += 1;
    this.observer.onReport?.onCoils?.(edge);
  }

  onParameters(step: number, result: number, crc: number): void {
    this.explainer.takeParameters(result);
    this.observer.onReport?.onParameters?.(step, result, crc);
  }

  onStatistics(step: number, counters: BoardCounters): void {
    this.counters = counters;
    this.observer.onReport?.onStatistics?.(step, counters);
  }

  onEvent(event: BoardEvent): void {
    this.events.push(event);
    if (event.what !== 'run started' && !this.isEnding) this.over ??= `the board ended the run at step ${event.step}: ${event.end}`;
    this.observer.onReport?.onEvent?.(event);
  }

  onLink(event: LinkEvent): void {
    this.linkEvents.push(event);
    if (event.kind === 'restarted') this.over ??= `the board restarted during the run: ${event.reason}`;
    if (event.kind === 'lost') this.over ??= `the link was lost during the run: ${event.reason}`;
    this.observer.onReport?.onLink?.(event);
  }
}

function judge(session: Session, stop: string | undefined, limits: LinkLimits): Pick<FreeRunResult, 'verdict' | 'reasons'> {
  const { divergence, unknownFrom } = session.explainer.result();
  if (divergence !== undefined) return { verdict: divergence.signal === 'stateHash' ? 'stateDiffers' : verdictOf(divergence), reasons: [] };
  if (stop !== undefined) return { verdict: 'stopped', reasons: [stop] };
  const faults = linkFaults(session.meter.result(), limits);
  if (unknownFrom !== undefined) faults.push(`nothing can be said from step ${unknownFrom.step} on: ${unknownFrom.reason}`);
  return { verdict: faults.length > 0 ? 'notJudged' : 'same', reasons: faults };
}

/**
 * Lets a board run freely on inputs that are sent ahead of their steps, and explains the run with the wasm.
 * @throws InputError, ParameterRefused when the board cannot run this
 */
export async function runFreely(
  board: Board,
  controller: Controller,
  setup: FreeRunSetup,
  source: InputSource,
  clock: Clock,
  observer: FreeRunObserver = {},
): Promise<FreeRunResult> {
  const session = new Session(board, controller, setup, source, clock, observer);
  let end: FreeRunEnd | undefined;
  let stop: string | undefined;
  try {
    end = await session.drive();
    stop = session.over;
  } catch (error) {
    if (!(error instanceof LinkLost)) throw error;
    stop = session.over ?? error.message;
  }
  const { events, linkEvents, counters, coilEdges, first } = session;
  return {
    ...judge(session, stop, setup.limits),
    firstStep: first,
    end,
    explanation: session.explainer.result(),
    quality: session.meter.result(),
    coilEdges,
    events,
    linkEvents,
    link: board.statistics(),
    clock: board.clock(),
    counters,
  };
}
