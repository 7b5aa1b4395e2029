import type { BoardCounters, ClockAlignment, LinkStatistics, StepReport } from './board.js';
import { type Bar, Distribution, type Percentiles } from './distribution.js';
import type { InputHistory } from './input-history.js';
import type { LinkLimits } from './rig-file.js';

/** A distribution as a report shows it. */
export interface Spread extends Percentiles {
  readonly bars: readonly Bar[];
}

const spreadOf = (distribution: Distribution): Spread => ({ ...distribution.percentiles(), bars: distribution.bars() });

/** What link, host and board did to the timing of a free run. Times are in ms, by the board's timer as this computer knows it. */
export interface LinkQuality {
  /** Steps that should have had own inputs, by the period of the inputs. */
  readonly steps: number;
  /** Of these, steps that used older ones, because theirs came late or not at all. */
  readonly held: number;
  /** Longest time without new inputs, beyond the period. */
  readonly holdMsMax: number;
  readonly lost: number;
  /** Timer ticks that the board skipped between two steps. */
  readonly skipped: number;
  /** Inputs that the host sent after their step had begun. */
  readonly sentLate: number;
  /** From sending inputs to the step that used them first. */
  readonly inputMs: Spread;
  /** From the start of a step to its report. */
  readonly reportMs: Spread;
  /** Timer ticks from each step to the next; 1 if none is skipped. */
  readonly stepTicks: Spread;
  /** Steps by which the inputs used are older than those meant for a step. */
  readonly ageSteps: Spread;
}

/** Observes the steps of a free run. */
export class QualityMeter {
  private readonly inputMs = new Distribution();
  private readonly reportMs = new Distribution();
  private readonly stepTicks = new Distribution();
  private readonly ageSteps = new Distribution();
  private steps = 0;
  private held = 0;
  private holding = 0;
  private holdMax = 0;
  private lost = 0;
  private skipped = 0;
  private lastTick: number | undefined;
  private lastUsed = -1;
  sentLate = 0;

  /** @param firstStep returns the first step with inputs @param period steps between inputs */
  constructor(
    private readonly history: InputHistory,
    private readonly tickHz: number,
    private readonly firstStep: () => number,
    private readonly period: number,
  ) {}

  /** @param endStep no step from this one on has inputs @param nowTick of the board's timer when the report arrived, if that is known */
  take({ step, timerTick, inputStep }: StepReport, endStep: number, nowTick: number | undefined): void {
    if (this.lastTick !== undefined) {
      const ticks = (timerTick - this.lastTick) >>> 0;
      this.stepTicks.add(ticks);
      this.skipped += ticks - 1;
    }
    this.lastTick = timerTick;
    if (nowTick !== undefined) this.reportMs.add(this.msOf(nowTick - timerTick));
    if (step >= this.firstStep() && step < endStep) this.takeInputs(step, inputStep, timerTick);
  }

  takeLost(from: number, to: number): void {
    this.lost += to - from + 1;
    this.lastTick = undefined;
  }

  result(): LinkQuality {
    const { steps, held, lost, skipped, sentLate, inputMs, reportMs, stepTicks, ageSteps } = this;
    return {
      steps,
      held,
      holdMsMax: this.msOf(this.holdMax),
      lost,
      skipped,
      sentLate,
      inputMs: spreadOf(inputMs),
      reportMs: spreadOf(reportMs),
      stepTicks: spreadOf(stepTicks),
      ageSteps: spreadOf(ageSteps),
    };
  }

  private msOf(ticks: number): number {
    return (ticks * 1000) / this.tickHz;
  }

  private takeInputs(step: number, inputStep: number, timerTick: number): void {
    const first = this.firstStep();
    const own = step - ((step - first) % this.period);
    const age = own - Math.max(inputStep, first - 1);
    this.steps += 1;
    if (inputStep >= 0) this.ageSteps.add(Math.max(0, age));
    this.holding = age > 0 ? this.holding + 1 : 0;
    this.holdMax = Math.max(this.holdMax, this.holding);
    if (age > 0) this.held += 1;
    const sentTick = inputStep > this.lastUsed ? this.history.sentAt(inputStep) : undefined;
    if (sentTick !== undefined) this.inputMs.add(this.msOf(timerTick - sentTick));
    this.lastUsed = Math.max(this.lastUsed, inputStep);
  }
}

const percent = (count: number, of: number): number => (of === 0 ? 0 : (100 * count) / of);
const shown = (value: number): string => String(Number(value.toPrecision(3)));

/** Why a link was too bad to judge the run over it; empty if it was good enough. */
export function linkFaults({ steps, held, holdMsMax, lost }: LinkQuality, limits: LinkLimits): string[] {
  const [heldPercent, lostPercent] = [percent(held, steps), percent(lost, steps + lost)];
  return [
    heldPercent > limits.heldPercentMax ? `${shown(heldPercent)} % of the steps held older inputs (limit ${limits.heldPercentMax} %)` : '',
    holdMsMax > limits.holdMsMax ? `${shown(holdMsMax)} ms without new inputs (limit ${limits.holdMsMax} ms)` : '',
    lostPercent > limits.lostPercentMax
      ? `the reports of ${shown(lostPercent)} % of the steps are lost (limit ${limits.lostPercentMax} %)`
      : '',
  ].filter((text) => text !== '');
}

/** What both ends of a link counted, and how its clocks are aligned. */
export interface LinkReport {
  readonly link: LinkStatistics;
  readonly clock: ClockAlignment | undefined;
  readonly counters: BoardCounters | undefined;
}
