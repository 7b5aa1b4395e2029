import { type Change, type OutputSignals, STATE_HASH } from './change.js';
import { StrokeCount, type StrokeDifferences } from './strokes.js';

/** Where expected and actual part: the values in force on each side from this tick on. */
export interface Difference {
  readonly tick: number;
  readonly row: number;
  readonly signal: string;
  readonly expected: string;
  readonly actual: string;
}

export interface Comparison {
  /** The first difference of an output, or of the inner state where no output differs. */
  readonly first: Difference | undefined;
  readonly differences: number;
  /** Signals that differ, with the number of differences of each. */
  readonly signals: Readonly<Record<string, number>>;
  /** Whether only state hashes differ. */
  readonly innerOnly: boolean;
  /** First tick whose hash differs: the inner state parted in the second before. */
  readonly firstHashTick: number | undefined;
  readonly strokes: StrokeDifferences;
}

/** Order of a change within its tick: bank, rows in turn, the hash last. */
function placeIn(change: Change, order: ReadonlyMap<string, number>): number {
  if (change.signal === STATE_HASH) return Number.MAX_SAFE_INTEGER;
  return change.row * 1000 + (order.get(`${change.row === 0 ? 'bank' : 'row'} ${change.signal}`) ?? 999);
}

const keyOf = (change: Change): string => `${change.row} ${change.signal}`;

/**
 * Compares two streams of changes exactly, in one pass. Nothing is kept but the values in force and what differs, so a
 * recording of any length fits.
 */
export class Comparer {
  private readonly order: ReadonlyMap<string, number>;
  private readonly expectedNow = new Map<string, string>();
  private readonly actualNow = new Map<string, string>();
  private readonly strokes = new StrokeCount();
  private readonly counts: Record<string, number> = {};
  private next: Change | undefined;
  private first: Difference | undefined;
  private firstHashTick: number | undefined;
  private differences = 0;

  constructor(
    private readonly expected: Iterator<Change>,
    signals: OutputSignals,
  ) {
    const names = [...signals.bank.map(({ name }) => `bank ${name}`), ...signals.row.map(({ name }) => `row ${name}`)];
    this.order = new Map(names.map((name, index) => [name, index]));
    this.pull();
  }

  /** Takes the next change of the run, in order. */
  push(actual: Change): void {
    while (this.next !== undefined && this.isBefore(this.next, actual)) this.takeMissing(this.next);
    const { next } = this;
    this.actualNow.set(keyOf(actual), actual.value);
    if (next === undefined || this.isBefore(actual, next)) {
      this.strokes.takeActual(actual);
      this.note(actual, this.expectedNow.get(keyOf(actual)) ?? '', actual.value);
      return;
    }
    this.expectedNow.set(keyOf(next), next.value);
    if (next.value !== actual.value) {
      this.strokes.takeExpected(next);
      this.strokes.takeActual(actual);
      this.note(actual, next.value, actual.value);
    }
    this.pull();
  }

  finish(): Comparison {
    while (this.next !== undefined) this.takeMissing(this.next);
    return {
      first: this.first,
      differences: this.differences,
      signals: this.counts,
      innerOnly: this.differences > 0 && Object.keys(this.counts).every((signal) => signal === STATE_HASH),
      firstHashTick: this.firstHashTick,
      strokes: this.strokes.finish(),
    };
  }

  private pull(): void {
    const result = this.expected.next();
    this.next = result.done === true ? undefined : result.value;
  }

  private isBefore(a: Change, b: Change): boolean {
    return a.tick !== b.tick ? a.tick < b.tick : placeIn(a, this.order) < placeIn(b, this.order);
  }

  private takeMissing(expected: Change): void {
    this.expectedNow.set(keyOf(expected), expected.value);
    this.strokes.takeExpected(expected);
    this.note(expected, expected.value, this.actualNow.get(keyOf(expected)) ?? '');
    this.pull();
  }

  private note(at: Change, expected: string, actual: string): void {
    this.differences += 1;
    this.counts[at.signal] = (this.counts[at.signal] ?? 0) + 1;
    const difference = { tick: at.tick, row: at.row, signal: at.signal, expected, actual };
    if (at.signal === STATE_HASH) this.firstHashTick ??= at.tick;
    // An output outranks an inner difference that was seen earlier: it is what moves a valve.
    if (this.first === undefined || (this.first.signal === STATE_HASH && at.signal !== STATE_HASH)) this.first = difference;
  }
}
