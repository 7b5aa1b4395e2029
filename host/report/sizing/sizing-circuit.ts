import type { Sizing } from '../../sizing/size-machine.js';
import type { SizingInput, SizingInputName } from '../../sizing/sizing-input.js';
import { circle, drawing, junction, label, line, polygon, polyline, rect, textAt } from './sizing-drawing.js';
import { kindOfQuantity } from './sizing-sheet.js';
import { kindAt, plain, type System, withUnit } from './sizing-units.js';

/* The circuit of one row, with symbols in the style of ISO 1219-1: filled triangles for oil, open ones for gas, squares for valve positions. */

const RAIL_Y = 50;
const NODE_Y = 250;
const RETURN_Y = 440;
const VALVE_X = 366;
const CYLINDER_X = 690;
const HEIGHT = 510;
/** Side of the square for a valve position. */
const SIDE = 44;

/** Shows an input value with its unit. */
type Show = (name: SizingInputName) => string;

/** An open tank with its line ending inside. */
const tank = (x: number, y: number): string =>
  polyline(
    [
      [x - 20, y],
      [x - 20, y + 18],
      [x + 20, y + 18],
      [x + 20, y],
    ],
    'heavy',
  );

/** The pressure-compensated pump, its tank, the rail and the return line. */
function supplySide(show: Show): string {
  const [x, y] = [80, 245];
  return [
    line(x, y - 24, x, RAIL_Y),
    line(x, y + 24, x, 472),
    tank(x, 462),
    circle(x, y, 24),
    polygon([
      [x, y - 24],
      [x - 8, y - 11],
      [x + 8, y - 11],
    ]),
    line(x - 26, y + 22, x + 24, y - 20),
    polygon([
      [x + 28, y - 24],
      [x + 18, y - 21],
      [x + 23, y - 14],
    ]),
    line(x, RAIL_Y, 830, RAIL_Y, 'heavy'),
    label(x + 38, y - 12, ['tractor pump', show('pumpLpm'), `set to ${show('railNominalKpa')}`]),
    label(100, 30, [`rail: ${show('railNominalKpa')} at zero flow; supply hose ${show('supplyHoseM')}, ${show('supplyHoseMm')} bore`]),
    line(140, RETURN_Y, 830, RETURN_Y, 'heavy'),
    line(140, RETURN_Y, 140, 472),
    tank(140, 462),
    label(190, RETURN_Y + 22, [`return: ${show('returnKpa')} at zero flow; hose ${show('returnHoseM')}, ${show('returnHoseMm')} bore`]),
  ].join('');
}

/** A detent: a rod with a notch for each position, and the wedge that drops into them. */
const detent = (x: number, y: number): string =>
  polyline([
    [x, y - 7],
    [x - 5, y - 7],
    [x - 9, y - 1],
    [x - 13, y - 7],
    [x - 19, y - 7],
    [x - 23, y - 1],
    [x - 27, y - 7],
    [x - 34, y - 7],
    [x - 34, y + 7],
    [x, y + 7],
  ]) +
  polygon([
    [x - 9, y - 3],
    [x - 13, y - 14],
    [x - 5, y - 14],
  ]);

/** A 2/2 valve with a bidirectional coil and a detent, drawn closed. */
function latchingValve(top: number, name: string, flow: string, show: Show): string {
  const [left, middle, y] = [VALVE_X - SIDE * 1.5, VALVE_X - SIDE / 2, top + SIDE / 2];
  const arrowX = left + SIDE / 2;
  const right = middle + SIDE;
  return [
    rect(left, top, SIDE, SIDE),
    rect(middle, top, SIDE, SIDE),
    line(arrowX, top + SIDE, arrowX, top + 9),
    line(arrowX, top, arrowX, top + 9),
    polygon([
      [arrowX, top + SIDE],
      [arrowX - 5, top + SIDE - 11],
      [arrowX + 5, top + SIDE - 11],
    ]),
    line(VALVE_X, top, VALVE_X, top + 13),
    line(VALVE_X - 8, top + 13, VALVE_X + 8, top + 13),
    line(VALVE_X, top + SIDE, VALVE_X, top + SIDE - 13),
    line(VALVE_X - 8, top + SIDE - 13, VALVE_X + 8, top + SIDE - 13),
    rect(right, y - 13, 26, 26),
    line(right + 4, y + 13, right + 12, y - 13),
    line(right + 14, y - 13, right + 22, y + 13),
    detent(left, y),
    label(left - 46, y - 10, [name, flow, `at ${show('valveFlowDropKpa')}`, 'latching, drawn closed'], 'end'),
  ].join('');
}

/** The pressure sensor. */
function pressureSensor(show: Show): string {
  const x = 470;
  return [
    line(x, NODE_Y, x, NODE_Y - 26),
    rect(x - 16, NODE_Y - 58, 32, 32),
    line(x - 16, NODE_Y - 26, x + 16, NODE_Y - 58, 'thin'),
    textAt(x - 11, NODE_Y - 44, 'p'),
    textAt(x + 3, NODE_Y - 31, 'U'),
    junction(x, NODE_Y),
    label(
      x,
      NODE_Y + 20,
      ['pressure sensor', `${show('pressureAtTenPercentKpa')} … ${show('pressureAtNinetyPercentKpa')}`, 'at 10 … 90 % of supply'],
      'middle',
    ),
  ].join('');
}

/** The accumulator, or a note that there is none. */
function accumulator(input: SizingInput, show: Show): string {
  const x = 585;
  if (input.accumulatorMl === 0) return label(x, NODE_Y - 24, ['no accumulator'], 'middle');
  const top = NODE_Y - 92;
  return [
    line(x, NODE_Y, x, top + 62),
    rect(x - 15, top, 30, 62, 'ink', 15),
    line(x - 15, top + 31, x + 15, top + 31),
    polygon(
      [
        [x, top + 29],
        [x - 7, top + 17],
        [x + 7, top + 17],
      ],
      'ink',
    ),
    junction(x, NODE_Y),
    label(x + 24, top - 2, [
      'accumulator',
      `${show('accumulatorMl')} gas`,
      `precharge ${show('prechargeAbsoluteKpa')} abs.`,
      'STORED ENERGY',
    ]),
  ].join('');
}

/** The rebound orifice with its check valve, which opens when the row rises. */
function rebound(input: SizingInput, show: Show): string {
  if (input.rodAreaCm2 === 0) return label(CYLINDER_X + 34, 338, ['no rebound damping']);
  const [x, y] = [CYLINDER_X + 62, 345];
  return [
    polyline([
      [CYLINDER_X + 20, y],
      [x + 56, y],
    ]),
    polyline([
      [x - 22, y],
      [x - 22, y + 34],
      [x + 42, y + 34],
      [x + 42, y],
    ]),
    `<path class="ink" d="M${x} ${y - 9}q10 8 20 0M${x} ${y + 9}q10 -8 20 0"/>`,
    circle(x + 13.5, y + 34, 5, 'ground'),
    polyline([
      [x + 12, y + 25],
      [x + 21, y + 34],
      [x + 12, y + 43],
    ]),
    rect(x + 56, y - 12, 28, 24, 'dash'),
    label(850, y + 72, [`rebound orifice ${show('reboundOrificeMm')}`, 'free flow when the row rises'], 'end'),
    label(x + 16, y - 38, ['rod-side', 'volume']),
  ].join('');
}

/** The cylinder, the row and the lift spring. */
function actuator(input: SizingInput, { force }: Sizing, show: Show, system: System): string {
  const x = CYLINDER_X;
  const springX = x - 62;
  const spring = [
    [springX, 370],
    [springX - 7, 375],
    [springX + 7, 381],
    [springX - 7, 387],
    [springX + 7, 393],
    [springX, 398],
  ] as const;
  const perBar = withUnit(force.newtonPerBar, kindAt('force.newtonPerBar'), system);
  return [
    polyline([
      [VALVE_X, NODE_Y],
      [x, NODE_Y],
      [x, 272],
    ]),
    rect(x - 20, 272, 40, 84),
    rect(x - 20, 304, 40, 9, 'full'),
    line(x - 3, 313, x - 3, 398),
    line(x + 3, 313, x + 3, 398),
    line(springX - 24, 398, x + 24, 398, 'heavy'),
    ...(input.liftN > 0
      ? [line(springX - 14, 370, springX + 14, 370), polyline(spring), label(springX - 24, 388, [`lift spring ${show('liftN')}`], 'end')]
      : []),
    label(x + 30, 262, [`piston ${show('capAreaCm2')}`, perBar]),
    label(springX - 30, 416, [`row unit ${show('massKg')}, seed ${show('seedKg')}`], 'end'),
  ].join('');
}

/** Returns the hydraulic circuit of one row. */
export function circuitDrawing(input: SizingInput, sizing: Sizing, system: System): string {
  const show: Show = (name) => plain(withUnit(input[name], kindOfQuantity(name), system));
  const returnLpm = input.valveFlowLpm * input.returnFlowRatio;
  const returnFlow = plain(withUnit(returnLpm, kindOfQuantity('valveFlowLpm'), system));
  const description =
    'Pump and rail feed the chamber through a latching supply valve; a latching return valve drains it into the return line. ' +
    'Connected to the chamber: pressure sensor, accumulator if fitted, and the cylinder that presses the row down.';
  return drawing('Hydraulic circuit of one row', description, HEIGHT, [
    supplySide(show),
    line(VALVE_X, RAIL_Y, VALVE_X, 96),
    junction(VALVE_X, RAIL_Y),
    latchingValve(96, 'supply valve', show('valveFlowLpm'), show),
    line(VALVE_X, 96 + SIDE, VALVE_X, NODE_Y),
    junction(VALVE_X, NODE_Y),
    line(VALVE_X, NODE_Y, VALVE_X, 340),
    latchingValve(340, 'return valve', returnFlow, show),
    line(VALVE_X, 340 + SIDE, VALVE_X, RETURN_Y),
    junction(VALVE_X, RETURN_Y),
    label(VALVE_X - 12, NODE_Y + 4, [`row hose ${show('rowHoseM')}`, `${show('rowHoseMm')} bore`], 'end'),
    actuator(input, sizing, show, system),
    pressureSensor(show),
    accumulator(input, show),
    rebound(input, show),
  ]);
}
