import type { Change } from './change.js';

/** A stroke that differs between two sides: base and head of a review, or accepted and actual outputs. */
export interface StrokeChange {
  readonly row: number;
  readonly valve: 'supply' | 'return';
  readonly order: 'open' | 'close';
  /** Tick in which its current starts on the base side; undefined if head added it. */
  readonly base?: number | undefined;
  /** The same on the head side; undefined if head removed it. */
  readonly head?: number | undefined;
}

/** What happened to a stroke from base to head. */
export type StrokeChangeKind = 'added' | 'removed' | 'earlier' | 'later';

/** Strokes that moved in one direction. Ticks are positive; 0 if none moved. */
export interface StrokeShift {
  readonly count: number;
  readonly minTicks: number;
  readonly maxTicks: number;
}

export interface StrokeDifferences {
  readonly added: number;
  readonly removed: number;
  /** Strokes on both sides, at different ticks. */
  readonly earlier: StrokeShift;
  readonly later: StrokeShift;
}

export function strokeChangeKind({ base, head }: StrokeChange): StrokeChangeKind {
  if (base === undefined) return 'added';
  if (head === undefined) return 'removed';
  return head < base ? 'earlier' : 'later';
}

export const changedStrokes = ({ added, removed, earlier, later }: StrokeDifferences): number =>
  added + removed + earlier.count + later.count;

const milliseconds = (ticks: number, tickHz: number): string => String(Number(((ticks * 1000) / tickHz).toFixed(2)));

/** `1 tick (1 ms)`, `2 to 5 ticks (2 to 5 ms)`. */
function ticksText(min: number, max: number, tickHz: number | undefined): string {
  const range = (text: (ticks: number) => string): string => (min === max ? text(max) : `${text(min)} to ${text(max)}`);
  const ticks = `${range(String)} tick${max === 1 ? '' : 's'}`;
  return tickHz === undefined ? ticks : `${ticks} (${range((one) => milliseconds(one, tickHz))} ms)`;
}

/** `added`, `later by 3 ticks (3 ms)`. */
export function strokeChangeText(change: StrokeChange, tickHz: number): string {
  const kind = strokeChangeKind(change);
  if (kind === 'added' || kind === 'removed') return kind;
  const ticks = Math.abs((change.head ?? 0) - (change.base ?? 0));
  return `${kind} by ${ticksText(ticks, ticks, tickHz)}`;
}

/**
 * `2 added, 51 earlier by 1 to 48 ticks (1 to 48 ms)`; empty if no stroke differs.
 * @param tickHz without it, milliseconds are left out
 */
export function strokesText({ added, removed, earlier, later }: StrokeDifferences, tickHz?: number): string {
  const shift = (kind: string, { count, minTicks, maxTicks }: StrokeShift): string =>
    count > 0 ? `${count} ${kind} by ${ticksText(minTicks, maxTicks, tickHz)}` : '';
  const parts = [
    added > 0 ? `${added} added` : '',
    removed > 0 ? `${removed} removed` : '',
    shift('earlier', earlier),
    shift('later', later),
  ];
  return parts.filter(Boolean).join(', ');
}

/** `2 added, 51 earlier`; empty if no stroke differs. */
export function strokeCountsText({ added, removed, earlier, later }: StrokeDifferences): string {
  const counts = { added, removed, earlier: earlier.count, later: later.count };
  return Object.entries(counts)
    .filter(([, count]) => count > 0)
    .map(([kind, count]) => `${count} ${kind}`)
    .join(', ');
}

/** Strokes further apart than this are two strokes. */
const SHIFT_MAX_TICKS = 250;
/** Further unmatched strokes are counted, but not paired. */
const KEPT_MAX = 100_000;

export const isStroke = (change: Change): boolean => change.signal.endsWith('Order') && change.value !== 'none' && change.value !== '';

/** Ticks of the strokes of one coil in one direction, on each side. */
interface CoilStrokes {
  readonly base: number[];
  readonly head: number[];
}

/** The earlier tick of a changed stroke. */
export const strokeChangeTick = ({ base, head }: StrokeChange): number =>
  Math.min(base ?? Number.POSITIVE_INFINITY, head ?? Number.POSITIVE_INFINITY);

function shiftOf(shifts: readonly number[]): StrokeShift {
  const minTicks = shifts.reduce((min, ticks) => Math.min(min, ticks), shifts[0] ?? 0);
  return { count: shifts.length, minTicks, maxTicks: shifts.reduce((max, ticks) => Math.max(max, ticks), 0) };
}

/**
 * Counts strokes that differ. It takes only changes that the other side does not have in the same tick, and pairs strokes of the
 * same coil and direction, in order of time, each with the nearest one that is not paired yet.
 */
export class StrokeCount {
  private readonly coils = new Map<string, CoilStrokes>();
  private kept = 0;
  private unpaired = { added: 0, removed: 0 };

  takeBase(change: Change): void {
    if (isStroke(change) && !this.keep('base', change)) this.unpaired.removed += 1;
  }

  takeHead(change: Change): void {
    if (isStroke(change) && !this.keep('head', change)) this.unpaired.added += 1;
  }

  finish(): StrokeDifferences {
    const changes = this.changes();
    const shifts = changes.flatMap(({ base, head }) => (base === undefined || head === undefined ? [] : [head - base]));
    return {
      added: this.unpaired.added + changes.filter(({ base }) => base === undefined).length,
      removed: this.unpaired.removed + changes.filter(({ head }) => head === undefined).length,
      earlier: shiftOf(shifts.filter((ticks) => ticks < 0).map((ticks) => -ticks)),
      later: shiftOf(shifts.filter((ticks) => ticks > 0)),
    };
  }

  /** The changed strokes in order of time; those beyond `KEPT_MAX` are missing. */
  changes(): StrokeChange[] {
    const all: StrokeChange[] = [];
    for (const [key, { base, head }] of this.coils) {
      const [row = '', signal = '', order = ''] = key.split(' ');
      const coil = { row: Number(row), valve: signal.replace('Order', '') as 'supply' | 'return', order: order as 'open' | 'close' };
      const pairs = pairUp(base, head);
      const paired = { base: new Set(pairs.map(([tick]) => tick)), head: new Set(pairs.map(([, tick]) => tick)) };
      for (const [from, to] of pairs) all.push({ ...coil, base: from, head: to });
      for (const tick of base) if (!paired.base.has(tick)) all.push({ ...coil, base: tick });
      for (const tick of head) if (!paired.head.has(tick)) all.push({ ...coil, head: tick });
    }
    return all.sort((a, b) => strokeChangeTick(a) - strokeChangeTick(b) || a.row - b.row);
  }

  private keep(side: keyof CoilStrokes, change: Change): boolean {
    this.kept += 1;
    if (this.kept > KEPT_MAX) return false;
    const key = `${change.row} ${change.signal} ${change.value}`;
    const coil = this.coils.get(key) ?? { base: [], head: [] };
    this.coils.set(key, coil);
    coil[side].push(change.tick);
    return true;
  }
}

/** Pairs two ascending lists of ticks. Returns the ticks of each pair. */
export function pairUp(base: readonly number[], head: readonly number[]): [base: number, head: number][] {
  const pairs: [number, number][] = [];
  let from = 0;
  for (const tick of base) {
    while (from < head.length && (head[from] ?? 0) < tick - SHIFT_MAX_TICKS) from++;
    let nearest = from;
    while (nearest + 1 < head.length && Math.abs((head[nearest + 1] ?? 0) - tick) < Math.abs((head[nearest] ?? 0) - tick)) nearest++;
    const found = head[nearest];
    if (found === undefined || found > tick + SHIFT_MAX_TICKS) continue;
    pairs.push([tick, found]);
    from = nearest + 1;
  }
  return pairs;
}
