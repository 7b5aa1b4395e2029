import { ATMOSPHERE_KPA } from '../../../shared/physics.js';
import type { Given } from '../../sizing/given.js';
import type { Sizing } from '../../sizing/size-machine.js';
import { stepsIn } from '../form/svg.js';
import { box, drawing, line, ring, type Stroke, WIDE, way, words } from './sizing-drawing.js';
import { converted, kindAt, kindOf, type System, withUnit } from './sizing-units.js';

const [LEFT, RIGHT, TOP, BOTTOM] = [76, WIDE - 20, 56, 350];

/** A pressure that matters; one without a place on the map is none. */
interface Limit {
  readonly kpa: number;
  readonly text: string;
  readonly stroke: Stroke;
}

function limitsOf(given: Given, { force, accumulator, oil }: Sizing): Limit[] {
  const gas: Limit[] =
    given.accumulatorMl === 0
      ? []
      : [
          { kpa: accumulator.prechargeColdKpa - ATMOSPHERE_KPA, text: 'precharge, cold gas (gauge)', stroke: 'dot' },
          { kpa: accumulator.prechargeHotKpa - ATMOSPHERE_KPA, text: 'precharge, hot gas (gauge)', stroke: 'dot' },
        ];
  return [
    { kpa: given.returnKpa, text: 'return line', stroke: 'faint' },
    ...gas,
    { kpa: force.workLeastKpa, text: 'lowest working pressure', stroke: 'ink' },
    { kpa: force.workUsualKpa, text: 'usual working pressure', stroke: 'ink' },
    { kpa: force.workMostKpa, text: 'highest working pressure', stroke: 'ink' },
    { kpa: oil.railPeakKpa, text: 'rail at peak flow', stroke: 'dash' },
    { kpa: given.railNominalKpa, text: 'rail', stroke: 'heavy' },
    { kpa: given.pressureAtNinetyPercentKpa, text: 'sensor’s 90 % of supply', stroke: 'dash' },
  ];
}

/** Marks that would lie on each other stand one above the other. */
function heights(places: readonly number[]): number[] {
  const ends: number[] = [];
  return places.map((x) => {
    const lane = ends.findIndex((end) => x - end > 20);
    const taken = lane === -1 ? ends.length : lane;
    ends[taken] = x;
    return taken;
  });
}

/** Scales from pressure and force to the drawing. */
interface Scales {
  readonly x: (kpa: number) => number;
  readonly y: (newton: number) => number;
  readonly mostKpa: number;
  readonly leastN: number;
  readonly mostN: number;
}

function axes({ x, y, mostKpa, leastN, mostN }: Scales, system: System): string[] {
  const [pressure, force] = [kindOf('kilopascal')[system], kindOf('newton')[system]];
  const across = stepsIn(0, converted(mostKpa, pressure), 8).flatMap(({ value, text }) => [
    line(x(value / pressure.factor), BOTTOM, x(value / pressure.factor), BOTTOM + 5, 'thin'),
    words(x(value / pressure.factor), BOTTOM + 18, text, 'middle'),
  ]);
  const up = stepsIn(converted(leastN, force), converted(mostN, force), 7).flatMap(({ value, text }) => [
    line(LEFT, y(value / force.factor), RIGHT, y(value / force.factor), 'faint'),
    words(LEFT - 6, y(value / force.factor) + 4, text, 'end'),
  ]);
  return [
    ...across,
    ...up,
    line(LEFT, BOTTOM, RIGHT, BOTTOM, 'thin'),
    line(LEFT, TOP, LEFT, BOTTOM, 'thin'),
    words(RIGHT, BOTTOM + 34, `chamber pressure, ${pressure.symbol} gauge`, 'end', 'strong'),
    words(8, 14, `down force at the row, ${force.symbol}`, 'start', 'strong'),
  ];
}

/** Down force over pressure at three heights of the row; the lever ratio differs with its travel. */
function forceLines({ force }: Sizing, { x, y, mostKpa }: Scales): string[] {
  const cases = [
    [force.newtonPerBarRaised, 'dot', 'raised'],
    [force.newtonPerBar, 'heavy', 'level'],
    [force.newtonPerBarLowered, 'dash', 'lowered'],
  ] as const;
  return cases.flatMap(([perBar, stroke, text], index) => {
    const at = (kpa: number): number => y(force.downForceLeastN + (perBar * kpa) / 100);
    // Named at different places, where the lines are apart.
    const kpa = mostKpa * 0.93;
    return [
      way(
        [
          [x(0), at(0)],
          [x(mostKpa), at(mostKpa)],
        ],
        stroke,
      ),
      words(x(kpa), at(kpa) + (index === 0 ? -12 : index === 1 ? 4 : 22), text, 'end', 'strong halo'),
    ];
  });
}

/** Down force over chamber pressure with the limits of gas, rail, work and sensor. */
export function mapDrawing(given: Given, sizing: Sizing, system: System): string {
  const limits = limitsOf(given, sizing);
  const { force } = sizing;
  const mostKpa = 1.04 * Math.max(...limits.map(({ kpa }) => kpa));
  const leastN = Math.min(0, force.downForceLeastN);
  const mostN = force.downForceLeastN + (Math.max(force.newtonPerBarRaised, force.newtonPerBarLowered) * mostKpa) / 100;
  const x = (kpa: number): number => LEFT + ((RIGHT - LEFT) * kpa) / mostKpa;
  const y = (newton: number): number => BOTTOM - ((BOTTOM - TOP) * (newton - leastN)) / (mostN - leastN);
  const scales = { x, y, mostKpa, leastN, mostN };
  const lanes = heights(limits.map(({ kpa }) => x(kpa)));
  const marks = limits.flatMap(({ kpa, stroke }, index) => {
    const top = TOP - 12 - 20 * ((lanes[index] ?? 0) % 2) + 20 * Math.floor((lanes[index] ?? 0) / 2) * 2;
    return [line(x(kpa), top, x(kpa), BOTTOM, stroke), ring(x(kpa), top, 9, 'ground'), words(x(kpa), top + 4, String(index + 1), 'middle')];
  });
  const list = limits.map(({ kpa, text }, index) => {
    const at = `${index + 1}  ${text}: ${withUnit(kpa, kindAt('workKpa'), system)}`;
    return words(14 + 285 * (index % 3), BOTTOM + 66 + 19 * Math.floor(index / 3), at);
  });
  const band = box(x(force.workLeastKpa), TOP, Math.max(0.5, x(force.workMostKpa) - x(force.workLeastKpa)), BOTTOM - TOP, 'hatched');
  const hatch =
    '<defs><pattern id="hatch" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="faint" x1="0" y1="0" x2="0" y2="9"/></pattern></defs>';
  const description = `Hatched: the working range. ${limits.map(({ text, kpa }, index) => `${index + 1}: ${text}, ${withUnit(kpa, kindAt('workKpa'), system)}`).join('; ')}.`;
  const key = words(
    14,
    BOTTOM + 66 + 19 * Math.ceil(limits.length / 3) + 2,
    'Hatched: working range. Force lines: level (full), raised (dotted), lowered (dashed), lift spring taken off.',
  );
  return drawing('Operating map: down force over chamber pressure', description, BOTTOM + 140, [
    hatch,
    band,
    ...axes(scales, system),
    ...forceLines(sizing, scales),
    ...marks,
    ...list,
    key,
  ]);
}
