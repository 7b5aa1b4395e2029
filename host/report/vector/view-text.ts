import type { Change } from '../../replay/change.js';
import type { View } from '../../replay/view.js';
import { pulseLane, rangeText, sparkline } from '../form/text-plot.js';
import { counted, grouped } from '../form/text-table.js';

const EVENTS_MAX = 16;

/** Lists changes of modes and faults of the bank and the shown rows, in order of time. */
function eventLines({ lanes, tickHz }: View, changes: readonly Change[]): string[] {
  const rows = [0, ...(lanes?.rows ?? []).map(({ row }) => row)];
  const events = changes.filter(({ row, signal }) => (signal === 'mode' || signal === 'faults') && rows.includes(row));
  const lines = events.slice(0, EVENTS_MAX).map(({ tick, row, signal, value }) => {
    return `  ${(tick / tickHz).toFixed(3).padStart(9)} s  ${row === 0 ? 'bank ' : `row ${row}`}  ${signal.padEnd(6)}  ${value}`;
  });
  return events.length > EVENTS_MAX ? [...lines, `  and ${counted(events.length - EVENTS_MAX, 'more change')}`] : lines;
}

/** A line of the plot: name, range, and the plot itself. */
type Line = readonly [name: string, range: string, plot: string];

/** Draws the pulses of the shown rows; with several rows, the names have an index. */
function pulseLines({ lanes, isOfLog }: View): Line[] {
  const rows = lanes?.rows ?? [];
  return rows.flatMap((one) =>
    (['supply', 'return'] as const).map((valve): Line => {
      const { pulseStarts } = one[valve];
      const pulses = pulseStarts.reduce((sum, count) => sum + count, 0);
      return [
        `${valve} open${rows.length > 1 ? `[${one.row}]` : ''}${isOfLog ? ', log' : ''}`,
        counted(pulses, 'pulse'),
        pulseLane(pulseStarts),
      ];
    }),
  );
}

/**
 * Formats signals and pulses as plots of one line each, followed by the changes of modes and faults.
 * @param row shown in the first line if the view has no outputs
 */
export function viewText(view: View, row: number, changes: readonly Change[]): string {
  const { part, tickHz, rows, panes, lanes, trap } = view;
  const series = panes.flat();
  const lines = [...series.map((one): Line => [one.signal.label, rangeText(one), sparkline(one)]), ...pulseLines(view)];
  const nameWidth = Math.max(...lines.map(([name]) => name.length));
  const rangeWidth = Math.max(...lines.map(([, range]) => range.length));
  const seconds = `${(part.ticks / tickHz).toFixed(1)} s`;
  const axis: Line = ['', '', `0 s${seconds.padStart(Math.max(0, part.bins - 3))}`];
  const shown = lanes?.rows.map((one) => one.row) ?? [row];
  return [
    `${counted(rows, 'row')}, ${counted(part.ticks, 'tick')} at ${grouped(tickHz)} Hz; row ${shown.join(', ')}:`,
    ...[axis, ...lines].map(([name, range, plot]) => `  ${name.padEnd(nameWidth)}  ${range.padEnd(rangeWidth)}  ${plot}`),
    ...(lanes === undefined ? [] : eventLines(view, changes)),
    ...(trap === undefined ? [] : [`  the controller stopped at tick ${trap.tick}: ${trap.message}`]),
    '',
  ].join('\n');
}
