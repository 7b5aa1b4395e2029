import { tickTime } from '../../common/moment.js';
import type { Change } from '../../replay/change.js';
import { rangeOf, type Series } from '../../replay/series.js';
import type { View } from '../../replay/view.js';
import { colours } from '../form/colours.js';
import { pulseLane, rangeText, sparkline } from '../form/text-plot.js';
import { counted, grouped } from '../form/text-table.js';

/** Maximum number of changes, and of marks, that are listed. */
const LINES_MAX = 24;

/** What happens at a tick, for a list in order of time. */
interface Line {
  readonly tick: number;
  readonly row: number;
  readonly what: string;
  readonly text: string;
}

/** At most `LINES_MAX` lines of a kind, and how many more there are. */
function limited(lines: readonly Line[], word: string): { lines: readonly Line[]; more: string[] } {
  const more = lines.length - LINES_MAX;
  return {
    lines: lines.slice(0, LINES_MAX),
    more: more > 0 ? [`  and ${counted(more, `more ${word}`)}; --from and --to show a part`] : [],
  };
}

/** Changes of modes and faults of the bank and the shown rows within the part; before it only the last ones. */
function changeLines({ lanes, part }: View, changes: readonly Change[]): Line[] {
  const rows = [0, ...(lanes?.rows ?? []).map(({ row }) => row)];
  const all = changes.filter(({ row, signal }) => (signal === 'mode' || signal === 'faults') && rows.includes(row));
  const isLast = ({ tick, row, signal }: Change): boolean =>
    !all.some((other) => other.row === row && other.signal === signal && other.tick > tick && other.tick <= part.first);
  return all
    .filter((change) => change.tick >= part.first || isLast(change))
    .map(({ tick, row, signal, value }) => ({ tick, row, what: signal, text: value }));
}

/** Lists in order of time what happens, inside and from outside. */
function eventLines(view: View, changes: readonly Change[]): string[] {
  const { tickHz, marks } = view;
  const inside = limited(changeLines(view, changes), 'change');
  const outside = limited(
    marks.map(({ fromTick, untilTick, row, kind, text }) => {
      const until = untilTick > fromTick + 1 && kind !== 'input' ? `, until ${tickTime(untilTick, tickHz)}` : '';
      return { tick: fromTick, row, what: kind, text: `${text}${until}` };
    }),
    'event',
  );
  const lines = [...outside.lines, ...inside.lines].sort((one, other) => one.tick - other.tick);
  const times = lines.map(({ tick }) => tickTime(tick, tickHz));
  const width = Math.max(0, ...times.map(({ length }) => length));
  const words = lines.map(({ row, what, text }, index) => {
    const isUnmet = what === 'requirement';
    const place = `${row === 0 ? 'bank' : `row ${row}`}`.padEnd(6);
    return `  ${(times[index] ?? '').padEnd(width)}  ${place}  ${what.padEnd(11)}  ${isUnmet ? colours.red(text) : text}`;
  });
  return [...words, ...inside.more, ...outside.more];
}

/** A line of the plot: name, range, and the plot itself. */
type PlotLine = readonly [name: string, range: string, plot: string];

/** Draws the pulses of the shown rows; with several rows, the names have an index. */
function pulseLines({ lanes, isOfLog }: View): PlotLine[] {
  const rows = lanes?.rows ?? [];
  return rows.flatMap((one) =>
    (['supply', 'return'] as const).map((valve): PlotLine => {
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

/** Words of an enumeration, or names of faults, in place of their numbers; undefined for a quantity. */
function wordsOf(series: Series, { lanes }: View): string | undefined {
  const { name, row, words } = series.signal;
  if (name === 'faults' && lanes !== undefined) {
    const spans = row === 0 ? lanes.bank.faults : (lanes.rows.find((one) => one.row === row)?.faults ?? []);
    return [...new Set(spans.map(({ value }) => value))].join(', ') || 'none';
  }
  const [min, max] = rangeOf(series);
  if (words === undefined || !Number.isFinite(min)) return undefined;
  return min === max ? (words[min] ?? String(min)) : `${words[min] ?? min} … ${words[max] ?? max}`;
}

/**
 * Formats signals and pulses as plots of one line each, followed by the changes of modes and faults.
 * @param row shown in the first line if the view has no outputs
 */
export function viewText(view: View, row: number, changes: readonly Change[]): string {
  const { part, tickHz, rows, panes, lanes, trap } = view;
  const series = panes.flat();
  const lines = [
    ...series.map((one): PlotLine => [one.signal.label, wordsOf(one, view) ?? rangeText(one), sparkline(one)]),
    ...pulseLines(view),
  ];
  const nameWidth = Math.max(...lines.map(([name]) => name.length));
  const rangeWidth = Math.max(...lines.map(([, range]) => range.length));
  const seconds = `${((part.first + part.ticks) / tickHz).toFixed(part.ticks < 10 * tickHz && part.first > 0 ? 3 : 1)} s`;
  const start = `${Number((part.first / tickHz).toFixed(3))} s`;
  const axis: PlotLine = ['', '', `${start}${seconds.padStart(Math.max(0, part.bins - start.length))}`];
  const shown = lanes?.rows.map((one) => one.row) ?? [row];
  return [
    `${counted(rows, 'row')}, ${counted(part.ticks, 'tick')} at ${grouped(tickHz)} Hz; row ${shown.join(', ')}:`,
    ...[axis, ...lines].map(([name, range, plot]) => `  ${name.padEnd(nameWidth)}  ${range.padEnd(rangeWidth)}  ${plot}`),
    ...eventLines(view, changes),
    ...(trap === undefined ? [] : [`  the controller stopped at ${tickTime(trap.tick, tickHz)}: ${trap.message}`]),
    '',
  ].join('\n');
}
