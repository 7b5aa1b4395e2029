import type { Change } from './change.js';

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

const isStroke = (change: Change): boolean => change.signal.endsWith('Order') && change.value !== 'none' && change.value !== '';

/**
 * Counts strokes that differ. It is told only of changes without an equal on the other side; strokes of the same coil and
 * direction are then paired in order of time with the nearest one not yet taken.
 */
export class StrokeCount {
  private readonly expected = new Map<string, number[]>();
  private readonly actual = new Map<string, number[]>();
  private kept = 0;
  private beyond = { added: 0, removed: 0 };

  takeExpected(change: Change): void {
    if (isStroke(change) && !this.keep(this.expected, change)) this.beyond.removed += 1;
  }

  takeActual(change: Change): void {
    if (isStroke(change) && !this.keep(this.actual, change)) this.beyond.added += 1;
  }

  finish(): StrokeDifferences {
    const shifts: number[] = [];
    let removed = this.beyond.removed;
    let added = this.beyond.added;
    for (const [coil, ticks] of this.expected) {
      const found = pairUp(ticks, this.actual.get(coil) ?? []);
      shifts.push(...found);
      removed += ticks.length - found.length;
      added -= found.length;
    }
    for (const ticks of this.actual.values()) added += ticks.length;
    const earliest = shifts.reduce((least, shift) => Math.min(least, shift), shifts[0] ?? 0);
    const latest = shifts.reduce((most, shift) => Math.max(most, shift), shifts[0] ?? 0);
    return { added, removed, moved: shifts.length, earliest, latest };
  }

  private keep(side: Map<string, number[]>, change: Change): boolean {
    this.kept += 1;
    if (this.kept > KEPT_MOST) return false;
    const coil = `${change.row} ${change.signal} ${change.value}`;
    const ticks = side.get(coil);
    if (ticks === undefined) side.set(coil, [change.tick]);
    else ticks.push(change.tick);
    return true;
  }
}

/** Shifts of the pairs found between two rising lists of ticks. */
export function pairUp(expected: readonly number[], actual: readonly number[]): number[] {
  const shifts: number[] = [];
  let from = 0;
  for (const tick of expected) {
    while (from < actual.length && (actual[from] ?? 0) < tick - SHIFT_MOST_TICKS) from++;
    let nearest = from;
    while (nearest + 1 < actual.length && Math.abs((actual[nearest + 1] ?? 0) - tick) < Math.abs((actual[nearest] ?? 0) - tick)) nearest++;
    const found = actual[nearest];
    if (found === undefined || found > tick + SHIFT_MOST_TICKS) continue;
    shifts.push(found - tick);
    from = nearest + 1;
  }
  return shifts;
}
