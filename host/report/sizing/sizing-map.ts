import { ATMOSPHERE_KPA } from '../../../shared/physics.js';
import type { Sizing } from '../../sizing/size-machine.js';
import type { SizingInput } from '../../sizing/sizing-input.js';
import { axisMarks } from '../form/svg.js';
import { circle, drawing, line, polyline, rect, type Stroke, textAt, WIDTH } from './sizing-drawing.js';
import { converted, kindAt, kindOf, type System, withUnit } from './sizing-units.js';

const [LEFT, RIGHT, TOP, BOTTOM] = [76, WIDTH - 20, 56, 350];

/** A pressure marked on the map. */
interface Mark {
  readonly kpa: number;
  readonly name: string;
  readonly stroke: Stroke;
}

function marksFor(input: SizingInput, { force, accumulator, oil }: Sizing): Mark[] {
  const gas: Mark[] =
    accumulator === undefined
      ? []
      : [
          { kpa: accumulator.prechargeColdKpa - ATMOSPHERE_KPA, name: 'precharge, cold gas (gauge)', stroke: 'dot' },
          { kpa: accumulator.prechargeHotKpa - ATMOSPHERE_KPA, name: 'precharge, hot gas (gauge)', stroke: 'dot' },
        ];
  return [
    { kpa: input.returnKpa, name: 'return line', stroke: 'faint' },
    ...gas,
    { kpa: force.workMinKpa, name: 'lowest working pressure', stroke: 'ink' },
    { kpa: force.workTypicalKpa, name: 'typical working pressure', stroke: 'ink' },
    { kpa: force.workMaxKpa, name: 'highest working pressure', stroke: 'ink' },
    { kpa: oil.warm.railKpa, name: 'rail at peak flow', stroke: 'dash' },
    { kpa: input.railNominalKpa, name: 'rail', stroke: 'heavy' },
    { kpa: input.pressureAtNinetyPercentKpa, name: 'sensor at 90 % of supply', stroke: 'dash' },
  ];
}

/** Returns a lane for each mark, so that close marks are one above the other. */
function lanesFor(places: readonly number[]): number[] {
  const ends: number[] = [];
  return places.map((x) => {
    const lane = ends.findIndex((end) => x - end > 20);
    const taken = lane === -1 ? ends.length : lane;
    ends[taken] = x;
    return taken;
  });
}

/** Scales from pressure and force to the drawing, and their ranges. */
interface Scales {
  readonly x: (kpa: number) => number;
  readonly y: (newton: number) => number;
  readonly maxKpa: number;
  readonly minN: number;
  readonly maxN: number;
}

function axes({ x, y, maxKpa, minN, maxN }: Scales, system: System): string[] {
  const [pressure, force] = [kindOf('kilopascal')[system], kindOf('newton')[system]];
  const across = axisMarks(0, converted(maxKpa, pressure), 8).flatMap(({ value, text }) => [
    line(x(value / pressure.factor), BOTTOM, x(value / pressure.factor), BOTTOM + 5, 'thin'),
    textAt(x(value / pressure.factor), BOTTOM + 18, text, 'middle'),
  ]);
  const up = axisMarks(converted(minN, force), converted(maxN, force), 7).flatMap(({ value, text }) => [
    line(LEFT, y(value / force.factor), RIGHT, y(value / force.factor), 'faint'),
    textAt(LEFT - 6, y(value / force.factor) + 4, text, 'end'),
  ]);
  return [
    ...across,
    ...up,
    line(LEFT, BOTTOM, RIGHT, BOTTOM, 'thin'),
    line(LEFT, TOP, LEFT, BOTTOM, 'thin'),
    textAt(RIGHT, BOTTOM + 34, `chamber pressure, ${pressure.symbol} gauge`, 'end', 'strong'),
    textAt(8, 14, `down force at the row, ${force.symbol}`, 'start', 'strong'),
  ];
}

/** Down force against pressure at three heights of the row, which differ in linkage ratio. */
function forceLines({ force }: Sizing, { x, y, maxKpa }: Scales): string[] {
  const cases = [
    [force.newtonPerBarRaised, 'dot', 'upper stop'],
    [force.newtonPerBar, 'heavy', 'level'],
    [force.newtonPerBarLowered, 'dash', 'lower stop'],
  ] as const;
  return cases.flatMap(([perBar, stroke, text], index) => {
    const at = (kpa: number): number => y(force.downForceMinN + (perBar * kpa) / 100);
    // Labelled where the lines are apart.
    const kpa = maxKpa * 0.93;
    return [
      polyline(
        [
          [x(0), at(0)],
          [x(maxKpa), at(maxKpa)],
        ],
        stroke,
      ),
      textAt(x(kpa), at(kpa) + (index === 0 ? -12 : index === 1 ? 4 : 22), text, 'end', 'strong halo'),
    ];
  });
}

/** Returns down force against chamber pressure, with the limits of gas, rail, working range and sensor. */
export function mapDrawing(input: SizingInput, sizing: Sizing, system: System): string {
  const marks = marksFor(input, sizing);
  const { force } = sizing;
  const maxKpa = 1.04 * Math.max(...marks.map(({ kpa }) => kpa));
  const minN = Math.min(0, force.downForceMinN);
  const maxN = force.downForceMinN + (Math.max(force.newtonPerBarRaised, force.newtonPerBarLowered) * maxKpa) / 100;
  const x = (kpa: number): number => LEFT + ((RIGHT - LEFT) * kpa) / maxKpa;
  const y = (newton: number): number => BOTTOM - ((BOTTOM - TOP) * (newton - minN)) / (maxN - minN);
  const scales = { x, y, maxKpa, minN, maxN };
  const lanes = lanesFor(marks.map(({ kpa }) => x(kpa)));
  const markLines = marks.flatMap(({ kpa, stroke }, index) => {
    const top = TOP - 12 - 20 * ((lanes[index] ?? 0) % 2) + 20 * Math.floor((lanes[index] ?? 0) / 2) * 2;
    return [
      line(x(kpa), top, x(kpa), BOTTOM, stroke),
      circle(x(kpa), top, 9, 'ground'),
      textAt(x(kpa), top + 4, String(index + 1), 'middle'),
    ];
  });
  const legend = marks.map(({ kpa, name }, index) => {
    const entry = `${index + 1}  ${name}: ${withUnit(kpa, kindAt('workKpa'), system)}`;
    return textAt(14 + 285 * (index % 3), BOTTOM + 66 + 19 * Math.floor(index / 3), entry);
  });
  const band = rect(x(force.workMinKpa), TOP, Math.max(0.5, x(force.workMaxKpa) - x(force.workMinKpa)), BOTTOM - TOP, 'hatched');
  const hatch =
    '<defs><pattern id="hatch" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="faint" x1="0" y1="0" x2="0" y2="9"/></pattern></defs>';
  const description = `Hatched: working range. ${marks.map(({ name, kpa }, index) => `${index + 1}: ${name}, ${withUnit(kpa, kindAt('workKpa'), system)}`).join('; ')}.`;
  const key = textAt(
    14,
    BOTTOM + 66 + 19 * Math.ceil(marks.length / 3) + 2,
    'Hatched: working range. Down force minus the lift spring: level (solid), upper stop (dotted), lower stop (dashed).',
  );
  return drawing('Operating map: down force against chamber pressure', description, BOTTOM + 140, [
    hatch,
    band,
    ...axes(scales, system),
    ...forceLines(sizing, scales),
    ...markLines,
    ...legend,
    key,
  ]);
}
