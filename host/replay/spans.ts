import type { Contract } from '../contract/contract.js';
import { type Change, outputSignals } from './change.js';
import { type Part, stretchOf } from './series.js';

/** Stretches over which a lane shows one text; `end` is the first one after them. */
export interface Span {
  readonly value: string;
  readonly begin: number;
  readonly end: number;
}

/** When a valve was open as ordered: from the begin of an opening stroke to that of the next closing one. */
export interface Openings {
  /** Pulses that begin in each stretch. */
  readonly begun: Uint32Array;
  /** Share of each stretch in which it was open. */
  readonly openRatio: Float64Array;
}

export interface BankLanes {
  readonly mode: readonly Span[];
  readonly faults: readonly Span[];
}

export interface RowLanes extends BankLanes {
  readonly row: number;
  readonly supply: Openings;
  readonly return: Openings;
}

/** What the controller answered over a part of a run. */
export interface Lanes {
  readonly bank: BankLanes;
  readonly rows: readonly RowLanes[];
}

/** Of the words that begin and end within one stretch, so many are told. */
const BRIEF_MOST = 8;
/** What faults are where there are none: nothing that another value could hide. */
const NOTHING = 'none';

/** A signal of words. Where one held for less than a stretch, the stretch shows it, and not what held about it. */
class WordLane {
  private readonly changes = new Map<number, { last: string; readonly brief: Set<string> }>();

  /** @param word that holds before the first change */
  constructor(
    private readonly part: Part,
    private word: string,
  ) {}

  take(tick: number, word: string): void {
    const at = stretchOf(this.part, tick);
    const before = this.changes.get(at);
    if (at < 0) this.word = word;
    else if (at >= this.part.stretches) return;
    else if (before === undefined) this.changes.set(at, { last: word, brief: new Set() });
    else {
      if (before.last !== NOTHING && before.brief.size < BRIEF_MOST) before.brief.add(before.last);
      before.last = word;
    }
  }

  spans(): Span[] {
    const spans: { value: string; begin: number; end: number }[] = [];
    let word = this.word;
    for (let at = 0; at < this.part.stretches; at++) {
      const change = this.changes.get(at);
      word = change?.last ?? word;
      const brief = [...(change?.brief ?? [])].filter((one) => one !== word);
      const value = brief.length > 0 ? brief.join(', ') : word;
      const open = spans.at(-1);
      if (open?.value === value) open.end = at + 1;
      else spans.push({ value, begin: at, end: at + 1 });
    }
    return spans;
  }
}

/** A valve's strokes. */
class ValveLane {
  private readonly begun: Uint32Array;
  private readonly openTicks: Float64Array;
  private openSince: number | undefined;

  constructor(private readonly part: Part) {
    this.begun = new Uint32Array(part.stretches);
    this.openTicks = new Float64Array(part.stretches);
  }

  take(tick: number, order: string): void {
    if (order === NOTHING) return;
    this.closeAt(tick);
    if (order !== 'open') return;
    this.openSince = tick;
    const at = stretchOf(this.part, tick);
    if (at >= 0 && at < this.part.stretches) this.begun[at] = (this.begun[at] ?? 0) + 1;
  }

  openings(): Openings {
    this.closeAt(Number.POSITIVE_INFINITY);
    const { begun, openTicks } = this;
    return { begun, openRatio: openTicks.map((ticks, at) => ticks / (this.beginOf(at + 1) - this.beginOf(at))) };
  }

  /** First tick of a stretch. */
  private beginOf(at: number): number {
    const { first, ticks, stretches } = this.part;
    return first + Math.ceil((at * ticks) / stretches);
  }

  private closeAt(tick: number): void {
    if (this.openSince === undefined) return;
    const { first, ticks, stretches } = this.part;
    const from = Math.max(first, this.openSince);
    const to = Math.min(first + ticks, tick);
    this.openSince = undefined;
    for (let at = stretchOf(this.part, from); at < stretches && this.beginOf(at) < to; at++) {
      const inside = Math.min(to, this.beginOf(at + 1)) - Math.max(from, this.beginOf(at));
      this.openTicks[at] = (this.openTicks[at] ?? 0) + inside;
    }
  }
}

interface BankTracer {
  readonly mode: WordLane;
  readonly faults: WordLane;
}
interface RowTracer extends BankTracer {
  readonly supplyOrder: ValveLane;
  readonly returnOrder: ValveLane;
}

/** Makes lanes of a run's changes: the bank's, and those of some rows. Memory depends on rows and stretches only. */
export class LaneTracer {
  private readonly bank: BankTracer;
  private readonly rows = new Map<number, RowTracer>();

  constructor(contract: Contract, rows: readonly number[], part: Part) {
    const signals = outputSignals(contract);
    const words = (of: 'bank' | 'row', name: string): WordLane =>
      new WordLane(part, signals[of].find((signal) => signal.name === name)?.show(0) ?? '');
    const both = (of: 'bank' | 'row'): BankTracer => ({ mode: words(of, 'mode'), faults: words(of, 'faults') });
    this.bank = both('bank');
    for (const row of rows) this.rows.set(row, { ...both('row'), supplyOrder: new ValveLane(part), returnOrder: new ValveLane(part) });
  }

  /** Takes the changes in order of time, from the run's begin: what holds as the part begins is known from before. */
  take({ row, signal, tick, value }: Change): void {
    const lanes: Partial<RowTracer> | undefined = row === 0 ? this.bank : this.rows.get(row);
    lanes?.[signal as keyof RowTracer]?.take(tick, value);
  }

  finish(): Lanes {
    const both = ({ mode, faults }: BankTracer): BankLanes => ({
      mode: mode.spans(),
      faults: faults.spans().filter(({ value }) => value !== NOTHING),
    });
    const rows = [...this.rows].map(([row, lanes]) => {
      return { row, ...both(lanes), supply: lanes.supplyOrder.openings(), return: lanes.returnOrder.openings() };
    });
    return { bank: both(this.bank), rows };
  }
}
