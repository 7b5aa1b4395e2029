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

/** Spread of amounts of time. Ticks are positive, and 0 if there are none. Percentiles are amounts that occur (nearest rank). */
export interface TickSpread {
  readonly count: number;
  readonly minTicks: number;
  readonly medianTicks: number;
  readonly p95Ticks: number;
  readonly maxTicks: number;
}

/** Pulses of all valves of a kind that both sides have: both ends are the same strokes. */
export interface PulseDifferences {
  readonly count: number;
  readonly shorter: TickSpread;
  readonly longer: TickSpread;
  /** Their opening strokes that moved. */
  readonly startEarlier: TickSpread;
  readonly startLater: TickSpread;
}

export interface StrokeDifferences {
  readonly added: number;
  readonly removed: number;
  /** Strokes on both sides in the same tick. */
  readonly same: number;
  /** Strokes on both sides, at different ticks. */
  readonly earlier: TickSpread;
  readonly later: TickSpread;
  /** Strokes on both sides, moved or not, whose coil is driven for another number of ticks. */
  readonly otherDriveTime: number;
  readonly pulses: Readonly<Record<StrokeChange['valve'], PulseDifferences>>;
}

/** @param ticks in any order */
export function spreadOf(ticks: readonly number[]): TickSpread {
  const sorted = [...ticks].sort((a, b) => a - b);
  const ranked = (share: number): number => sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? 0;
  return { count: sorted.length, minTicks: ranked(0), medianTicks: ranked(0.5), p95Ticks: ranked(0.95), maxTicks: ranked(1) };
}

export function strokeChangeKind({ base, head }: StrokeChange): StrokeChangeKind {
  if (base === undefined) return 'added';
  if (head === undefined) return 'removed';
  return head < base ? 'earlier' : 'later';
}

export const changedStrokes = ({ added, removed, earlier, later }: StrokeDifferences): number =>
  added + removed + earlier.count + later.count;

const milliseconds = (ticks: number, tickHz: number): string => String(Number(((ticks * 1000) / tickHz).toFixed(2)));

const range = (min: string, max: string): string => (min === max ? max : `${min} to ${max}`);

const millisecondsText = ({ minTicks, maxTicks }: TickSpread, tickHz: number): string =>
  `${range(milliseconds(minTicks, tickHz), milliseconds(maxTicks, tickHz))} ms`;

/** `1 tick (1 ms)`, `2 to 5 ticks (2 to 5 ms)`, and of three or more `2 to 9 ticks (2 to 9 ms; median 4, p95 8)`. */
function spreadText(spread: TickSpread, tickHz?: number): string {
  const { count, minTicks, medianTicks, p95Ticks, maxTicks } = spread;
  const ticks = `${range(String(minTicks), String(maxTicks))} tick${maxTicks === 1 ? '' : 's'}`;
  if (tickHz === undefined) return ticks;
  const isSpread = count > 2 && minTicks < maxTicks;
  const middle = isSpread ? `; median ${milliseconds(medianTicks, tickHz)}, p95 ${milliseconds(p95Ticks, tickHz)}` : '';
  return `${ticks} (${millisecondsText(spread, tickHz)}${middle})`;
}

/** `12 longer by 2 ticks (2 ms)`; empty if there are none. */
const countedSpread = (kind: string, spread: TickSpread, tickHz?: number): string =>
  spread.count > 0 ? `${spread.count} ${kind} by ${spreadText(spread, tickHz)}` : '';

/** `added`, `later by 3 ticks (3 ms)`. */
export function strokeChangeText(change: StrokeChange, tickHz: number): string {
  const kind = strokeChangeKind(change);
  if (kind === 'added' || kind === 'removed') return kind;
  return `${kind} by ${spreadText(spreadOf([Math.abs((change.head ?? 0) - (change.base ?? 0))]), tickHz)}`;
}

/**
 * `2 added, 51 earlier by 1 to 48 ticks (1 to 48 ms; median 5, p95 30)`; empty if no stroke differs.
 * @param tickHz without it, milliseconds are left out
 */
export function strokesText({ added, removed, earlier, later, otherDriveTime }: StrokeDifferences, tickHz?: number): string {
  const parts = [
    added > 0 ? `${added} added` : '',
    removed > 0 ? `${removed} removed` : '',
    countedSpread('earlier', earlier, tickHz),
    countedSpread('later', later, tickHz),
    otherDriveTime > 0 ? `${otherDriveTime} with another drive time` : '',
  ];
  return parts.filter(Boolean).join(', ');
}

/** `supply pulses, 35 on both sides: 12 longer by 2 to 3 ms, 3 start later by 1 ms`, for each kind of valve whose pulses differ. */
export function pulsesTexts({ pulses }: StrokeDifferences, tickHz: number): string[] {
  return (['supply', 'return'] as const).flatMap((valve) => {
    const { count, shorter, longer, startEarlier, startLater } = pulses[valve];
    const kinds = { shorter, longer, 'start earlier': startEarlier, 'start later': startLater };
    const parts = Object.entries(kinds).flatMap(([kind, spread]) =>
      spread.count === 0 ? [] : [`${spread.count} ${kind} by ${millisecondsText(spread, tickHz)}`],
    );
    return parts.length === 0 ? [] : [`${valve} pulses, ${count} on both sides: ${parts.join(', ')}`];
  });
}

/** `2 added, 51 earlier`; empty if no stroke differs. */
export function strokeCountsText({ added, removed, earlier, later, otherDriveTime }: StrokeDifferences): string {
  const counts = { added, removed, earlier: earlier.count, later: later.count, 'with another drive time': otherDriveTime };
  return Object.entries(counts)
    .filter(([, count]) => count > 0)
    .map(([kind, count]) => `${count} ${kind}`)
    .join(', ');
}

export const isOrder = (signal: string): boolean => signal.endsWith('Order');

export const isStroke = ({ signal, value }: Change): boolean => isOrder(signal) && value !== 'none' && value !== '';

/** The earlier tick of a changed stroke. */
export const strokeChangeTick = ({ base, head }: StrokeChange): number =>
  Math.min(base ?? Number.POSITIVE_INFINITY, head ?? Number.POSITIVE_INFINITY);
