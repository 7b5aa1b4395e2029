import type { Change } from './change.js';

/** A stretch of time in which a signal had one value. Ticks; `end` is the first one after it. */
export interface Span {
  readonly row: number;
  readonly signal: string;
  readonly value: string;
  readonly begin: number;
  readonly end: number;
}

/** The spans that a run's changes make of each signal, in order of their begin. */
export function spansOf(changes: readonly Change[], ticks: number): Span[] {
  const open = new Map<string, Change>();
  const spans: Span[] = [];
  const close = (change: Change, end: number): void => {
    const { row, signal, value, tick } = change;
    if (end > tick) spans.push({ row, signal, value, begin: tick, end });
  };
  for (const change of changes) {
    const key = `${change.row} ${change.signal}`;
    const before = open.get(key);
    if (before !== undefined) close(before, change.tick);
    open.set(key, change);
  }
  for (const change of open.values()) close(change, ticks);
  return spans.sort((a, b) => a.begin - b.begin);
}

/** When a valve was open as ordered: from the begin of an opening stroke to the begin of the next closing one. */
export function openSpans(changes: readonly Change[], ticks: number, row: number, signal: 'supplyOrder' | 'returnOrder'): Span[] {
  const strokes = changes.filter((change) => change.row === row && change.signal === signal && change.value !== 'none');
  return spansOf(strokes, ticks).filter(({ value }) => value === 'open');
}
