import { type Change, type OutputSignals, STATE_HASH, SUMMARIES } from './change.js';
import { StrokeComparer } from './stroke-comparer.js';
import { changedStrokes, isOrder, type StrokeChange, type StrokeDifferences } from './strokes.js';
import type { Verdict } from './verdict.js';

/** A signal that has different values on the two sides from this tick on. */
export interface Difference {
  readonly tick: number;
  readonly row: number;
  readonly signal: string;
  readonly expected: string;
  readonly actual: string;
}

export interface Comparison {
  /** The first difference of an output, or of the state hash if no output differs. */
  readonly first: Difference | undefined;
  readonly differences: number;
  /** Number of differences of each signal that differs. */
  readonly signals: Readonly<Record<string, number>>;
  /** Whether only state hashes differ. */
  readonly stateOnly: boolean;
  /**
   * Whether the outputs differ in nothing but the ticks of strokes: each has its partner, driven for the same time, and modes and faults
   * are the same. What summarises the valves, such as allClosed, follows the strokes, and must be the same in the end.
   */
  readonly timingOnly: boolean;
  /** First tick whose hash differs: the state diverged within the second before it. */
  readonly firstHashTick: number | undefined;
  readonly strokes: StrokeDifferences;
}

/** The verdict on outputs and state hashes. */
export function comparisonVerdict({ differences, stateOnly, timingOnly }: Comparison): Verdict {
  if (differences === 0) return 'same';
  if (stateOnly) return 'stateDiffers';
  return timingOnly ? 'timingDiffers' : 'outputsDiffer';
}

/** Order within a tick: a row's signals together, then the signals that summarise all rows, then the hash. */
const SIGNALS_MAX = 100;
const SUMMARY_PLACE = 1e6;
const LAST_PLACE = Number.MAX_SAFE_INTEGER;

/** A change with its position among those of its tick, which identifies row and signal, and the value before the first tick. */
interface PlacedChange {
  readonly change: Change;
  readonly place: number;
  readonly initial: string;
}

/** Orders the changes of a tick as ChangeDetector finds them. */
function placer(signals: OutputSignals): (change: Change) => PlacedChange {
  const bank = new Map<string, [number, string]>();
  const row = new Map<string, [number, string]>();
  for (const [index, { name, show }] of signals.bank.entries()) bank.set(name, [index, show(0)]);
  for (const [index, { name, show }] of signals.summary.entries()) bank.set(name, [SUMMARY_PLACE + index, show(0)]);
  for (const [index, { name, show }] of signals.row.entries()) row.set(name, [index, show(0)]);
  return (change) => {
    if (change.signal === STATE_HASH) return { change, place: LAST_PLACE, initial: 'nothing' };
    const [index, initial] = (change.row === 0 ? bank : row).get(change.signal) ?? [SIGNALS_MAX - 1, 'nothing'];
    return { change, place: change.row * SIGNALS_MAX + index, initial };
  };
}

const isBefore = (a: PlacedChange, b: PlacedChange): boolean =>
  a.change.tick !== b.change.tick ? a.change.tick < b.change.tick : a.place < b.place;

/** Compares two streams of changes exactly, in one pass. It keeps only the current values, the differences and the strokes. */
export class ChangeComparer {
  private readonly placed: (change: Change) => PlacedChange;
  private readonly expectedNow = new Map<number, string>();
  private readonly actualNow = new Map<number, string>();
  private readonly strokes = new StrokeComparer();
  private readonly counts: Record<string, number> = {};
  private next: PlacedChange | undefined;
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

  /** Whether something has differed so far. */
  get hasDifference(): boolean {
    return this.differences > 0;
  }

  /** Takes the next change of the run, in order. */
  push(change: Change): void {
    const actual = this.placed(change);
    while (this.next !== undefined && isBefore(this.next, actual)) this.takeMissing(this.next);
    const { next } = this;
    this.actualNow.set(actual.place, change.value);
    if (next === undefined || isBefore(actual, next)) {
      this.strokes.take('head', change);
      this.note(change, this.expectedNow.get(actual.place) ?? actual.initial, change.value);
      return;
    }
    const expected = next.change;
    this.expectedNow.set(next.place, expected.value);
    this.strokes.take('base', expected);
    this.strokes.take('head', change);
    if (expected.value !== change.value) this.note(change, expected.value, change.value);
    this.pull();
  }

  /** @param ticks length of the run */
  finish(ticks: number): { comparison: Comparison; strokeChanges: readonly StrokeChange[] } {
    while (this.next !== undefined) this.takeMissing(this.next);
    const strokes = this.strokes.compare(ticks);
    const comparison = {
      first: this.first,
      differences: this.differences,
      signals: this.counts,
      stateOnly: this.differences > 0 && Object.keys(this.counts).every((signal) => signal === STATE_HASH),
      timingOnly: this.isTimingOnly(strokes.differences),
      firstHashTick: this.firstHashTick,
      strokes: strokes.differences,
    };
    return { comparison, strokeChanges: strokes.changes };
  }

  private isTimingOnly(strokes: StrokeDifferences): boolean {
    const isMoved = changedStrokes(strokes) > 0 && strokes.added + strokes.removed + strokes.otherDriveTime === 0;
    const places = new Set([...this.expectedNow.keys(), ...this.actualNow.keys()]);
    const summaries = [...places].filter((place) => place >= SUMMARY_PLACE && place < LAST_PLACE);
    return (
      isMoved &&
      Object.keys(this.counts).every((signal) => isOrder(signal) || signal === STATE_HASH || SUMMARIES.includes(signal)) &&
      summaries.every((place) => this.expectedNow.get(place) === this.actualNow.get(place))
    );
  }

  private pull(): void {
    const result = this.expected.next();
    this.next = result.done === true ? undefined : this.placed(result.value);
  }

  private takeMissing({ change, place, initial }: PlacedChange): void {
    this.expectedNow.set(place, change.value);
    this.strokes.take('base', change);
    this.note(change, change.value, this.actualNow.get(place) ?? initial);
    this.pull();
  }

  private note(at: Change, expected: string, actual: string): void {
    this.differences += 1;
    this.counts[at.signal] = (this.counts[at.signal] ?? 0) + 1;
    const difference = { tick: at.tick, row: at.row, signal: at.signal, expected, actual };
    if (at.signal === STATE_HASH) this.firstHashTick ??= at.tick;
    // An output takes precedence over an earlier difference of the state: it is what moves a valve.
    if (this.first === undefined || (this.first.signal === STATE_HASH && at.signal !== STATE_HASH)) this.first = difference;
  }
}
