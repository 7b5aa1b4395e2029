import type { Sweep, SweepPoint } from '../../contest/contest.js';
import { compareSweeps, curveRates } from '../../contest/equal-pulses.js';
import { axisLimits, axisMarks, inkOf, type Mark, round, shortTitle, svgPicture, textAt, WIDTH } from '../form/svg.js';
import { counted } from '../form/text-table.js';
import { converted, displayIn, type System } from '../form/units.js';
import { escapeXml } from '../form/xml.js';
import { type Contest, contenderText, meanOf } from './contest-text.js';

const LEFT = 62;
/** Right end of the panels; the contenders' names are beside them. */
const END = WIDTH - 160;
const HEAD = 54;
const TITLE = 20;
const PANEL = 220;
const FOOT = 34;
const NAME_STEP = 14;
/** Whiskers are cut off at this share of the reference's load error: with few seeds they would flatten all curves. */
const WHISKER_MAX = 0.5;

const STYLE = `
  .dot { fill: currentColor } .whisker { stroke: currentColor; fill: none; stroke-width: .8; opacity: .65 }
  .level { stroke: currentColor; fill: none; stroke-width: 1.2; stroke-dasharray: 6 4 }
  .lead { stroke: currentColor; fill: none; stroke-width: 1; stroke-dasharray: 1 4; opacity: .7 } .name { fill: currentColor }`;

/** What the picture shows of a contest. */
type ContestCurves = Pick<Contest, 'title' | 'seeds' | 'sweeps' | 'against'> & { readonly units: System };

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

/** A point of a curve: means over the seeds. */
interface Dot {
  readonly x: number;
  readonly y: number;
  /** Ends of the whisker, if there is one. */
  readonly whisker?: readonly [from: number, to: number];
  /** Whether this is the contender's own deadband. */
  readonly isOwn: boolean;
  readonly label: string;
}

/** A contender in a panel: a curve, or a level line if it has no pulses. */
interface Curve {
  readonly name: string;
  readonly ink: string;
  readonly isLevel: boolean;
  /** In the order of their pulse rates, as in the comparison. */
  readonly dots: readonly Dot[];
}

const LOAD_ERROR = 'newton';
const ACROSS = { pulsesPerMin: 'perMinute', oilLpm: 'litrePerMinute' } as const;
type Across = keyof typeof ACROSS;

function dotOf({ name }: Sweep, point: SweepPoint, across: Across, units: System): Dot {
  const { scale } = point;
  const [down, along] = [displayIn(units, LOAD_ERROR), displayIn(units, ACROSS[across])];
  const y = converted(meanOf(point, 'loadRmsN').mean, down);
  const x = converted(meanOf(point, across).mean, along);
  const label = `${name}, scale ${scale}: load error ${y.toPrecision(3)} ${down.symbol}, ${x.toPrecision(3)} ${along.symbol}`;
  return { x, y, isOwn: scale === 1, label };
}

/** Load RMS error over another metric. */
const errorCurves =
  (across: Across) =>
  ({ sweeps, units }: ContestCurves): Curve[] => {
    const pulsesOf = (point: SweepPoint): number => meanOf(point, 'pulsesPerMin').mean;
    return sweeps.map((sweep, index) => {
      const { name, hasPulses, points } = sweep;
      const dots = [...points].sort((a, b) => pulsesOf(a) - pulsesOf(b)).map((point) => dotOf(sweep, point, across, units));
      const isLevel = !hasPulses && dots.every(({ x }) => x === 0);
      return { name, ink: inkOf(index), isLevel, dots: dots.filter(({ x, y }) => Number.isFinite(y) && (isLevel || x > 0)) };
    });
  };

/** The difference of the load RMS error to the reference at equal pulse rates, with paired intervals. */
function differenceCurves({ sweeps, against, units }: ContestCurves): Curve[] {
  const { factor, symbol } = displayIn(units, LOAD_ERROR);
  const rates = curveRates(sweeps, against);
  const compared = compareSweeps(sweeps, against, rates);
  return sweeps.map(({ name }, index) => {
    const dots = compared.flatMap(({ pulsesPerMin: x, contenders }): Dot[] => {
      const { mean: value, difference } = contenders[index]?.metrics.loadRmsN ?? {};
      if (value === undefined || difference === undefined || !Number.isFinite(difference.mean)) return [];
      const [y, ciLow, ciHigh] = [difference.mean * factor, difference.ciLow * factor, difference.ciHigh * factor];
      const reach = WHISKER_MAX * (value * factor - y);
      const isShown = name !== against && Number.isFinite(ciLow);
      const whisker = [Math.max(ciLow, y - reach), Math.min(ciHigh, y + reach)] as const;
      const label = `${name} less ${against}: ${y.toPrecision(3)} ${symbol} at ${x.toPrecision(3)} pulses per minute`;
      return [{ x, y, ...(isShown ? { whisker } : {}), isOwn: false, label }];
    });
    return { name, ink: inkOf(index), isLevel: name === against, dots: name === against ? dots.slice(0, 1) : dots };
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

/** Horizontal distance between the whiskers of neighbouring contenders at one rate, px. */
const WHISKER_STEP = 4;

function drawCurve({ ink, isLevel, dots }: Curve, x: Place, y: Place): string {
  if (isLevel) return dots.map((dot) => `<g class="${ink}"><path class="level" d="M${LEFT} ${round(y(dot.y))}H${END}"/></g>`).join('');
  const line = dots.map((dot, index) => `${index === 0 ? 'M' : 'L'}${round(x(dot.x))} ${round(y(dot.y))}`).join('');
  const whiskers = dots.map(({ x: at, whisker }) => {
    if (whisker === undefined) return '';
    const [from, to] = whisker;
    return `M${round(x(at))} ${round(y(from))}V${round(y(to))}m-2.5 0h5M${round(x(at) - 2.5)} ${round(y(from))}h5`;
  });
  const points = dots.map((dot) => {
    const place = `cx="${round(x(dot.x))}" cy="${round(y(dot.y))}"`;
    return `<circle class="dot" ${place} r="${dot.isOwn ? 4.5 : 2.5}"><title>${escapeXml(dot.label)}</title></circle>`;
  });
  const drawn = whiskers.join('');
  const intervals = drawn === '' ? '' : `<path class="whisker" d="${drawn}"/>`;
  return `<g class="${ink}">${intervals}<path class="line" d="${line}"/>${points.join('')}</g>`;
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
  /** What the horizontal axis is for; panels with the same metric have the same axis. */
  readonly across: Across;
  readonly curvesOf: (contest: ContestCurves) => Curve[];
  readonly title: (contest: ContestCurves) => string;
  readonly axisOf: (values: readonly number[]) => Axis;
}

const PANELS: readonly Panel[] = [
  {
    across: 'pulsesPerMin',
    curvesOf: errorCurves('pulsesPerMin'),
    title: () => 'Load error, RMS, against pulses per minute and row',
    axisOf: logAxis,
  },
  {
    across: 'pulsesPerMin',
    curvesOf: differenceCurves,
    title: ({ against, seeds }) => {
      const intervals = `; whiskers: 95 % confidence interval, paired by seed, clipped at ± ${100 * WHISKER_MAX} % of the load error`;
      return `Difference to ${against} at the same pulses per minute and row${seeds.length > 1 ? intervals : ''}`;
    },
    axisOf: logAxis,
  },
  {
    across: 'oilLpm',
    curvesOf: errorCurves('oilLpm'),
    title: ({ units }) => `Load error, RMS, against oil per row, ${displayIn(units, 'litrePerMinute').symbol}`,
    axisOf: linearAxis,
  },
];

/** Draws a panel below `top`. */
function drawPanel({ across, curvesOf, title, axisOf }: Panel, contest: ContestCurves, top: number): string {
  const curves = curvesOf(contest);
  const down = linearAxis(curves.flatMap(({ dots }) => dots.flatMap(({ y, whisker }) => whisker ?? [y])));
  const along = axisOf(errorCurves(across)(contest).flatMap(({ isLevel, dots }) => (isLevel ? [] : dots.map((dot) => dot.x))));
  const [start, bottom] = [top + TITLE, top + TITLE + PANEL];
  const x: Place = (value) => LEFT + along.at(value) * (END - LEFT);
  const y: Place = (value) => bottom - down.at(value) * PANEL;
  const level = down.marks.map(({ value, text }) => {
    return `<path class="rule" d="M${LEFT} ${round(y(value))}H${END}"/>${textAt('faint', LEFT - 7, y(value) + 4, text, 'end')}`;
  });
  const upright = along.marks.map(({ value, text }) => {
    return `<path class="rule" d="M${round(x(value))} ${start}V${bottom}"/>${textAt('faint', x(value), bottom + 14, text, 'middle')}`;
  });
  const heads = [
    textAt('faint', LEFT - 7, top + 10, displayIn(contest.units, LOAD_ERROR).symbol, 'end'),
    textAt('ink', LEFT, top + 10, title(contest)),
  ];
  const isSpread = curves.some(({ dots }) => dots.some(({ whisker }) => whisker !== undefined));
  const drawn = curves.map((curve, index) => {
    const aside = isSpread && !curve.isLevel ? (index - (curves.length - 1) / 2) * WHISKER_STEP : 0;
    return drawCurve(curve, (value) => x(value) + aside, y);
  });
  return [...heads, ...level, ...upright, ...drawn, drawNames(curves, x, y, bottom)].join('\n');
}

/**
 * Draws the sweeps of a contest as SVG: load RMS error against pulses per minute, its difference to the reference at equal pulse rates
 * with paired 95 % confidence intervals, and load RMS error against oil. Each contender is a curve; a baseline is a point, or a level
 * line where it has no pulses. The means have no intervals: those of two contenders may overlap although the difference is certain,
 * because the seeds have most of the variation in common.
 */
export function contestSvg(contest: ContestCurves): string {
  const { title, seeds, sweeps } = contest;
  const names = sweeps.map(({ name }) => name).join(', ');
  const strategies = sweeps.map(contenderText).join(', ');
  const caption = `Each line: one contender, deadband swept; large dot: its own deadband; mean of ${counted(seeds.length, 'seed')}`;
  const step = TITLE + PANEL + FOOT;
  const height = HEAD + PANELS.length * step - 10;
  return svgPicture({ title, label: `${title}: ${names}`, description: `${strategies}. ${caption}.`, height, style: STYLE }, [
    textAt('ink title', LEFT, 22, shortTitle(title)),
    textAt('faint', LEFT, 38, caption),
    ...PANELS.map((panel, index) => drawPanel(panel, contest, HEAD + index * step)),
  ]);
}
