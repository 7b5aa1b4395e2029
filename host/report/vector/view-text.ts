import type { Change } from '../../replay/change.js';
import type { View } from '../../replay/show.js';
import { pulseLane, rangeText, sparkline } from '../form/text-plot.js';
import { counted, grouped } from '../form/text-table.js';

const SHOWN_EVENTS = 16;

/** Modes and faults of the bank and of the shown rows, as they came. */
function events({ lanes, tickHz }: View, changes: readonly Change[]): string[] {
  const rows = [0, ...(lanes?.rows ?? []).map(({ row }) => row)];
  const told = changes.filter(({ row, signal }) => (signal === 'mode' || signal === 'faults') && rows.includes(row));
  const lines = told.slice(0, SHOWN_EVENTS).map(({ tick, row, signal, value }) => {
    return `  ${(tick / tickHz).toFixed(3).padStart(9)} s  ${row === 0 ? 'bank ' : `row ${row}`}  ${signal.padEnd(6)}  ${value}`;
  });
  return told.length > SHOWN_EVENTS ? [...lines, `  ${counted(told.length - SHOWN_EVENTS, 'more change')}`] : lines;
}

/** A line of the plot: name, range, what is drawn. */
type Line = readonly [name: string, range: string, plot: string];

/** Pulses of the shown rows; with several, each line says whose. */
function pulseLines({ lanes }: View): Line[] {
  const rows = lanes?.rows ?? [];
  return rows.flatMap((one) =>
    (['supply', 'return'] as const).map((valve): Line => {
      const { begun } = one[valve];
      const pulses = begun.reduce((sum, count) => sum + count, 0);
      return [`${valve} open${rows.length > 1 ? `[${one.row}]` : ''}`, counted(pulses, 'pulse'), pulseLane(begun)];
    }),
  );
}

/**
 * Signals as small plots of one line each, pulses, and what happened.
 * @param row that the head names where no outputs do
 */
export function viewText(view: View, row: number, changes: readonly Change[]): string {
  const { part, tickHz, rows, panes, lanes, trap } = view;
  const series = panes.flat();
  const lines = [...series.map((one): Line => [one.signal.asked, rangeText(one), sparkline(one)]), ...pulseLines(view)];
  const nameWidth = Math.max(...lines.map(([name]) => name.length));
  const rangeWidth = Math.max(...lines.map(([, range]) => range.length));
  const seconds = `${(part.ticks / tickHz).toFixed(1)} s`;
  const axis: Line = ['', '', `0 s${seconds.padStart(Math.max(0, part.stretches - 3))}`];
  const shown = lanes?.rows.map((one) => one.row) ?? [row];
  return [
    `${counted(rows, 'row')}, ${counted(part.ticks, 'tick')} at ${grouped(tickHz)} Hz; row ${shown.join(', ')}:`,
    ...[axis, ...lines].map(([name, range, plot]) => `  ${name.padEnd(nameWidth)}  ${range.padEnd(rangeWidth)}  ${plot}`),
    ...(lanes === undefined ? [] : events(view, changes)),
    ...(trap === undefined ? [] : [`  the controller stopped at tick ${trap.tick}: ${trap.message}`]),
    '',
  ].join('\n');
}
