import { type Change, type OutputSignals, STATE_HASH } from './change.js';
import { type StrokeChange, StrokeCount, type StrokeDifferences } from './strokes.js';

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

/** A row's signals stand beside each other; what sums the rows up comes after all of them, the hash last. */
const SIGNALS_MOST = 100;
const SUMMARY_PLACE = 1e6;
const LAST_PLACE = Number.MAX_SAFE_INTEGER;

/** A change with its place among those of its tick, which names row and signal too, and the value before the first tick. */
interface Placed {
  readonly change: Change;
  readonly place: number;
  readonly initial: string;
}

/** Gives changes their places, in the order in which ChangeDetector finds them. */
function placer(signals: OutputSignals): (change: Change) => Placed {
  const bank = new Map<string, [number, string]>();
  const row = new Map<string, [number, string]>();
  for (const [index, { name, show }] of signals.bank.entries()) bank.set(name, [index, show(0)]);
  for (const [index, { name, show }] of signals.summary.entries()) bank.set(name, [SUMMARY_PLACE + index, show(0)]);
  for (const [index, { name, show }] of signals.row.entries()) row.set(name, [index, show(0)]);
  return (change) => {
    if (change.signal === STATE_HASH) return { change, place: LAST_PLACE, initial: 'nothing' };
    const [index, initial] = (change.row === 0 ? bank : row).get(change.signal) ?? [SIGNALS_MOST - 1, 'nothing'];
    return { change, place: change.row * SIGNALS_MOST + index, initial };
  };
}

const isBefore = (a: Placed, b: Placed): boolean => (a.change.tick !== b.change.tick ? a.change.tick < b.change.tick : a.place < b.place);

/**
 * Compares two streams of changes exactly, in one pass. Nothing is kept but the values in force and what differs, so a
 * recording of any length fits.
 */
export class Comparer {
  private readonly placed: (change: Change) => Placed;
  private readonly expectedNow = new Map<number, string>();
  private readonly actualNow = new Map<number, string>();
  private readonly strokes = new StrokeCount();
  private readonly counts: Record<string, number> = {};
  private next: Placed | undefined;
  private first: Difference | undefined;
  private firstHashTick: number | undefined;
  private differences = 0;

  constructor(
    private readonly expected: Iterator<Change>,
    signals: OutputSignals,
  ) {
    this.placed = placer(signals);
    this.pull();
  }

  /** Takes the next change of the run, in order. */
  push(change: Change): void {
    const actual = this.placed(change);
    while (this.next !== undefined && isBefore(this.next, actual)) this.takeMissing(this.next);
    const { next } = this;
    this.actualNow.set(actual.place, change.value);
    if (next === undefined || isBefore(actual, next)) {
      this.strokes.takeActual(change);
      this.note(change, this.expectedNow.get(actual.place) ?? actual.initial, change.value);
      return;
    }
    const expected = next.change;
    this.expectedNow.set(next.place, expected.value);
    if (expected.value !== change.value) {
      this.strokes.takeExpected(expected);
      this.strokes.takeActual(change);
      this.note(change, expected.value, change.value);
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

  /** Every stroke that is not the same, in order of time. To be called after `finish`. */
  strokeChanges(): StrokeChange[] {
    return this.strokes.changes();
  }

  private pull(): void {
    const result = this.expected.next();
    this.next = result.done === true ? undefined : this.placed(result.value);
  }

  private takeMissing({ change, place, initial }: Placed): void {
    this.expectedNow.set(place, change.value);
    this.strokes.takeExpected(change);
    this.note(change, change.value, this.actualNow.get(place) ?? initial);
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
