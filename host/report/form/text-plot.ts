import { rangeOf, type Series } from '../../replay/series.js';
import { grouped } from './text-table.js';

const LEVELS = '▁▂▃▄▅▆▇█';

/** Formats a number with about three significant digits. */
export function brief(value: number): string {
  const size = Math.abs(value);
  if (!Number.isFinite(value)) return '–';
  const text = value.toFixed(size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3);
  return grouped(text.replace(/\.?0+$/, (zeros) => (zeros.startsWith('.') ? '' : zeros)));
}

/** Draws values as a line of blocks between `min` and `max`, with a space where there is no number. */
export function sparkBlocks(values: Iterable<number>, min: number, max: number): string {
  const span = max - min;
  return [...values]
    .map((value) => {
      if (!Number.isFinite(value)) return ' ';
      if (span === 0) return '─';
      const share = (value - min) / span;
      return LEVELS[Math.min(LEVELS.length - 1, Math.floor(share * LEVELS.length))] ?? ' ';
    })
    .join('');
}

/** Draws the means of a series as a line of blocks between its minimum and maximum. */
export const sparkline = (series: Series): string => sparkBlocks(series.mean, ...rangeOf(series));

/** Formats the range and the unit of a series. */
export function rangeText(series: Series): string {
  const [min, max] = rangeOf(series);
  return `${brief(min)} … ${brief(max)} ${series.signal.symbol}`.trim();
}

/** Draws a line with a mark in each bin in which pulses start: `╷` for one or two, `┃` for more. */
export const pulseLane = (starts: Uint32Array): string => [...starts].map((count) => (count === 0 ? '·' : count < 3 ? '╷' : '┃')).join('');
