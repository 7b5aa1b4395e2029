import { UNITS } from '../../shared/units.js';
import type { Stroke } from '../replay/align-strokes.js';
import type { Change } from '../replay/change.js';
import { pulsesOf } from '../replay/stroke-comparer.js';
import { isStroke, type StrokeChange } from '../replay/strokes.js';
import {
  AROUND_TICKS,
  BEFORE_TICKS,
  type Curve,
  type Opening,
  OVERVIEW_BINS,
  ROWS_SHOWN,
  type RunViews,
  type SignalDivergence,
  type Snapshot,
  TRACKS_MAX,
  type Track,
  type Tracks,
  type ValveLane,
} from './review.js';
import { matchSides, type PairResult } from './run-both.js';
import type { RunPair, Side } from './run-pair.js';
import { isSame, keyOf, type MemorySignal, readSignal, type SignalPair } from './signals.js';

/** Tracks of a row besides the signal of the first difference. */
const DEFAULT_TRACKS: readonly string[] = ['loadN', 'predictedN', 'errorN', 'deadbandN', 'pressureKpa', 'setPointKpa', 'mode'];
const MISSING = '–';

/** A signal that one side or both have. */
interface TwoSided {
  readonly base: MemorySignal | undefined;
  readonly head: MemorySignal | undefined;
}

/** Rounds to six digits, more than a plot shows. */
const rounded = (value: number): number => Number(value.toPrecision(6));

/** Minimum and maximum of a signal in each bin. */
class CurveTracer {
  private readonly min: Float64Array;
  private readonly max: Float64Array;
  private readonly memory: DataView;

  constructor(
    private readonly signal: MemorySignal,
    { runner }: Side,
    bins: number,
  ) {
    this.min = new Float64Array(bins).fill(Number.POSITIVE_INFINITY);
    this.max = new Float64Array(bins).fill(Number.NEGATIVE_INFINITY);
    this.memory = new DataView(runner.output.buffer);
  }

  take(bin: number): void {
    const value = readSignal(this.memory, this.signal);
    if (!Number.isFinite(value)) return;
    if (value < (this.min[bin] as number)) this.min[bin] = value;
    if (value > (this.max[bin] as number)) this.max[bin] = value;
  }

  curve(): Curve {
    const values = (of: Float64Array): (number | null)[] => [...of].map((value) => (Number.isFinite(value) ? rounded(value) : null));
    return { min: values(this.min), max: values(this.max) };
  }
}

/** Follows signals of both sides over a part of the run. */
class TracksTracer {
  private readonly tracers: readonly { base: CurveTracer | undefined; head: CurveTracer | undefined }[];

  /** @param first first tick of the part, which may end after the run does */
  constructor(
    private readonly signals: readonly TwoSided[],
    pair: RunPair,
    private readonly first: number,
    private readonly ticks: number,
    private readonly bins: number,
  ) {
    const tracer = (signal: MemorySignal | undefined, side: Side): CurveTracer | undefined =>
      signal === undefined ? undefined : new CurveTracer(signal, side, bins);
    this.tracers = signals.map((signal) => ({ base: tracer(signal.base, pair.base), head: tracer(signal.head, pair.head) }));
  }

  take(tick: number): void {
    const bin = Math.floor(((tick - this.first) * this.bins) / this.ticks);
    if (bin < 0 || bin >= this.bins) return;
    for (const tracer of this.tracers) {
      tracer.base?.take(bin);
      tracer.head?.take(bin);
    }
  }

  tracks(): Tracks {
    const { first, ticks, bins } = this;
    const tracks = this.tracers.map((tracer, index): Track => {
      const { name, row, unit, words } = eitherOf(this.signals[index] as TwoSided);
      const curves = { base: tracer.base?.curve() ?? null, head: tracer.head?.curve() ?? null };
      return { signal: name, row, unit: UNITS[unit].symbol, ...(words === undefined ? {} : { words }), ...curves };
    });
    return { first, ticks, bins, tracks };
  }
}

function eitherOf({ base, head }: TwoSided): MemorySignal {
  const signal = head ?? base;
  if (signal === undefined) throw new Error('a signal without a side');
  return signal;
}

/** Signals to plot: the one of the first difference, then the default ones of a row. */
function signalsToTrack(pair: RunPair, first: SignalDivergence, row: number): TwoSided[] {
  const { pairs, added, removed } = matchSides(pair);
  const all: TwoSided[] = [
    ...pairs,
    ...added.map((signal) => ({ base: undefined, head: signal })),
    ...removed.map((signal) => ({ base: signal, head: undefined })),
  ];
  const byKey = new Map(all.map((signal) => [keyOf(eitherOf(signal)), signal]));
  const keys = [keyOf({ row: first.row, name: first.signal }), ...DEFAULT_TRACKS.map((name) => keyOf({ row, name }))];
  return [...new Set(keys)].flatMap((key) => byKey.get(key) ?? []).slice(0, TRACKS_MAX);
}

function overviewTracer(pair: RunPair, first: SignalDivergence, row: number): TracksTracer {
  const bins = Math.max(1, Math.min(pair.ticks, OVERVIEW_BINS));
  return new TracksTracer(signalsToTrack(pair, first, row), pair, 0, pair.ticks, bins);
}

function aroundTracer(pair: RunPair, first: SignalDivergence, row: number): TracksTracer {
  const from = Math.max(0, Math.min(first.tick - BEFORE_TICKS, pair.ticks - AROUND_TICKS));
  const ticks = Math.min(AROUND_TICKS, pair.ticks);
  return new TracksTracer(signalsToTrack(pair, first, row), pair, from, ticks, ticks);
}

/** Every value of the bank or of a row on both sides, as it is now. */
function snapshot(pair: RunPair, row: number): Snapshot {
  const { pairs, added, removed } = matchSides(pair);
  const memory = { base: new DataView(pair.base.runner.output.buffer), head: new DataView(pair.head.runner.output.buffer) };
  const about = ({ name: signal, kind, unit }: MemorySignal) => ({ signal, kind, unit });
  const isOfRow = (signal: MemorySignal): boolean => signal.row === row;
  const both = (signals: SignalPair) => {
    const { base, head } = signals;
    const baseValue = readSignal(memory.base, base);
    const headValue = readSignal(memory.head, head);
    return { ...about(head), base: base.show(baseValue), head: head.show(headValue), differs: !isSame(signals, baseValue, headValue) };
  };
  return {
    row,
    values: [
      ...pairs.filter((signals) => isOfRow(signals.head)).map(both),
      ...removed
        .filter(isOfRow)
        .map((one) => ({ ...about(one), base: one.show(readSignal(memory.base, one)), head: MISSING, differs: true })),
      ...added
        .filter(isOfRow)
        .map((one) => ({ ...about(one), base: MISSING, head: one.show(readSignal(memory.head, one)), differs: true })),
    ],
  };
}

/** Openings of a row's valve, as ordered; a valve still open at the end is open until then. */
export function openings(changes: readonly Change[], row: number, valve: 'supply' | 'return', ticks: number): Opening[] {
  const strokes = changes
    .filter((change) => change.row === row && change.signal === `${valve}Order` && isStroke(change))
    .map(({ tick, value }) => ({ tick, order: value as Stroke['order'] }));
  const tickOf = (at: number): number => strokes[at]?.tick ?? ticks;
  return pulsesOf(strokes).map(([open, close]) => [tickOf(open), tickOf(close)]);
}

/** Rows whose lanes are shown, in ascending order: the given one, then those with the most changed strokes. */
export function rowsShown(row: number, strokes: readonly StrokeChange[]): number[] {
  const counts = new Map<number, number>();
  for (const stroke of strokes) counts.set(stroke.row, (counts.get(stroke.row) ?? 0) + 1);
  const byCount = [...counts].sort((a, b) => b[1] - a[1] || a[0] - b[0]).map(([other]) => other);
  return [...new Set([row, ...byCount])].slice(0, ROWS_SHOWN).sort((a, b) => a - b);
}

function valveLanes(rows: readonly number[], { base, head }: PairResult['changes'], ticks: number): ValveLane[] {
  return rows.flatMap((row) =>
    (['supply', 'return'] as const).map((valve) => ({
      row,
      valve,
      base: openings(base, row, valve, ticks),
      head: openings(head, row, valve, ticks),
    })),
  );
}

/** Collects the views of a run's differences while it runs. */
export class ViewsCollector {
  /** Rows that may be shown, each with its views. */
  private readonly rows: ReadonlyMap<number, { readonly overview: TracksTracer; readonly around: TracksTracer }>;
  private states: readonly Snapshot[] = [];

  /** @param pair before its first tick */
  constructor(
    private readonly pair: RunPair,
    private readonly first: SignalDivergence,
  ) {
    // A difference of the bank is shown with the row whose stroke it changes first, and that is known at the end.
    const rows = first.row === 0 ? Array.from({ length: pair.rows }, (_, index) => index + 1) : [first.row];
    this.rows = new Map(rows.map((row) => [row, { overview: overviewTracer(pair, first, row), around: aroundTracer(pair, first, row) }]));
    this.takeStates();
  }

  /** Call it after each tick that both sides have run. */
  take(tick: number): void {
    for (const { overview, around } of this.rows.values()) {
      overview.take(tick);
      around.take(tick);
    }
    if (tick === this.first.tick) this.takeStates();
  }

  private takeStates(): void {
    this.states = [0, ...this.rows.keys()].map((row) => snapshot(this.pair, row));
  }

  /** The views, at the end of the run. @param strokes that differ, in order of time */
  finish({ ticks, changes }: PairResult, strokes: readonly StrokeChange[]): RunViews {
    // A side that stops in the tick of the first difference does not reach `take`.
    if (ticks === this.first.tick) this.takeStates();
    const row = this.first.row || (strokes[0]?.row ?? 1);
    const tracers = this.rows.get(row);
    if (tracers === undefined) throw new Error(`no views of row ${row}`);
    return {
      overview: tracers.overview.tracks(),
      around: tracers.around.tracks(),
      lanes: valveLanes(rowsShown(row, strokes), changes, ticks),
      states: this.states.filter((state) => state.row === 0 || state.row === row),
    };
  }
}
