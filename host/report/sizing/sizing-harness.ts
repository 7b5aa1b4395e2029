import type { Given } from '../../sizing/given.js';
import type { Segment } from '../../sizing/harness.js';
import type { Sizing } from '../../sizing/size-machine.js';
import { box, drawing, joint, line, upwards, WIDE, way, words } from './sizing-drawing.js';
import { gauge, kindAt, plain, type System, withUnit } from './sizing-units.js';

const [LEFT, RIGHT] = [112, WIDE - 20];
const WIRE_Y = 60;
const CHART_TOP = 250;
const CHART_HEIGHT = 130;
const HEIGHT = 450;

const say = (value: number, path: string, system: System): string => plain(withUnit(value, kindAt(path), system));
const short = (value: number, digits: number): string => value.toFixed(digits);

/** Where each row stands. */
const xOf = (index: number, count: number): number => LEFT + ((index + 1) * (RIGHT - LEFT)) / count;

/** Bank, wires and rows; what each segment carries and loses stands beneath it. */
function wires(segments: readonly Segment[], isStar: boolean): string[] {
  const count = segments.length;
  const parts = [
    box(14, WIRE_Y - 24, 68, 48, 'heavy'),
    words(48, WIRE_Y - 2, 'bank', 'middle', 'strong'),
    words(48, WIRE_Y + 13, 'queue', 'middle'),
  ];
  segments.forEach(({ row, fittedA, fittedDropV }, index) => {
    const x = xOf(index, count);
    const from = index === 0 ? 82 : xOf(index - 1, count);
    // A star's wires leave the bank one above the other.
    const lane = WIRE_Y - 20 - (index * 22) / count;
    const wire = isStar
      ? way(
          [
            [82, WIRE_Y + 20 - (40 * index) / count],
            [94, lane],
            [x, lane],
            [x, WIRE_Y + 14],
          ],
          'thin',
        )
      : line(from, WIRE_Y, x, WIRE_Y, index === 0 ? 'heavy' : 'ink');
    const middle = isStar ? x : (Math.max(from, LEFT - 14) + x) / 2;
    parts.push(wire, ...(isStar ? [] : [joint(x, WIRE_Y), line(x, WIRE_Y, x, WIRE_Y + 14)]));
    parts.push(box(x - 7, WIRE_Y + 14, 14, 14), upwards(middle + 4, WIRE_Y + 36, `${short(fittedA, 1)} A, −${short(fittedDropV, 3)} V`));
    if (count <= 24 || row % 2 === 0 || row === 1) parts.push(words(x, WIRE_Y - (isStar ? 50 : 10), String(row), 'middle'));
  });
  return parts;
}

/** Voltage at each row against the one at which a stroke is sure. */
function voltages({ harness }: Sizing, fedV: number): string[] {
  const { segments } = harness;
  const isCold = harness.lastRowColdV / harness.surelyMovesColdV < harness.lastRowHotV / harness.surelyMovesHotV;
  const sureV = isCold ? harness.surelyMovesColdV : harness.surelyMovesHotV;
  const [least, most] = [Math.min(sureV, ...segments.map(({ farV }) => farV)) - 0.3, Math.max(fedV, 1.1 * sureV) + 0.3];
  const y = (volts: number): number => CHART_TOP + (CHART_HEIGHT * (most - volts)) / (most - least);
  const corners = segments.map(({ farV }, index) => [xOf(index, segments.length), y(farV)] as const);
  const last = segments.at(-1)?.farV ?? fedV;
  return [
    line(LEFT - 14, CHART_TOP, LEFT - 14, CHART_TOP + CHART_HEIGHT, 'thin'),
    way([[LEFT - 14, y(fedV)], ...corners], 'heavy'),
    ...corners.map(([x, top]) => joint(x, top)),
    line(LEFT - 14, y(sureV), RIGHT, y(sureV), 'dash'),
    line(LEFT - 14, y(1.1 * sureV), RIGHT, y(1.1 * sureV), 'dot'),
    words(LEFT - 20, y(fedV) + 4, `${short(fedV, 2)} V`, 'end'),
    words(RIGHT, y(last) - 8, `${short(last, 2)} V`, 'end', 'strong'),
    words(LEFT, y(sureV) + 14, `dashed: a stroke is sure from ${short(sureV, 2)} V, ${isCold ? 'cold' : 'hot'}`),
    words(LEFT, y(1.1 * sureV) - 5, 'dotted: with a tenth in reserve'),
  ];
}

/** The harness, its longer arm: what segments carry and lose in the worst case, and what voltage is left. */
export function harnessDrawing(given: Given, sizing: Sizing, system: System): string {
  const { segments, armRows } = sizing.harness;
  const isStar = given.starWired === 1;
  const [first] = segments;
  const fedV = first === undefined ? 0 : first.farV + first.fittedDropV;
  const arms = given.harnessArms === 2 ? `the longer of two arms, ${armRows} of ${given.rowCount} rows` : `all ${armRows} rows in one arm`;
  const lead = say(given.leadM, 'leadM', system);
  const facts = `AWG ${gauge(given.wireAwg)}, ${isStar ? `${lead} to the first row` : `lead ${lead}`}, ${say(given.rowSpacingM, 'rowSpacingM', system)} between rows; up to ${given.strokesAtOnce} strokes at once, ${isStar ? 'in any row' : 'at the far end'}`;
  const title = `Harness, ${isStar ? 'a star' : 'a daisy chain'}: ${arms}`;
  return drawing(
    title,
    'Each segment with its current and the voltage lost in it, there and back; below, the voltage left at each row.',
    HEIGHT,
    [
      ...wires(segments, isStar),
      words(LEFT - 14, CHART_TOP - 26, 'voltage at each row, lowest supply, worse temperature', 'start', 'strong'),
      ...voltages(sizing, fedV),
      words(14, HEIGHT - 30, facts),
      words(14, HEIGHT - 12, 'Upright words: current in the segment, and voltage lost in it, there and back.'),
    ],
  );
}
