import type { ContestMetric, Sweep, SweepPoint } from '../../contest/contest.js';
import { strategyText } from '../form/run-identity.js';
import { axisLimits, axisMarks, inkOf, type Mark, round, shortTitle, svgPicture, textAt, WIDTH } from '../form/svg.js';
import { counted } from '../form/text-table.js';
import { escapeXml } from '../form/xml.js';
import { type Contest, meanOf } from './contest-text.js';

const LEFT = 62;
/** Right end of the panels; the contenders' names are beside them. */
const END = WIDTH - 160;
const HEAD = 54;
const TITLE = 20;
const PANEL = 250;
const FOOT = 34;
const NAME_STEP = 14;
/** Whiskers are cut off at this share of the value: with few seeds they would flatten all curves. */
const WHISKER_MAX = 0.5;

const STYLE = `
  .dot { fill: currentColor } .whisker { stroke: currentColor; fill: none; stroke-width: .8; opacity: .65 }
  .level { stroke: currentColor; fill: none; stroke-width: 1.2; stroke-dasharray: 6 4 }
  .lead { stroke: currentColor; fill: none; stroke-width: 1; stroke-dasharray: 1 4; opacity: .7 } .name { fill: currentColor }`;

/** Maps values to positions along a line, 0 to 1, with the labels beside it. */
interface Axis {
  at(value: number): number;
  readonly marks: readonly Mark[];
}

function linearAxis(values: readonly number[]): Axis {
  const [min, max] = axisLimits(values);
  return { at: (value) => (value - min) / (max - min), marks: axisMarks(min, max, 7) };
}

/** Marks at 1, 2 and 5 times the powers of ten, or at more if those are too few. */
function logAxis(values: readonly number[]): Axis {
  const [low, high] = axisLimits(values.map(Math.log10));
  const powers = Array.from({ length: Math.ceil(high) - Math.floor(low) + 1 }, (_, index) => 10 ** (Math.floor(low) + index));
  const times = (factors: readonly number[]): number[] =>
    powers
      .flatMap((power) => factors.map((factor) => factor * power))
      .filter((value) => Math.log10(value) >= low && Math.log10(value) <= high);
  const coarse = times([1, 2, 5]);
  const marked = coarse.length >= 4 ? coarse : times([1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9]);
  const marks =
    marked.length >= 2
      ? marked.map((value) => ({ value, text: String(Number(value.toPrecision(2))) }))
      : axisMarks(10 ** low, 10 ** high, 5);
  return { at: (value) => (Math.log10(value) - low) / (high - low), marks };
}

/** A point of a curve: means, and the interval of the load RMS error. */
interface Dot {
  readonly x: number;
  readonly y: number;
  readonly from: number;
  readonly to: number;
  /** Whether this is the contender's own deadband. */
  readonly isOwn: boolean;
  readonly label: string;
}

function dotOf({ name }: Sweep, point: SweepPoint, across: ContestMetric): Dot {
  const { scale } = point;
  const { mean: y, ciLow: from, ciHigh: to } = meanOf(point, 'loadRmsN');
  const x = meanOf(point, across).mean;
  const isAlone = Number.isNaN(from);
  return {
    x,
    y,
    from: isAlone ? y : Math.max(from, y * (1 - WHISKER_MAX)),
    to: isAlone ? y : Math.min(to, y * (1 + WHISKER_MAX)),
    isOwn: scale === 1,
    label: `${name}, scale ${scale}: loadRmsN ${y.toPrecision(3)}, ${across} ${x.toPrecision(3)}`,
  };
}

/** A contender in a panel: a curve, or a level line if it has no pulses. */
interface Curve {
  readonly name: string;
  readonly ink: string;
  readonly isLevel: boolean;
  /** In the order of their pulse rates, as in the comparison. */
  readonly dots: readonly Dot[];
}

function curvesOf(sweeps: readonly Sweep[], across: ContestMetric): Curve[] {
  const pulsesOf = (point: SweepPoint): number => meanOf(point, 'pulsesPerMin').mean;
  return sweeps.map((sweep, index) => {
    const { name, hasPulses, points } = sweep;
    const dots = [...points].sort((a, b) => pulsesOf(a) - pulsesOf(b)).map((point) => dotOf(sweep, point, across));
    const isLevel = !hasPulses && dots.every(({ x }) => x === 0);
    return { name, ink: inkOf(index), isLevel, dots: dots.filter(({ x, y }) => Number.isFinite(y) && (isLevel || x > 0)) };
  });
}

/**
 * Moves heights apart so that neighbours have at least `step` between them and keep their order: first downwards, then back
 * upwards from the bottom.
 * @returns the heights in the order given
 */
export function apart(heights: readonly number[], step: number, bottom: number): number[] {
  const order = [...heights.keys()].sort((a, b) => (heights[a] ?? 0) - (heights[b] ?? 0));
  const moved = [...heights];
  let limit = Number.NEGATIVE_INFINITY;
  for (const place of order) {
    moved[place] = Math.max(moved[place] ?? 0, limit);
    limit = moved[place] + step;
  }
  limit = bottom;
  for (const place of order.reverse()) {
    moved[place] = Math.min(moved[place] ?? 0, limit);
    limit = moved[place] - step;
  }
  return moved;
}

type Place = (value: number) => number;

function drawCurve({ ink, isLevel, dots }: Curve, x: Place, y: Place): string {
  if (isLevel) return dots.map((dot) => `<g class="${ink}"><path class="level" d="M${LEFT} ${round(y(dot.y))}H${END}"/></g>`).join('');
  const line = dots.map((dot, index) => `${index === 0 ? 'M' : 'L'}${round(x(dot.x))} ${round(y(dot.y))}`).join('');
  const whiskers = dots.map((dot) => `M${round(x(dot.x))} ${round(y(dot.from))}V${round(y(dot.to))}`).join('');
  const points = dots.map((dot) => {
    const place = `cx="${round(x(dot.x))}" cy="${round(y(dot.y))}"`;
    return `<circle class="dot" ${place} r="${dot.isOwn ? 4.5 : 2.5}"><title>${escapeXml(dot.label)}</title></circle>`;
  });
  return `<g class="${ink}"><path class="whisker" d="${whiskers}"/><path class="line" d="${line}"/>${points.join('')}</g>`;
}

/** Names beside the panel, each with a line to the right end of its curve. */
function drawNames(curves: readonly Curve[], x: Place, y: Place, bottom: number): string {
  const named = curves.filter(({ dots }) => dots.length > 0);
  const ends = named.map(({ dots, isLevel }) => {
    const right = dots.reduce((one, other) => (other.x > one.x ? other : one));
    return { x: isLevel ? END : x(right.x), y: y(right.y) };
  });
  const heights = apart(
    ends.map((end) => end.y),
    NAME_STEP,
    bottom,
  );
  return named
    .map(({ name, ink }, index) => {
      const [end, height] = [ends[index] ?? { x: 0, y: 0 }, heights[index] ?? 0];
      const lead = `<path class="lead" d="M${round(end.x)} ${round(end.y)}L${END + 12} ${round(height)}"/>`;
      return `<g class="${ink}">${lead}${textAt('name', END + 16, height + 4, name)}</g>`;
    })
    .join('\n');
}

interface Panel {
  readonly across: ContestMetric;
  readonly title: string;
  readonly axisOf: (values: readonly number[]) => Axis;
}

const PANELS: readonly Panel[] = [
  { across: 'pulsesPerMin', title: 'Load error, RMS, against pulses per minute and row', axisOf: logAxis },
  { across: 'oilLpm', title: 'Load error, RMS, against oil per row, L/min', axisOf: linearAxis },
];

/** Load RMS error against another metric, below `top`. */
function drawPanel({ across, title, axisOf }: Panel, sweeps: readonly Sweep[], top: number): string {
  const curves = curvesOf(sweeps, across);
  const down = linearAxis(curves.flatMap(({ dots }) => dots.flatMap(({ from, to }) => [from, to])));
  const along = axisOf(curves.flatMap(({ isLevel, dots }) => (isLevel ? [] : dots.map((dot) => dot.x))));
  const [start, bottom] = [top + TITLE, top + TITLE + PANEL];
  const x: Place = (value) => LEFT + along.at(value) * (END - LEFT);
  const y: Place = (value) => bottom - down.at(value) * PANEL;
  const level = down.marks.map(({ value, text }) => {
    return `<path class="rule" d="M${LEFT} ${round(y(value))}H${END}"/>${textAt('faint', LEFT - 7, y(value) + 4, text, 'end')}`;
  });
  const upright = along.marks.map(({ value, text }) => {
    return `<path class="rule" d="M${round(x(value))} ${start}V${bottom}"/>${textAt('faint', x(value), bottom + 14, text, 'middle')}`;
  });
  const heads = [textAt('faint', LEFT - 7, top + 10, 'N', 'end'), textAt('ink', LEFT, top + 10, title)];
  const drawn = curves.map((curve) => drawCurve(curve, x, y));
  return [...heads, ...level, ...upright, ...drawn, drawNames(curves, x, y, bottom)].join('\n');
}

/**
 * Draws the sweeps of a contest as SVG: load RMS error against pulses per minute, and against oil. Each contender is a curve with
 * whiskers for the 95 % confidence interval of the mean; a baseline is a point, or a level line where it has no pulses.
 */
export function contestSvg({ title, seeds, sweeps }: Pick<Contest, 'title' | 'seeds' | 'sweeps'>): string {
  const names = sweeps.map(({ name }) => name).join(', ');
  const strategies = sweeps.map(({ name, ranWith }) => `${name}: ${strategyText(ranWith)}`).join(', ');
  const intervals = seeds.length > 1 ? `; whiskers: 95 % confidence interval, clipped at ± ${100 * WHISKER_MAX} %` : '';
  const caption = `Each line: one contender, deadband swept; large dot: its own deadband; mean of ${counted(seeds.length, 'seed')}${intervals}`;
  const step = TITLE + PANEL + FOOT;
  const height = HEAD + PANELS.length * step - 10;
  return svgPicture({ title, label: `${title}: ${names}`, description: `${strategies}. ${caption}.`, height, style: STYLE }, [
    textAt('ink title', LEFT, 22, shortTitle(title)),
    textAt('faint', LEFT, 38, caption),
    ...PANELS.map((panel, index) => drawPanel(panel, sweeps, HEAD + index * step)),
  ]);
}
