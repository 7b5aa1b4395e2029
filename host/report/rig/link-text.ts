import type { ClockAlignment, LinkStatistics } from '../../rig/board.js';
import type { LinkQuality, Spread } from '../../rig/link-quality.js';
import { sparkBlocks } from '../form/text-plot.js';
import { grouped, textTable } from '../form/text-table.js';

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });

/** A time with two decimals, larger ones with fewer. */
export const ms = (value: number): string => value.toFixed(Math.abs(value) >= 100 ? 0 : 2);

/** Bytes and frames each way by their numbers, one line per link. */
export function linkTable(links: readonly { readonly name: string; readonly link: LinkStatistics }[]): string {
  const columns = [
    { title: 'link' },
    number('sent'),
    number('lost'),
    number('received'),
    number('lost'),
    number('doubled'),
    number('reordered'),
    number('damaged'),
    number('sent again'),
    number('round trip, ms'),
  ];
  const rows = links.map(({ name, link: { sent, received, board, repeatedRequests, roundTripMs } }) => [
    name,
    grouped(sent.frames),
    board === undefined ? '' : grouped(board.lost),
    grouped(received.frames),
    ...[received.lost, received.doubled, received.reordered, received.damaged, repeatedRequests].map(grouped),
    roundTripMs.count === 0 ? '' : `${ms(roundTripMs.min)} / ${ms(roundTripMs.median)} / ${ms(roundTripMs.p99)}`,
  ]);
  return `${textTable(columns, rows)}Frames, counted by their numbers; round trip: min / median / 99 %.\n`;
}

/** `offset 12.31 ms (±0.20), drift 3 ppm (-12 to 18)`; empty without an alignment. */
export function clockText(clock: ClockAlignment | undefined): string {
  if (clock === undefined) return '';
  const { offsetMs, driftPpm, exchanges } = clock;
  const half = (offsetMs.max - offsetMs.min) / 2;
  return `clock of the board: known to ±${ms(half)} ms, drift ${driftPpm.value.toFixed(1)} ppm (${driftPpm.min.toFixed(1)} to ${driftPpm.max.toFixed(1)}), from ${grouped(exchanges)} exchanges`;
}

const SPREADS: readonly (readonly [keyof LinkQuality, string, string])[] = [
  ['inputMs', 'inputs sent until used', 'ms'],
  ['reportMs', 'step until its report', 'ms'],
  ['stepTicks', 'timer ticks per step', 'ticks'],
  ['ageSteps', 'age of the inputs used', 'steps'],
];

/** Percentiles of each time, with a histogram whose bars are logarithmic, so that rare values show. */
export function qualityTable(quality: LinkQuality): string {
  const columns = [
    { title: 'timing' },
    ...['min', '50 %', '90 %', '99 %', '99.9 %', 'max'].map(number),
    { title: 'unit' },
    { title: 'histogram' },
  ];
  const rows = SPREADS.map(([key, title, unit]) => {
    const { count, min, p50, p90, p99, p999, max, bars } = quality[key] as Spread;
    if (count === 0) return [title, '', '', '', '', '', '', unit, ''];
    const heights = bars.map((bar) => Math.log10(bar.count + 1));
    return [title, ...[min, p50, p90, p99, p999, max].map(ms), unit, sparkBlocks(heights, 0, Math.max(...heights))];
  });
  return textTable(columns, rows);
}
