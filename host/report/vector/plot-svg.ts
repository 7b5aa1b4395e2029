import { tickTime } from '../../common/moment.js';
import type { Mark } from '../../replay/marks.js';
import { rangeOf, type Series } from '../../replay/series.js';
import type { BankLanes, Lanes, Openings, RowLanes, Span } from '../../replay/spans.js';
import type { View } from '../../replay/view.js';
import {
  type Mark as AxisMark,
  axisLimits,
  axisMarks,
  CHARACTER_WIDTH,
  inkOf,
  round,
  shortTitle,
  svgPicture,
  textAt,
  WIDTH,
} from '../form/svg.js';
import { counted, grouped } from '../form/text-table.js';
import { escapeXml } from '../form/xml.js';

/** Room for the longest name of a lane, `supply open`. */
const LEFT = 82;
const RIGHT = 18;
/** Number of columns of a picture: one per pixel. */
export const PLOT_COLUMNS = WIDTH - LEFT - RIGHT;
const END = LEFT + PLOT_COLUMNS;
const PANE = 110;
const LEGEND = 16;
const LANE = 15;
const BAR = 11;
const GAP = 12;
/** Maximum number of enum names beside a pane. */
const NAMES_MAX = 8;

/** The vertical axis of a pane. */
interface Scale {
  readonly min: number;
  readonly max: number;
  readonly marks: readonly AxisMark[];
}

/** Switches and enums, values of one byte: each holds until the next one. */
const isHeld = ({ field }: Series['signal']): boolean => field.type === 'u8';

/** Enum names if all signals of a pane have the same enum, otherwise round numbers in the signals' unit. */
function scaleOf(pane: readonly Series[]): Scale {
  const words = pane[0]?.signal.words;
  if (words !== undefined && words.length <= NAMES_MAX && pane.every(({ signal }) => signal.words === words)) {
    const [min, max] = axisLimits([0, words.length - 1]);
    return { min, max, marks: words.map((text, value) => ({ value, text })) };
  }
  const ends = pane.flatMap((series) => rangeOf(series));
  const [min, max] = axisLimits(ends.filter(Number.isFinite));
  return { min, max, marks: axisMarks(min, max, 5, pane.every(({ signal }) => isHeld(signal)) ? 1 : 0) };
}

/** Draws the range of each column as a vertical line where it exceeds the line through the means. */
function drawBand({ min, max }: Series, x: (at: number) => number, y: (value: number) => number): string {
  const parts: string[] = [];
  for (const [at, low] of min.entries()) {
    const [bottom, top] = [y(low), y(max[at] ?? low)];
    if (bottom - top > 1) parts.push(`M${round(x(at))} ${round(bottom)}V${round(top)}`);
  }
  return parts.length === 0 ? '' : `<path class="band" d="${parts.join('')}"/>`;
}

/** Draws a line that holds each value until the next one. */
function drawSteps({ mean }: Series, x: (at: number) => number, y: (value: number) => number): string {
  const heights = [...mean].map((value) => (Number.isNaN(value) ? undefined : round(y(value))));
  const parts = heights.map((height, at) => {
    if (height === undefined) return '';
    const before = heights[at - 1];
    const start = before === undefined ? `M${round(x(at - 0.5))} ${height}` : height === before ? '' : `V${height}`;
    return height === heights[at + 1] ? start : `${start}H${round(x(at + 0.5))}`;
  });
  return `<path class="line" d="${parts.join('')}"/>`;
}

/**
 * Draws a line through the means, without the inner points of level bins. The line breaks where a signal is missing for
 * more than twice its mean distance between values.
 */
function drawLine({ mean }: Series, x: (at: number) => number, y: (value: number) => number): string {
  const places = [...mean.keys()].filter((at) => !Number.isNaN(mean[at]));
  const gap = (2 * mean.length) / places.length;
  const heights = places.map((at) => round(y(mean[at] ?? 0)));
  const isAfterGap = (index: number): boolean => (places[index] ?? 0) - (places[index - 1] ?? Number.NEGATIVE_INFINITY) > gap;
  const points = places.map((at, index) => {
    const height = heights[index];
    if (isAfterGap(index)) return `M${round(x(at))} ${height}`;
    const isInside = height === heights[index - 1] && height === heights[index + 1] && !isAfterGap(index + 1);
    return isInside ? '' : `L${round(x(at))} ${height}`;
  });
  return `<path class="line" d="${points.join('')}"/>`;
}

/** Returns the name of a signal: as the user wrote it, with its row if the picture shows several rows. */
type NameOf = (signal: Series['signal']) => string;

/** Draws the names of a pane's signals, in as many lines as they need. */
function drawLegend(pane: readonly Series[], nameOf: NameOf, top: number): { text: string; height: number } {
  let x = LEFT;
  let y = top + 11;
  const parts = pane.map(({ signal, mean }, ink) => {
    const words = mean.some((value) => !Number.isNaN(value)) ? nameOf(signal) : `${nameOf(signal)} (no values)`;
    const width = 18 + words.length * CHARACTER_WIDTH + 16;
    if (x > LEFT && x + width > END) [x, y] = [LEFT, y + LEGEND];
    const text = `<path class="line key ${inkOf(ink)}" d="M${round(x)} ${y - 4}h13"/>${textAt('ink', x + 18, y, words)}`;
    x += width;
    return text;
  });
  return { text: parts.join(''), height: y + LEGEND - 7 - top };
}

/** Orders a pane's signals from the largest range within columns to the smallest: smooth ones are drawn over noisy ones. */
function roughestFirst(pane: readonly Series[]): number[] {
  const swings = pane.map(({ min, max }) => {
    return min.reduce((sum, low, at) => sum + Math.max(0, (max[at] ?? low) - low), 0);
  });
  return [...pane.keys()].sort((a, b) => (swings[b] ?? 0) - (swings[a] ?? 0));
}

/** Draws signals of one unit in a pane with legend, grid and axis. */
function drawPane(pane: readonly Series[], nameOf: NameOf, top: number): { text: string; height: number } {
  const symbol = pane[0] === undefined ? '' : pane[0].signal.symbol;
  const { min, max, marks } = scaleOf(pane);
  const legend = drawLegend(pane, nameOf, top);
  const paneTop = top + legend.height;
  const y = (value: number): number => paneTop + ((max - value) / (max - min)) * PANE;
  const grid = marks.map(({ value, text }) => {
    return `<path class="rule" d="M${LEFT} ${round(y(value))}H${END}"/>${textAt('faint', LEFT - 7, y(value) + 4, text, 'end')}`;
  });
  const draw = (drawSeries: typeof drawLine, order: readonly number[]): string[] =>
    order.map((ink) => {
      const series = pane[ink];
      if (series === undefined) return '';
      const x = (at: number): number => LEFT + ((at + 0.5) / series.mean.length) * PLOT_COLUMNS;
      const drawn = drawSeries(series, x, y);
      return drawn === '' ? '' : `<g class="${inkOf(ink)}">${drawn}</g>`;
    });
  const order = roughestFirst(pane);
  // Lines after all bands, so that a noisy signal hides no line.
  const text = [
    legend.text,
    textAt('faint', LEFT - 7, top + 11, symbol, 'end'),
    ...grid,
    ...draw(drawBand, order),
    ...draw((series, ...place) => (isHeld(series.signal) ? drawSteps : drawLine)(series, ...place), order),
  ];
  return { text: text.filter((part) => part !== '').join('\n'), height: legend.height + PANE + GAP };
}

/** Returns the coordinate at which a stretch of time starts, px. */
type X = (stretch: number) => number;

/** Draws words in boxes: as text where they fit, and as a tooltip. */
function drawWords(spans: readonly Span[], kind: string, top: number, x: X): string {
  return spans
    .map(({ value, begin, end }) => {
      const width = x(end) - x(begin);
      const label = width > value.length * CHARACTER_WIDTH + 8 ? textAt('ink', x(begin) + 4, top + 9.5, value) : '';
      const box = `x="${round(x(begin))}" y="${top}" width="${round(width > 3 ? width - 1 : Math.max(1, width))}" height="${BAR}"`;
      return `<rect class="${kind}" ${box}><title>${escapeXml(value)}</title></rect>${label}`;
    })
    .join('');
}

/** Draws bars whose height is the share of a bin in which a valve was open, but at least 3 px. */
function drawOpen({ openRatio }: Openings, top: number, x: X): string {
  const heights = [...openRatio].map((open) => (open > 0 ? Math.max(3, Math.round(Math.min(1, open) * BAR)) : 0));
  const bars = heights.flatMap((height, start) => {
    if (height === 0 || heights[start - 1] === height) return [];
    const next = heights.findIndex((other, at) => at > start && other !== height);
    const end = next < 0 ? heights.length : next;
    return [`M${round(x(start))} ${top + BAR}v-${height}H${round(x(end))}v${height}z`];
  });
  return bars.length === 0 ? '' : `<path class="open" d="${bars.join('')}"/>`;
}

/** Lanes for marks that overlap; more are drawn over each other in the last one. */
const MARK_LANES_MAX = 4;

/** Marks in lanes where their words do not overlap: the first lane that has room. */
function inLanes(marks: readonly Mark[], widthOf: (mark: Mark) => readonly [from: number, to: number]): Mark[][] {
  const lanes: { end: number; marks: Mark[] }[] = [];
  for (const mark of marks) {
    const [from, to] = widthOf(mark);
    const free = lanes.find(({ end }) => end <= from) ?? (lanes.length < MARK_LANES_MAX ? undefined : lanes.at(-1));
    if (free === undefined) lanes.push({ end: to, marks: [mark] });
    else {
      free.end = Math.max(free.end, to);
      free.marks.push(mark);
    }
  }
  return lanes.map((lane) => lane.marks);
}

/** Draws a mark as a box over its ticks, with its words on it and beside it, and as a tooltip. */
function drawMark({ kind, row, text }: Mark, [from, end]: readonly [number, number], top: number): string {
  const words = row === 0 ? text : `row ${row}: ${text}`;
  const box = `x="${round(from)}" y="${top}" width="${round(Math.max(2, end - from))}" height="${BAR}"`;
  const room = Math.max(0, Math.floor((END - from - 4) / CHARACTER_WIDTH));
  const label = words.length > room ? `${words.slice(0, Math.max(0, room - 1))}…` : words;
  const shape = `<rect class="${kind === 'requirement' ? 'bad' : 'mode'}" ${box}><title>${escapeXml(words)}</title></rect>`;
  return shape + (room > 3 ? textAt('ink', from + 4, top + 9.5, label) : '');
}

const MARK_NAMES: Readonly<Record<Mark['kind'], string>> = { input: 'inputs', event: 'events', requirement: 'not met' };

/** Lanes of marks, by kind. */
function markLanes({ marks, part }: View): DrawnLane[] {
  const xOf = (tick: number): number => LEFT + (Math.min(part.ticks, Math.max(0, tick - part.first)) / part.ticks) * PLOT_COLUMNS;
  const place = ({ fromTick, untilTick }: Mark): readonly [number, number] => [xOf(fromTick), xOf(untilTick)];
  const withWords = (mark: Mark): readonly [number, number] => {
    const [from, end] = place(mark);
    return [from, Math.max(end, from + (mark.text.length + (mark.row === 0 ? 2 : 9)) * CHARACTER_WIDTH)];
  };
  return (Object.keys(MARK_NAMES) as Mark['kind'][]).flatMap((kind) =>
    inLanes(
      marks.filter((mark) => mark.kind === kind),
      withWords,
    ).map((lane, index): DrawnLane => {
      const draw = (top: number): string => lane.map((mark) => drawMark(mark, place(mark), top)).join('');
      return [index === 0 ? MARK_NAMES[kind] : '', index === 0, draw];
    }),
  );
}

/** A lane: its name, whether it starts a group, and a function that draws it at a height. */
type DrawnLane = readonly [name: string, isHead: boolean, draw: (top: number) => string];

function lanesOf({ bank, rows }: Lanes, x: X, isOfLog = false): DrawnLane[] {
  const words = (spans: readonly Span[], kind: string) => (top: number) => drawWords(spans, kind, top, x);
  const open = (openings: Openings) => (top: number) => drawOpen(openings, top, x);
  const faults = ({ faults: spans }: BankLanes): DrawnLane => ['faults', false, words(spans, 'bad')];
  const ofRow = (one: RowLanes): DrawnLane[] => [
    [`row ${one.row}`, true, words(one.mode, 'mode')],
    [`supply open${isOfLog ? ', log' : ''}`, false, open(one.supply)],
    [`return open${isOfLog ? ', log' : ''}`, false, open(one.return)],
    faults(one),
  ];
  return [['bank', true, words(bank.mode, 'mode')], faults(bank), ...rows.flatMap(ofRow)];
}

/** Draws modes, open valves and faults. */
function drawLanes(lanes: readonly DrawnLane[], top: number): string {
  return lanes
    .map(([name, isHead, draw], index) => {
      const at = top + index * LANE;
      return `${textAt(isHead ? 'ink' : 'faint', LEFT - 7, at + 9.5, name, 'end')}${draw(at)}`;
    })
    .join('\n');
}

/** Chooses the unit of a time axis: milliseconds only near the start, where the numbers are short. */
function timeUnit(spanS: number, endS: number): { symbol: string; seconds: number } {
  if (spanS >= 4 * 3600) return { symbol: 'h', seconds: 3600 };
  if (spanS >= 300) return { symbol: 'min', seconds: 60 };
  return endS < 0.5 ? { symbol: 'ms', seconds: 1e-3 } : { symbol: 's', seconds: 1 };
}

/** Draws faint vertical lines from `top` to `bottom`, and the time below. */
function drawTime({ part: { first: from, ticks }, tickHz }: View, top: number, bottom: number): string {
  const { symbol, seconds } = timeUnit(ticks / tickHz, (from + ticks) / tickHz);
  const perTick = 1 / (tickHz * seconds);
  const steps = axisMarks(from * perTick, (from + ticks) * perTick, 9);
  return steps
    .map(({ value, text }) => {
      const x = LEFT + ((value / perTick - from) / ticks) * PLOT_COLUMNS;
      const anchor = x > END - 14 ? 'end' : 'middle';
      const label = textAt('faint', anchor === 'end' ? END + RIGHT - 4 : x, bottom + 14, `${text} ${symbol}`, anchor);
      return `<path class="rule" d="M${round(x)} ${top}V${bottom}"/>${label}`;
    })
    .join('');
}

const listed = (words: readonly (string | number)[]): string => words.join(', ');

/** Rows of the signals. */
const namedRows = ({ panes }: View): number[] =>
  [...new Set(panes.flat().map(({ signal }) => signal.row))].filter((row) => row > 0).sort((a, b) => a - b);

const laneRows = ({ lanes }: View): number[] => (lanes?.rows ?? []).map(({ row }) => row);

/** Describes the picture in words. */
function describe(view: View, nameOf: NameOf): string {
  const { part, tickHz, panes, rows, lanes } = view;
  const inPane = panes.map((pane) => {
    const symbol = pane[0] === undefined ? '' : pane[0].signal.symbol;
    return `${listed(pane.map(({ signal }) => nameOf(signal)))}${symbol === '' ? '' : ` in ${symbol}`}`;
  });
  const word = `row${laneRows(view).length > 1 ? 's' : ''} ${listed(laneRows(view))}`;
  const outside = view.marks.length === 0 ? '' : ` From outside: ${listed(view.marks.map(({ text }) => text).slice(0, 12))}.`;
  const below = lanes === undefined ? outside : `${outside} Below: modes and faults of the bank; mode, open valves and faults of ${word}.`;
  const end = (part.first + part.ticks) / tickHz;
  const time = `from ${part.first / tickHz} s to ${end} s, ${counted(part.ticks, 'tick')} at ${grouped(tickHz)} Hz`;
  return `${inPane.join('; ')}, ${time}, of a bank of ${counted(rows, 'row')}.${below}`;
}

function drawHead(view: View): string {
  const { title, strategy, rows, trap, lanes, tickHz } = view;
  const named = namedRows(view).length === 0 ? laneRows(view) : namedRows(view);
  const missing = lanes !== undefined && laneRows(view).length < named.length ? `; lanes of ${listed(laneRows(view))}` : '';
  const ofRows = named.length === 0 ? [] : [`row${named.length > 1 ? 's' : ''} ${listed(named)} of ${rows}${missing}`];
  const which = [...ofRows, ...(strategy === undefined ? [] : [strategy])].join('; ');
  const stopped =
    trap === undefined ? '' : textAt('ink', LEFT, 38, `the controller stopped at ${tickTime(trap.tick, tickHz)}: ${trap.message}`);
  return `${textAt('ink title', LEFT, 22, shortTitle(title))}${textAt('faint', END, 22, which, 'end')}${stopped}`;
}

/**
 * Draws a view as an SVG picture with light and dark colours: panes, then lanes for modes, open valves and faults, over one time
 * axis. Its size depends on the number of signals, not on their duration.
 */
export function plotSvg(view: View): string {
  const { panes, part } = view;
  const nameOf: NameOf = namedRows(view).length > 1 ? ({ column }) => column : ({ label }) => label;
  const x: X = (stretch) => LEFT + (stretch / part.bins) * PLOT_COLUMNS;
  const lanes = [...markLanes(view), ...(view.lanes === undefined ? [] : lanesOf(view.lanes, x, view.isOfLog))];
  const panesTop = view.trap === undefined ? 36 : 52;
  let top = panesTop;
  const drawn = panes.map((pane) => {
    const { text, height } = drawPane(pane, nameOf, top);
    top += height;
    return text;
  });
  const bottom = lanes.length === 0 ? top - GAP + 4 : top + lanes.length * LANE;
  const height = bottom + 24;
  const { title } = view;
  const label = `${title}: ${listed(panes.flat().map(({ signal }) => nameOf(signal)))}`;
  const time = drawTime(view, panesTop + LEGEND, bottom);
  return svgPicture({ title, label, description: describe(view, nameOf), height }, [drawHead(view), time, ...drawn, drawLanes(lanes, top)]);
}
