import type { RowView } from '../replay/show.js';
import { openSpans } from '../replay/spans.js';
import { rangeText, spanLane, sparkline } from './text-plot.js';
import { counted, grouped } from './text-table.js';

const SHOWN_EVENTS = 16;

/** Modes and faults of the bank and of the shown row, as they came. */
function events({ changes, row, tickHz }: RowView): string[] {
  const told = changes.filter(
    (change) => (change.signal === 'mode' || change.signal === 'faults') && (change.row === 0 || change.row === row),
  );
  const lines = told.slice(0, SHOWN_EVENTS).map(({ tick, row: of, signal, value }) => {
    return `  ${(tick / tickHz).toFixed(3).padStart(9)} s  ${of === 0 ? 'bank ' : `row ${of}`}  ${signal.padEnd(6)}  ${value}`;
  });
  return told.length > SHOWN_EVENTS ? [...lines, `  ${counted(told.length - SHOWN_EVENTS, 'more change')}`] : lines;
}

/** A row's signals as small plots of one line each, its pulses, and what happened. */
export function viewText(view: RowView): string {
  const { ticks, tickHz, row, rows, series, changes } = view;
  const names = [...series.map(({ signal }) => signal.name), 'supply open', 'return open'];
  const ranges = series.map(rangeText);
  const nameWidth = Math.max(...names.map((name) => name.length));
  const rangeWidth = Math.max(0, ...ranges.map((range) => range.length));
  const stretches = series[0]?.mean.length ?? 0;
  const line = (name: string, range: string, plot: string): string => `  ${name.padEnd(nameWidth)}  ${range.padEnd(rangeWidth)}  ${plot}`;
  const seconds = `${(ticks / tickHz).toFixed(1)} s`;
  const axis = line('', '', `0 s${seconds.padStart(Math.max(0, stretches - 3))}`);
  const lanes = (['supplyOrder', 'returnOrder'] as const).map((signal, index) => {
    const spans = openSpans(changes, ticks, row, signal);
    return line(index === 0 ? 'supply open' : 'return open', counted(spans.length, 'pulse'), spanLane(spans, ticks, stretches));
  });
  return [
    `${counted(rows, 'row')}, ${counted(ticks, 'tick')} at ${grouped(tickHz)} Hz; row ${row}:`,
    axis,
    ...series.map((one, index) => line(one.signal.name, ranges[index] ?? '', sparkline(one))),
    ...(changes.length > 0 ? [...lanes, ...events(view)] : []),
    ...(view.trap === undefined ? [] : [`  the controller stopped at tick ${view.trap.tick}: ${view.trap.message}`]),
    '',
  ].join('\n');
}
