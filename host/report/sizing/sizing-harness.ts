import type { Segment } from '../../sizing/harness.js';
import type { Sizing } from '../../sizing/size-machine.js';
import type { SizingInput } from '../../sizing/sizing-input.js';
import { drawing, junction, line, polyline, rect, textAt, verticalText, WIDTH } from './sizing-drawing.js';
import { gauge, kindAt, plain, type System, withUnit } from './sizing-units.js';

const [LEFT, RIGHT] = [112, WIDTH - 20];
const WIRE_Y = 60;
const CHART_TOP = 250;
const CHART_HEIGHT = 130;
const HEIGHT = 450;

const show = (value: number, path: string, system: System): string => plain(withUnit(value, kindAt(path), system));
/** Returns the x of a row. */
const xOf = (index: number, count: number): number => LEFT + ((index + 1) * (RIGHT - LEFT)) / count;

/** Bank, wires and rows, with the current and the drop of each segment below it. */
function wires(segments: readonly Segment[], isStar: boolean): string[] {
  const count = segments.length;
  const parts = [
    rect(14, WIRE_Y - 24, 68, 48, 'heavy'),
    textAt(48, WIRE_Y - 2, 'bank', 'middle', 'strong'),
    textAt(48, WIRE_Y + 13, 'queue', 'middle'),
  ];
  segments.forEach(({ row, fittedA, fittedDropV }, index) => {
    const x = xOf(index, count);
    const from = index === 0 ? 82 : xOf(index - 1, count);
    // The wires of a star leave the bank one above the other.
    const lane = WIRE_Y - 20 - (index * 22) / count;
    const wire = isStar
      ? polyline(
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
    parts.push(wire, ...(isStar ? [] : [junction(x, WIRE_Y), line(x, WIRE_Y, x, WIRE_Y + 14)]));
    parts.push(
      rect(x - 7, WIRE_Y + 14, 14, 14),
      verticalText(middle + 4, WIRE_Y + 36, `${fittedA.toFixed(1)} A, −${fittedDropV.toFixed(3)} V`),
    );
    if (count <= 24 || row % 2 === 0 || row === 1) parts.push(textAt(x, WIRE_Y - (isStar ? 50 : 10), String(row), 'middle'));
  });
  return parts;
}

/** Voltage at each row compared with the pull-in voltage. */
function voltages({ harness }: Sizing, feedV: number): string[] {
  const { segments } = harness;
  const isCold = harness.lastRowColdV / harness.pullInColdV < harness.lastRowHotV / harness.pullInHotV;
  const pullInV = isCold ? harness.pullInColdV : harness.pullInHotV;
  const [minV, maxV] = [Math.min(pullInV, ...segments.map(({ farEndV }) => farEndV)) - 0.3, Math.max(feedV, 1.1 * pullInV) + 0.3];
  const y = (volts: number): number => CHART_TOP + (CHART_HEIGHT * (maxV - volts)) / (maxV - minV);
  const corners = segments.map(({ farEndV }, index) => [xOf(index, segments.length), y(farEndV)] as const);
  const last = segments.at(-1)?.farEndV ?? feedV;
  return [
    line(LEFT - 14, CHART_TOP, LEFT - 14, CHART_TOP + CHART_HEIGHT, 'thin'),
    polyline([[LEFT - 14, y(feedV)], ...corners], 'heavy'),
    ...corners.map(([x, top]) => junction(x, top)),
    line(LEFT - 14, y(pullInV), RIGHT, y(pullInV), 'dash'),
    line(LEFT - 14, y(1.1 * pullInV), RIGHT, y(1.1 * pullInV), 'dot'),
    textAt(LEFT - 20, y(feedV) + 4, `${feedV.toFixed(2)} V`, 'end'),
    textAt(RIGHT, y(last) - 8, `${last.toFixed(2)} V`, 'end', 'strong'),
    textAt(LEFT, y(pullInV) + 14, `dashed: pull-in voltage, ${pullInV.toFixed(2)} V, ${isCold ? 'cold' : 'hot'}`),
    textAt(LEFT, y(1.1 * pullInV) - 5, 'dotted: with 10 % reserve'),
  ];
}

/** Returns the longer arm of the harness: worst-case current and drop of each segment, and the voltage at each row. */
export function harnessDrawing(input: SizingInput, sizing: Sizing, system: System): string {
  const { segments, armRows } = sizing.harness;
  const isStar = input.starWired === 1;
  const [first] = segments;
  const feedV = first === undefined ? 0 : first.farEndV + first.fittedDropV;
  const arms = input.harnessArms === 2 ? `longer of two arms, ${armRows} of ${input.rowCount} rows` : `all ${armRows} rows in one arm`;
  const lead = show(input.leadM, 'leadM', system);
  const facts = `AWG ${gauge(input.wireAwg)}, ${isStar ? `${lead} to the first row` : `lead ${lead}`}, ${show(input.rowSpacingM, 'rowSpacingM', system)} between rows; up to ${input.strokesAtOnce} strokes at once, ${isStar ? 'in any row' : 'at the far end'}`;
  const title = `Harness, ${isStar ? 'star' : 'daisy chain'}: ${arms}`;
  return drawing(
    title,
    'Each segment with its current and its voltage drop over both conductors; below, the voltage at each row.',
    HEIGHT,
    [
      ...wires(segments, isStar),
      textAt(LEFT - 14, CHART_TOP - 26, 'voltage at each row, lowest supply voltage, worse temperature', 'start', 'strong'),
      ...voltages(sizing, feedV),
      textAt(14, HEIGHT - 30, facts),
      textAt(14, HEIGHT - 12, 'Vertical text: current in the segment, and its voltage drop over both conductors.'),
    ],
  );
}
