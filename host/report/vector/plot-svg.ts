import { displayOf, rangeOf, type Series } from '../../replay/series.js';
import type { View } from '../../replay/show.js';
import type { BankLanes, Lanes, Openings, RowLanes, Span } from '../../replay/spans.js';
import { axisLimits, axisMarks, CHARACTER_WIDTH, inkOf, type Mark, round, shortTitle, svgPicture, textAt, WIDTH } from '../form/svg.js';
import { counted, grouped } from '../form/text-table.js';
import { escapeXml } from '../form/xml.js';

const LEFT = 62;
const RIGHT = 18;
/** Columns that a picture has: one a pixel. */
export const PLOT_COLUMNS = WIDTH - LEFT - RIGHT;
const END = LEFT + PLOT_COLUMNS;
const PANE = 110;
const LEGEND = 16;
const LANE = 15;
const BAR = 11;
const GAP = 12;
/** Words that fit beside a pane. */
const WORDS_MOST = 8;

/** What a pane's height stands for. */
interface Scale {
  readonly least: number;
  readonly most: number;
  readonly marks: readonly Mark[];
}

/** Switches and words, numbers of one byte: they hold until the next one. */
const isHeld = ({ field }: Series['signal']): boolean => field.type === 'u8';

/** Words where all signals of a pane stand for the same ones, round numbers elsewhere, in the unit that people read. */
function scaleOf(pane: readonly Series[]): Scale {
  const words = pane[0]?.signal.words;
  if (words !== undefined && words.length <= WORDS_MOST && pane.every(({ signal }) => signal.words === words)) {
    const [least, most] = axisLimits([0, words.length - 1]);
    return { least, most, marks: words.map((text, value) => ({ value, text })) };
  }
  const ends = pane.flatMap((series) => rangeOf(series).map((end) => end * displayOf(series.signal).factor));
  const [least, most] = axisLimits(ends.filter(Number.isFinite));
  return { least, most, marks: axisMarks(least, most, 5, pane.every(({ signal }) => isHeld(signal)) ? 1 : 0) };
}

/** Least to most of each column as an upright line, where it is more than the line through the means shows. */
function drawBand({ least, most }: Series, x: (at: number) => number, y: (value: number) => number): string {
  const parts: string[] = [];
  for (const [at, low] of least.entries()) {
    const [bottom, top] = [y(low), y(most[at] ?? low)];
    if (bottom - top > 1) parts.push(`M${round(x(at))} ${round(bottom)}V${round(top)}`);
  }
  return parts.length === 0 ? '' : `<path class="band" d="${parts.join('')}"/>`;
}

/** A line that holds each value until the next one. */
function drawSteps({ mean }: Series, x: (at: number) => number, y: (value: number) => number): string {
  const heights = [...mean].map((value) => (Number.isNaN(value) ? undefined : round(y(value))));
  const parts = heights.map((height, at) => {
    if (height === undefined) return '';
    const before = heights[at - 1];
    const begin = before === undefined ? `M${round(x(at - 0.5))} ${height}` : height === before ? '' : `V${height}`;
    return height === heights[at + 1] ? begin : `${begin}H${round(x(at + 0.5))}`;
  });
  return `<path class="line" d="${parts.join('')}"/>`;
}

/**
 * A line through the means, without the points inside a level stretch. It ends where a signal that comes every so many columns
 * stays away for twice as long.
 */
function drawLine({ mean }: Series, x: (at: number) => number, y: (value: number) => number): string {
  const places = [...mean.keys()].filter((at) => !Number.isNaN(mean[at]));
  const away = (2 * mean.length) / places.length;
  const heights = places.map((at) => round(y(mean[at] ?? 0)));
  const isApart = (index: number): boolean => (places[index] ?? 0) - (places[index - 1] ?? Number.NEGATIVE_INFINITY) > away;
  const points = places.map((at, index) => {
    const height = heights[index];
    if (isApart(index)) return `M${round(x(at))} ${height}`;
    const isInside = height === heights[index - 1] && height === heights[index + 1] && !isApart(index + 1);
    return isInside ? '' : `L${round(x(at))} ${height}`;
  });
  return `<path class="line" d="${points.join('')}"/>`;
}

/** What a signal is called: as it was asked for, with its row where the picture shows several. */
type NameOf = (signal: Series['signal']) => string;

/** Names of a pane’s signals, in as many lines as they need. */
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

/** Places of a pane’s signals, those that swing most within a column first: the smooth ones are drawn over them. */
function roughestFirst(pane: readonly Series[]): number[] {
  const swings = pane.map(({ least, most }) => {
    return least.reduce((sum, low, at) => sum + Math.max(0, (most[at] ?? low) - low), 0);
  });
  return [...pane.keys()].sort((a, b) => (swings[b] ?? 0) - (swings[a] ?? 0));
}

/** Signals of one unit in one pane, with legend, grid and their own scale, in the unit that people read. */
function drawPane(pane: readonly Series[], nameOf: NameOf, top: number): { text: string; height: number } {
  const symbol = pane[0] === undefined ? '' : displayOf(pane[0].signal).symbol;
  const { least, most, marks } = scaleOf(pane);
  const legend = drawLegend(pane, nameOf, top);
  const begin = top + legend.height;
  const y = (value: number): number => begin + ((most - value) / (most - least)) * PANE;
  const grid = marks.map(({ value, text }) => {
    return `<path class="rule" d="M${LEFT} ${round(y(value))}H${END}"/>${textAt('faint', LEFT - 7, y(value) + 4, text, 'end')}`;
  });
  const draw = (way: typeof drawLine, order: readonly number[]): string[] =>
    order.map((ink) => {
      const series = pane[ink];
      if (series === undefined) return '';
      const x = (at: number): number => LEFT + ((at + 0.5) / series.mean.length) * PLOT_COLUMNS;
      const { factor } = displayOf(series.signal);
      const drawn = way(series, x, (value) => y(value * factor));
      return drawn === '' ? '' : `<g class="${inkOf(ink)}">${drawn}</g>`;
    });
  const order = roughestFirst(pane);
  // Lines after all bands, so that a noisy signal hides none.
  const text = [
    legend.text,
    textAt('faint', LEFT - 7, top + 11, symbol, 'end'),
    ...grid,
    ...draw(drawBand, order),
    ...draw((series, ...place) => (isHeld(series.signal) ? drawSteps : drawLine)(series, ...place), order),
  ];
  return { text: text.filter((part) => part !== '').join('\n'), height: legend.height + PANE + GAP };
}

/** Where a stretch of a part begins in the picture. */
type X = (stretch: number) => number;

/** Words in boxes: inside where they fit, and on pointing at a box. */
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

/** Bars as high as the share of a stretch that a valve was open, and high enough to be seen. */
function drawOpen({ openRatio }: Openings, top: number, x: X): string {
  const heights = [...openRatio].map((open) => (open > 0 ? Math.max(3, Math.round(Math.min(1, open) * BAR)) : 0));
  const bars = heights.flatMap((height, begin) => {
    if (height === 0 || heights[begin - 1] === height) return [];
    const next = heights.findIndex((other, at) => at > begin && other !== height);
    const end = next < 0 ? heights.length : next;
    return [`M${round(x(begin))} ${top + BAR}v-${height}H${round(x(end))}v${height}z`];
  });
  return bars.length === 0 ? '' : `<path class="open" d="${bars.join('')}"/>`;
}

/** A lane: its name, whether it heads others, and how it is drawn at a height. */
type DrawnLane = readonly [name: string, isHead: boolean, draw: (top: number) => string];

function lanesOf({ bank, rows }: Lanes, x: X): DrawnLane[] {
  const words = (spans: readonly Span[], kind: string) => (top: number) => drawWords(spans, kind, top, x);
  const open = (openings: Openings) => (top: number) => drawOpen(openings, top, x);
  const faults = ({ faults: spans }: BankLanes): DrawnLane => ['faults', false, words(spans, 'bad')];
  const ofRow = (one: RowLanes): DrawnLane[] => [
    [`row ${one.row}`, true, words(one.mode, 'mode')],
    ['supply', false, open(one.supply)],
    ['return', false, open(one.return)],
    faults(one),
  ];
  return [['bank', true, words(bank.mode, 'mode')], faults(bank), ...rows.flatMap(ofRow)];
}

/** Modes, open valves and faults. */
function drawLanes(lanes: readonly DrawnLane[], top: number): string {
  return lanes
    .map(([name, isHead, draw], index) => {
      const at = top + index * LANE;
      return `${textAt(isHead ? 'ink' : 'faint', LEFT - 7, at + 9.5, name, 'end')}${draw(at)}`;
    })
    .join('\n');
}

/** The unit of a time axis: milliseconds only near the start, where they stay short. */
function timeUnit(spanS: number, endS: number): { symbol: string; seconds: number } {
  if (spanS >= 4 * 3600) return { symbol: 'h', seconds: 3600 };
  if (spanS >= 300) return { symbol: 'min', seconds: 60 };
  return endS < 0.5 ? { symbol: 'ms', seconds: 1e-3 } : { symbol: 's', seconds: 1 };
}

/** Faint upright lines from `top` to `bottom`, and the time beneath. */
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

/** Rows that the signals name. */
const namedRows = ({ panes }: View): number[] =>
  [...new Set(panes.flat().map(({ signal }) => signal.row))].filter((row) => row > 0).sort((a, b) => a - b);

const laneRows = ({ lanes }: View): number[] => (lanes?.rows ?? []).map(({ row }) => row);

/** What the picture shows, in words. */
function describe(view: View, nameOf: NameOf): string {
  const { part, tickHz, panes, rows, lanes } = view;
  const inPane = panes.map((pane) => {
    const symbol = pane[0] === undefined ? '' : displayOf(pane[0].signal).symbol;
    return `${listed(pane.map(({ signal }) => nameOf(signal)))}${symbol === '' ? '' : ` in ${symbol}`}`;
  });
  const word = `row${laneRows(view).length > 1 ? 's' : ''} ${listed(laneRows(view))}`;
  const beneath = lanes === undefined ? '' : ` Beneath: modes and faults of the bank; mode, open valves and faults of ${word}.`;
  const end = (part.first + part.ticks) / tickHz;
  const time = `from ${part.first / tickHz} s to ${end} s, ${counted(part.ticks, 'tick')} at ${grouped(tickHz)} Hz`;
  return `${inPane.join('; ')}, ${time}, of a bank of ${counted(rows, 'row')}.${beneath}`;
}

function drawHead(view: View): string {
  const { title, rows, trap, lanes } = view;
  const named = namedRows(view).length === 0 ? laneRows(view) : namedRows(view);
  const missing = lanes !== undefined && laneRows(view).length < named.length ? `; lanes of ${listed(laneRows(view))}` : '';
  const which = named.length === 0 ? '' : `row${named.length > 1 ? 's' : ''} ${listed(named)} of ${rows}${missing}`;
  const stopped = trap === undefined ? '' : textAt('ink', LEFT, 38, `the controller stopped at tick ${trap.tick}: ${trap.message}`);
  return `${textAt('ink title', LEFT, 22, shortTitle(title))}${textAt('faint', END, 22, which, 'end')}${stopped}`;
}

/**
 * A view as an SVG picture, light or dark as its reader likes it: panes, then lanes for modes, open valves and faults, over one
 * time axis. Its size depends on how many signals there are, not on how long they go on.
 */
export function plotSvg(view: View): string {
  const { panes, part } = view;
  const nameOf: NameOf = namedRows(view).length > 1 ? ({ column }) => column : ({ asked }) => asked;
  const x: X = (stretch) => LEFT + (stretch / part.stretches) * PLOT_COLUMNS;
  const lanes = view.lanes === undefined ? [] : lanesOf(view.lanes, x);
  const begin = view.trap === undefined ? 36 : 52;
  let top = begin;
  const drawn = panes.map((pane) => {
    const { text, height } = drawPane(pane, nameOf, top);
    top += height;
    return text;
  });
  const bottom = lanes.length === 0 ? top - GAP + 4 : top + lanes.length * LANE;
  const height = bottom + 24;
  const { title } = view;
  const label = `${title}: ${listed(panes.flat().map(({ signal }) => nameOf(signal)))}`;
  const time = drawTime(view, begin + LEGEND, bottom);
  return svgPicture({ title, label, description: describe(view, nameOf), height }, [drawHead(view), time, ...drawn, drawLanes(lanes, top)]);
}
