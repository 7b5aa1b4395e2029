import { UNITS, type Unit } from '../../shared/units.js';
import type { Change } from '../replay/change.js';
import { isStroke } from '../replay/strokes.js';
import type { Drive, Side } from './drive.js';
import {
  AROUND_TICKS,
  BEFORE_TICKS,
  type Curve,
  type Opening,
  OVERVIEW_STRETCHES,
  ROWS_SHOWN,
  type SignalParting,
  type Snapshot,
  type StrokeChange,
  TRACKS_MOST,
  type Track,
  type Tracks,
  type ValveLane,
} from './review.js';
import { matchSides } from './run-pair.js';
import { isSame, keyOf, type MemorySignal, readSignal, type SignalPair } from './signals.js';

/** What a reviewer looks at first, besides the signal that parts. */
const USUAL: readonly string[] = ['loadN', 'predictedN', 'errorN', 'deadbandN', 'pressureKpa', 'setPointKpa', 'mode'];
const NOTHING = '–';

/** A signal as each side has it. */
export interface TwoSided {
  readonly old: MemorySignal | undefined;
  readonly new: MemorySignal | undefined;
}

/** Least and most of a signal in each stretch of a part of the run. */
class CurveTracer {
  private readonly least: Float64Array;
  private readonly most: Float64Array;
  private readonly memory: DataView;
  private readonly factor: number;

  constructor(
    private readonly signal: MemorySignal,
    { target }: Side,
    stretches: number,
  ) {
    this.least = new Float64Array(stretches).fill(Number.POSITIVE_INFINITY);
    this.most = new Float64Array(stretches).fill(Number.NEGATIVE_INFINITY);
    this.memory = new DataView(target.output.buffer);
    this.factor = (UNITS[signal.unit] as Unit | undefined)?.metric?.factor ?? 1;
  }

  take(at: number): void {
    const value = readSignal(this.memory, this.signal) * this.factor;
    if (!Number.isFinite(value)) return;
    if (value < (this.least[at] as number)) this.least[at] = value;
    if (value > (this.most[at] as number)) this.most[at] = value;
  }

  curve(): Curve {
    const shown = (values: Float64Array): (number | null)[] => [...values].map((value) => (Number.isFinite(value) ? brief(value) : null));
    return { least: shown(this.least), most: shown(this.most) };
  }
}

/** Six digits are more than a plot shows. */
const brief = (value: number): number => Number(value.toPrecision(6));

/** Follows some signals on both sides over a part of the run. */
export class TracksTracer {
  private readonly tracers: readonly { old: CurveTracer | undefined; new: CurveTracer | undefined }[];

  /** @param first first tick of the part, which may end after the run does */
  constructor(
    private readonly signals: readonly TwoSided[],
    drive: Drive,
    private readonly first: number,
    private readonly ticks: number,
    private readonly stretches: number,
  ) {
    const tracer = (signal: MemorySignal | undefined, side: Side): CurveTracer | undefined =>
      signal === undefined ? undefined : new CurveTracer(signal, side, stretches);
    this.tracers = signals.map((signal) => ({ old: tracer(signal.old, drive.old), new: tracer(signal.new, drive.new) }));
  }

  take(tick: number): void {
    const at = Math.floor(((tick - this.first) * this.stretches) / this.ticks);
    if (at < 0 || at >= this.stretches) return;
    for (const tracer of this.tracers) {
      tracer.old?.take(at);
      tracer.new?.take(at);
    }
  }

  tracks(): Tracks {
    const { first, ticks, stretches } = this;
    const tracks = this.tracers.map((tracer, index): Track => {
      const { name, row, unit, words } = oneOf(this.signals[index] as TwoSided);
      const { metric, symbol }: Unit = UNITS[unit];
      const curves = { old: tracer.old?.curve() ?? null, new: tracer.new?.curve() ?? null };
      return { signal: name, row, unit: metric?.symbol ?? symbol, ...(words === undefined ? {} : { words }), ...curves };
    });
    return { first, ticks, stretches, tracks };
  }
}

function oneOf({ old, new: fresh }: TwoSided): MemorySignal {
  const signal = fresh ?? old;
  if (signal === undefined) throw new Error('a signal that no side has');
  return signal;
}

/** The signals worth a plot: the one that parts, then the usual ones of a row. */
export function tracksFor(drive: Drive, parting: SignalParting, row: number): TwoSided[] {
  const { pairs, added, removed } = matchSides(drive);
  const all: TwoSided[] = [
    ...pairs,
    ...added.map((one) => ({ old: undefined, new: one })),
    ...removed.map((one) => ({ old: one, new: undefined })),
  ];
  const byKey = new Map(all.map((signal) => [keyOf(oneOf(signal)), signal]));
  const keys = [keyOf({ row: parting.row, name: parting.signal }), ...USUAL.map((name) => keyOf({ row, name }))];
  return [...new Set(keys)].flatMap((key) => byKey.get(key) ?? []).slice(0, TRACKS_MOST);
}

export function overviewTracer(drive: Drive, parting: SignalParting, row: number): TracksTracer {
  const stretches = Math.max(1, Math.min(drive.ticks, OVERVIEW_STRETCHES));
  return new TracksTracer(tracksFor(drive, parting, row), drive, 0, drive.ticks, stretches);
}

export function aroundTracer(drive: Drive, parting: SignalParting, row: number): TracksTracer {
  const first = Math.max(0, Math.min(parting.tick - BEFORE_TICKS, drive.ticks - AROUND_TICKS));
  const ticks = Math.min(AROUND_TICKS, drive.ticks);
  return new TracksTracer(tracksFor(drive, parting, row), drive, first, ticks, ticks);
}

/** Every value of the bank or of a row on both sides, as they are now. */
export function snapshot(drive: Drive, row: number): Snapshot {
  const { pairs, added, removed } = matchSides(drive);
  const memory = { old: new DataView(drive.old.target.output.buffer), new: new DataView(drive.new.target.output.buffer) };
  const told = ({ name: signal, kind, unit }: MemorySignal) => ({ signal, kind, unit });
  const ofRow = (signal: MemorySignal): boolean => signal.row === row;
  const both = ({ old, new: fresh, isByMeaning }: SignalPair) => {
    const oldValue = readSignal(memory.old, old);
    const newValue = readSignal(memory.new, fresh);
    const differs = !isSame({ old, new: fresh, isByMeaning }, oldValue, newValue);
    return { ...told(fresh), old: old.show(oldValue), new: fresh.show(newValue), differs };
  };
  return {
    row,
    values: [
      ...pairs.filter((pair) => ofRow(pair.new)).map(both),
      ...removed.filter(ofRow).map((one) => ({ ...told(one), old: one.show(readSignal(memory.old, one)), new: NOTHING, differs: true })),
      ...added.filter(ofRow).map((one) => ({ ...told(one), old: NOTHING, new: one.show(readSignal(memory.new, one)), differs: true })),
    ],
  };
}

/** When a row's valve was open as ordered; a valve still open at the end is so until then. */
export function openings(changes: readonly Change[], row: number, valve: 'supply' | 'return', ticks: number): Opening[] {
  const found: Opening[] = [];
  let since: number | undefined;
  for (const change of changes) {
    if (change.row !== row || change.signal !== `${valve}Order` || !isStroke(change)) continue;
    if (change.value === 'open') since ??= change.tick;
    else if (since !== undefined) {
      found.push([since, change.tick]);
      since = undefined;
    }
  }
  if (since !== undefined) found.push([since, ticks]);
  return found;
}

/** Rows whose lanes are shown: one, then those with most changed strokes; in the bank's order. */
export function rowsShown(row: number, strokes: readonly StrokeChange[]): number[] {
  const counts = new Map<number, number>();
  for (const stroke of strokes) counts.set(stroke.row, (counts.get(stroke.row) ?? 0) + 1);
  const most = [...counts].sort((a, b) => b[1] - a[1] || a[0] - b[0]).map(([other]) => other);
  return [...new Set([row, ...most])].slice(0, ROWS_SHOWN).sort((a, b) => a - b);
}

export function valveLanes(
  rows: readonly number[],
  changes: { old: readonly Change[]; new: readonly Change[] },
  ticks: number,
): ValveLane[] {
  return rows.flatMap((row) =>
    (['supply', 'return'] as const).map((valve) => ({
      row,
      valve,
      old: openings(changes.old, row, valve, ticks),
      new: openings(changes.new, row, valve, ticks),
    })),
  );
}
