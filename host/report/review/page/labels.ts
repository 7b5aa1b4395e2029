import { UNITS, type UnitName } from '../../../../shared/units.js';
import { VERDICT_TEXT, type Verdict } from '../../../replay/verdict.js';
import type { MetricChange, RunReview, SignalDivergence } from '../../../review/review.js';
import { html, type Markup } from '../../form/markup.js';
import { grouped } from '../../form/text-table.js';
import { deltaText } from '../phrases.js';

/** Each verdict has its own shape, so that nothing depends on colour. */
const SHAPES: Readonly<Record<Verdict, string>> = {
  ...{ stopped: '■', refused: '▲', outputsDiffer: '●', timingDiffers: '◐', stateDiffers: '○', same: '=' },
};

export const verdictMark = (verdict: Verdict): Markup =>
  html`<span class="verdict ${verdict}"><span aria-hidden="true">${SHAPES[verdict]}</span> ${VERDICT_TEXT[verdict]}</span>`;

export const KINDS: Readonly<Record<SignalDivergence['kind'], string>> = {
  output: 'output',
  probe: 'probe',
  state: 'state',
  derived: 'computed by configure()',
};

const minus = (text: string): string => text.replace(/^-/, '−');

/** A number with up to four digits. */
export function short(value: number | null): string {
  if (value === null || Number.isNaN(value)) return '–';
  if (!Number.isFinite(value) || value === 0) return minus(String(value));
  const size = Math.abs(value);
  return minus(size >= 1e6 || size < 1e-4 ? value.toExponential(2) : grouped(Number(value.toPrecision(4))));
}

export const seconds = (ticks: number, tickHz: number): string => {
  const time = ticks / tickHz;
  return `${time
    .toFixed(tickHz > 100 ? 3 : 2)
    .replace(/(\.\d*?)0+$/, '$1')
    .replace(/\.$/, '')} s`;
};

export const rowLabel = (row: number): string => (row === 0 ? 'bank' : `row ${row}`);

/** Bit sets are shown as names, which have no unit. */
export const symbolOf = (unit: UnitName): string => (unit === 'bits' ? '' : UNITS[unit].symbol);

export const withUnit = (value: string, symbol: string): string => (symbol === '' ? value : `${value} ${symbol}`);

/** `450 → 465 N`; values of signals are texts. */
export const changeText = ({ base, head, unit }: Pick<SignalDivergence, 'base' | 'head' | 'unit'>): string =>
  withUnit(`${base} → ${head}`, symbolOf(unit));

/** `+14 %, worse`, `+25, worse`, `same`. */
export function worseText(metric: MetricChange): string {
  const { worseBy, base, head } = metric;
  if (base === null || head === null) return base === head ? 'no value' : 'no value on one side';
  if (base === head) return 'same';
  return `${deltaText(metric)}${worseBy === 0 ? '' : worseBy > 0 ? ', worse' : ', better'}`;
}

/** The metric with the worst change, if any changed. */
export const worstMetric = ({ metrics }: RunReview): MetricChange | undefined => metrics.find(({ worseBy }) => worseBy !== 0);
