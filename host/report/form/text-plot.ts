import { UNITS } from '../../../shared/units.js';
import { rangeOf, type Series } from '../../replay/series.js';

const LEVELS = '▁▂▃▄▅▆▇█';

/** Numbers with about three digits that count. */
export function brief(value: number): string {
  const size = Math.abs(value);
  if (!Number.isFinite(value)) return '–';
  return value
    .toFixed(size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3)
    .replace(/\.?0+$/, (zeros) => (zeros.startsWith('.') ? '' : zeros));
}

/** One line of blocks between two ends; a blank where there is no number. */
export function sparkBlocks(values: Iterable<number>, least: number, most: number): string {
  const span = most - least;
  return [...values]
    .map((value) => {
      if (!Number.isFinite(value)) return ' ';
      if (span === 0) return '─';
      const share = (value - least) / span;
      return LEVELS[Math.min(LEVELS.length - 1, Math.floor(share * LEVELS.length))] ?? ' ';
    })
    .join('');
}

/** One line of blocks: the mean of each stretch between the series' least and most. */
export const sparkline = (series: Series): string => sparkBlocks(series.mean, ...rangeOf(series));

/** The unit that a series' name ends in. */
export const unitOf = (series: Series): string => UNITS[series.signal.unit].symbol;

/** Range and unit of a series. */
export function rangeText(series: Series): string {
  const [least, most] = rangeOf(series);
  return `${brief(least)} … ${brief(most)} ${unitOf(series)}`.trim();
}

/** One line with a mark in each stretch in which pulses begin: `╷` once or twice, `┃` from three on. */
export const pulseLane = (begun: Uint32Array): string => [...begun].map((count) => (count === 0 ? '·' : count < 3 ? '╷' : '┃')).join('');
