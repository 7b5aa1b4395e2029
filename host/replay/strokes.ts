import type { Change } from './change.js';

/** A stroke that is not the same on both sides; the tick in which its current begins. */
export interface StrokeChange {
  readonly row: number;
  readonly valve: 'supply' | 'return';
  readonly order: 'open' | 'close';
  /** Tick on the old, or expected, side; undefined: it was added. */
  readonly old?: number | undefined;
  /** Tick on the new, or actual, side; undefined: it was removed. */
  readonly new?: number | undefined;
}

export interface StrokeDifferences {
  readonly added: number;
  readonly removed: number;
  /** Strokes that stand on both sides, at other ticks. */
  readonly moved: number;
  /** Smallest and largest shift of those, ticks; later is positive; 0 where none moved. */
  readonly earliest: number;
  readonly latest: number;
}

/** Strokes further apart than this are not the same stroke. */
const SHIFT_MOST_TICKS = 250;
/** Beyond this many unmatched strokes only the count goes on: pairing them would tell nobody anything. */
const KEPT_MOST = 100_000;

export const isStroke = (change: Change): boolean => change.signal.endsWith('Order') && change.value !== 'none' && change.value !== '';

/** Ticks of the strokes of one coil and direction, on each side. */
interface Coil {
  readonly expected: number[];
  readonly actual: number[];
}

/** When a stroke change happens: the earlier of its ticks. */
const tickOf = ({ old, new: fresh }: StrokeChange): number => Math.min(old ?? Number.POSITIVE_INFINITY, fresh ?? Number.POSITIVE_INFINITY);

/**
 * Counts strokes that differ. It is told only of changes without an equal on the other side; strokes of the same coil and
 * direction are then paired in order of time with the nearest one not yet taken.
 */
export class StrokeCount {
  private readonly coils = new Map<string, Coil>();
  private kept = 0;
  private beyond = { added: 0, removed: 0 };

  takeExpected(change: Change): void {
    if (isStroke(change) && !this.keep('expected', change)) this.beyond.removed += 1;
  }

  takeActual(change: Change): void {
    if (isStroke(change) && !this.keep('actual', change)) this.beyond.added += 1;
  }

  finish(): StrokeDifferences {
    const changes = this.changes();
    const shifts = changes.flatMap(({ old, new: fresh }) => (old === undefined || fresh === undefined ? [] : [fresh - old]));
    return {
      added: this.beyond.added + changes.filter(({ old }) => old === undefined).length,
      removed: this.beyond.removed + changes.filter((one) => one.new === undefined).length,
      moved: shifts.length,
      earliest: shifts.reduce((least, shift) => Math.min(least, shift), shifts[0] ?? 0),
      latest: shifts.reduce((most, shift) => Math.max(most, shift), shifts[0] ?? 0),
    };
  }

  /** Every stroke that was kept, in order of time. */
  changes(): StrokeChange[] {
    const all: StrokeChange[] = [];
    for (const [key, { expected, actual }] of this.coils) {
      const [row = '', signal = '', order = ''] = key.split(' ');
      const coil = { row: Number(row), valve: signal.replace('Order', '') as 'supply' | 'return', order: order as 'open' | 'close' };
      const pairs = pairUp(expected, actual);
      const taken = { expected: new Set(pairs.map(([tick]) => tick)), actual: new Set(pairs.map(([, tick]) => tick)) };
      for (const [from, to] of pairs) all.push({ ...coil, old: from, new: to });
      for (const tick of expected) if (!taken.expected.has(tick)) all.push({ ...coil, old: tick });
      for (const tick of actual) if (!taken.actual.has(tick)) all.push({ ...coil, new: tick });
    }
    return all.sort((a, b) => tickOf(a) - tickOf(b) || a.row - b.row);
  }

  private keep(side: keyof Coil, change: Change): boolean {
    this.kept += 1;
    if (this.kept > KEPT_MOST) return false;
    const key = `${change.row} ${change.signal} ${change.value}`;
    const coil = this.coils.get(key) ?? { expected: [], actual: [] };
    this.coils.set(key, coil);
    coil[side].push(change.tick);
    return true;
  }
}

/** Ticks of the pairs found between two rising lists of ticks. */
export function pairUp(expected: readonly number[], actual: readonly number[]): [expected: number, actual: number][] {
  const pairs: [number, number][] = [];
  let from = 0;
  for (const tick of expected) {
    while (from < actual.length && (actual[from] ?? 0) < tick - SHIFT_MOST_TICKS) from++;
    let nearest = from;
    while (nearest + 1 < actual.length && Math.abs((actual[nearest + 1] ?? 0) - tick) < Math.abs((actual[nearest] ?? 0) - tick)) nearest++;
    const found = actual[nearest];
    if (found === undefined || found > tick + SHIFT_MOST_TICKS) continue;
    pairs.push([tick, found]);
    from = nearest + 1;
  }
  return pairs;
}
