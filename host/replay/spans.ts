import type { Contract } from '../contract/contract.js';
import { type Change, outputSignals } from './change.js';
import { binOf, type Part } from './series.js';

/** Bins in which a lane shows one text; `end` is the first bin after them. */
export interface Span {
  readonly value: string;
  readonly begin: number;
  readonly end: number;
}

/** When a valve was ordered open: from the start of an opening stroke to that of the next closing one. */
export interface Openings {
  /** Pulses that start in each bin. */
  readonly pulseStarts: Uint32Array;
  /** Share of each bin in which the valve was open. */
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

/** Outputs of the controller over a part of a run. */
export interface Lanes {
  readonly bank: BankLanes;
  readonly rows: readonly RowLanes[];
}

/** A lane lists at most this many words that appear and disappear within one bin. */
const BRIEF_MAX = 8;
/** Word for no fault and no order. */
const NONE = 'none';

/** A signal of words. A bin shows a word that held for less than the bin rather than the one around it. */
class WordLane {
  private readonly changes = new Map<number, { last: string; readonly brief: Set<string> }>();

  /** @param word before the first change */
  constructor(
    private readonly part: Part,
    private word: string,
  ) {}

  take(tick: number, word: string): void {
    const bin = binOf(this.part, tick);
    const before = this.changes.get(bin);
    if (bin < 0) this.word = word;
    else if (bin >= this.part.bins) return;
    else if (before === undefined) this.changes.set(bin, { last: word, brief: new Set() });
    else {
      if (before.last !== NONE && before.brief.size < BRIEF_MAX) before.brief.add(before.last);
      before.last = word;
    }
  }

  spans(): Span[] {
    const spans: { value: string; begin: number; end: number }[] = [];
    let word = this.word;
    for (let bin = 0; bin < this.part.bins; bin++) {
      const change = this.changes.get(bin);
      word = change?.last ?? word;
      const brief = [...(change?.brief ?? [])].filter((one) => one !== word);
      const value = brief.length > 0 ? brief.join(', ') : word;
      const open = spans.at(-1);
      if (open?.value === value) open.end = bin + 1;
      else spans.push({ value, begin: bin, end: bin + 1 });
    }
    return spans;
  }
}

/** Open times of a valve. */
class ValveLane {
  private readonly pulseStarts: Uint32Array;
  private readonly openTicks: Float64Array;
  private openSince: number | undefined;

  constructor(private readonly part: Part) {
    this.pulseStarts = new Uint32Array(part.bins);
    this.openTicks = new Float64Array(part.bins);
  }

  take(tick: number, order: string): void {
    if (order === NONE) return;
    this.closeAt(tick);
    if (order !== 'open') return;
    this.openSince = tick;
    const bin = binOf(this.part, tick);
    if (bin >= 0 && bin < this.part.bins) this.pulseStarts[bin] = (this.pulseStarts[bin] ?? 0) + 1;
  }

  openings(): Openings {
    this.closeAt(Number.POSITIVE_INFINITY);
    const { pulseStarts, openTicks } = this;
    return { pulseStarts, openRatio: openTicks.map((ticks, bin) => ticks / (this.firstTick(bin + 1) - this.firstTick(bin))) };
  }

  private firstTick(bin: number): number {
    const { first, ticks, bins } = this.part;
    return first + Math.ceil((bin * ticks) / bins);
  }

  private closeAt(tick: number): void {
    if (this.openSince === undefined) return;
    const { first, ticks, bins } = this.part;
    const from = Math.max(first, this.openSince);
    const to = Math.min(first + ticks, tick);
    this.openSince = undefined;
    for (let bin = binOf(this.part, from); bin < bins && this.firstTick(bin) < to; bin++) {
      const inside = Math.min(to, this.firstTick(bin + 1)) - Math.max(from, this.firstTick(bin));
      this.openTicks[bin] = (this.openTicks[bin] ?? 0) + inside;
    }
  }
}

interface BankCollector {
  readonly mode: WordLane;
  readonly faults: WordLane;
}
interface RowCollector extends BankCollector {
  readonly supplyOrder: ValveLane;
  readonly returnOrder: ValveLane;
}

/** Makes lanes of the bank and of some rows from the changes of a run. Memory depends on the number of rows and bins only. */
export class LaneCollector {
  private readonly bank: BankCollector;
  private readonly rows = new Map<number, RowCollector>();

  constructor(contract: Contract, rows: readonly number[], part: Part) {
    const signals = outputSignals(contract);
    const words = (of: 'bank' | 'row', name: string): WordLane =>
      new WordLane(part, signals[of].find((signal) => signal.name === name)?.show(0) ?? '');
    const both = (of: 'bank' | 'row'): BankCollector => ({ mode: words(of, 'mode'), faults: words(of, 'faults') });
    this.bank = both('bank');
    for (const row of rows) this.rows.set(row, { ...both('row'), supplyOrder: new ValveLane(part), returnOrder: new ValveLane(part) });
  }

  /** Takes all changes from the start of the run, in order: those before the part give the state at its start. */
  take({ row, signal, tick, value }: Change): void {
    const lanes: Partial<RowCollector> | undefined = row === 0 ? this.bank : this.rows.get(row);
    lanes?.[signal as keyof RowCollector]?.take(tick, value);
  }

  finish(): Lanes {
    const both = ({ mode, faults }: BankCollector): BankLanes => ({
      mode: mode.spans(),
      faults: faults.spans().filter(({ value }) => value !== NONE),
    });
    const rows = [...this.rows].map(([row, lanes]) => {
      return { row, ...both(lanes), supply: lanes.supplyOrder.openings(), return: lanes.returnOrder.openings() };
    });
    return { bank: both(this.bank), rows };
  }
}
