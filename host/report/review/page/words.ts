import { UNITS, type UnitName } from '../../../../shared/units.js';
import type { MetricChange, ReviewVerdict, RunReview, SignalParting, StrokeChange, StrokeReview } from '../../../review/review.js';
import { html, type Markup } from '../../form/markup.js';
import { counted, grouped } from '../../form/text-table.js';

/** How verdicts are drawn and said: each has a shape of its own, so that nothing rests on colour. */
export const VERDICTS: Readonly<Record<ReviewVerdict, { readonly shape: string; readonly word: string; readonly means: string }>> = {
  stopped: { shape: '■', word: 'stopped', means: 'an assertion failed' },
  refused: { shape: '▲', word: 'refused', means: 'a side does not take its parameters or rows' },
  outputs: { shape: '●', word: 'outputs', means: 'what the machine obeys differs' },
  inner: { shape: '○', word: 'inner', means: 'only what is in between or kept differs' },
  same: { shape: '=', word: 'same', means: 'nothing differs' },
};

/** What kinds of signals are called. */
export const KINDS: Readonly<Record<SignalParting['kind'], string>> = {
  output: 'output',
  probe: 'in between',
  state: 'kept',
  derived: 'from configure()',
};

export const verdictMark = (verdict: ReviewVerdict): Markup =>
  html`<span class="verdict ${verdict}"><span aria-hidden="true">${VERDICTS[verdict].shape}</span> ${VERDICTS[verdict].word}</span>`;

const minus = (text: string): string => text.replace(/^-/, '−');

/** A number to four digits, without empty ones. */
export function short(value: number | null): string {
  if (value === null || Number.isNaN(value)) return '–';
  if (!Number.isFinite(value) || value === 0) return minus(String(value));
  const size = Math.abs(value);
  return minus(size >= 1e6 || size < 1e-4 ? value.toExponential(2) : String(Number(value.toPrecision(4))));
}

export const seconds = (ticks: number, tickHz: number): string => {
  const time = ticks / tickHz;
  return `${time
    .toFixed(tickHz > 100 ? 3 : 2)
    .replace(/(\.\d*?)0+$/, '$1')
    .replace(/\.$/, '')} s`;
};

/** `tick 4 217 (4.217 s)`; before the first tick parameters are worked out. */
export const tickWords = (tick: number, tickHz: number): string =>
  tick < 0 ? 'configure(), before the first tick' : `tick ${grouped(tick)} (${seconds(tick, tickHz)})`;

export const rowWords = (row: number): string => (row === 0 ? 'bank' : `row ${row}`);

export const symbolOf = (unit: UnitName): string => UNITS[unit].symbol;

/** A value as it is read, with its unit. */
export const withUnit = (value: string, symbol: string): string => (symbol === '' ? value : `${value} ${symbol}`);

/** `450 → 465 N`, a texts' way: values of signals are texts. */
export const changeWords = ({ old, new: now, unit }: Pick<SignalParting, 'old' | 'new' | 'unit'>): string =>
  withUnit(`${old} → ${now}`, symbolOf(unit));

/** `+3 −1, 2 earlier, 14 later`, or `–`. */
export function strokeWords({ added, removed, earlier, later }: StrokeReview): string {
  const counts = [added > 0 ? `+${added}` : '', removed > 0 ? `−${removed}` : ''].filter((part) => part !== '').join(' ');
  const parts = [counts, earlier > 0 ? `${earlier} earlier` : '', later > 0 ? `${later} later` : ''];
  return parts.filter((part) => part !== '').join(', ') || '–';
}

export const strokesChanged = ({ added, removed, earlier, later }: StrokeReview): number => added + removed + earlier + later;

/** What became of a stroke; the style puts the shape before it that marks it in the lanes. */
export function strokeChangeWords({ old, new: now }: StrokeChange, tickHz: number): { kind: string; words: string } {
  if (old === undefined) return { kind: 'added', words: 'added' };
  if (now === undefined) return { kind: 'removed', words: 'removed' };
  const ticks = Math.abs(now - old);
  const milliseconds = Number(((ticks * 1000) / tickHz).toFixed(2));
  const by = `by ${counted(ticks, 'tick')} (${milliseconds} ms)`;
  return now > old ? { kind: 'later', words: `later ${by}` } : { kind: 'earlier', words: `earlier ${by}` };
}

/** `14 % worse`, `2.1 % better`, `same`. */
export function worseWords({ worseBy, old, new: now }: MetricChange): string {
  if (old === null || now === null) return old === now ? 'no value' : 'no value on one side';
  if (worseBy === 0) return old === now ? 'same' : `${short(old)} → ${short(now)}`;
  if (!Number.isFinite(worseBy)) return worseBy > 0 ? 'worse' : 'better';
  return `${Number((Math.abs(worseBy) * 100).toPrecision(3))} % ${worseBy > 0 ? 'worse' : 'better'}`;
}

/** The metric that changed for the worst, if any changed. */
export const worstMetric = ({ metrics }: RunReview): MetricChange | undefined => metrics.find(({ worseBy }) => worseBy !== 0);

/** What a run is called: scenarios come several times, with other seeds. */
export const runName = ({ name, seed }: RunReview): string => (seed === undefined ? name : `${name}, seed ${seed}`);
