import type { Given, GivenName } from '../../sizing/given.js';
import type { Sizing } from '../../sizing/size-machine.js';
import { box, drawing, joint, label, line, ring, way, wedge, words } from './sizing-drawing.js';
import { kindOfQuantity } from './sizing-sheet.js';
import { kindAt, plain, type System, withUnit } from './sizing-units.js';

/* One row's circuit with symbols in the manner of ISO 1219-1: filled triangle for oil, open one for gas, squares for positions. */

const RAIL_Y = 50;
const NODE_Y = 250;
const RETURN_Y = 440;
const VALVE_X = 366;
const CYLINDER_X = 690;
const HEIGHT = 510;
/** Side of a valve's position. */
const SIDE = 44;

type Say = (name: GivenName) => string;

/** An open tank, its line ending inside. */
const tank = (x: number, y: number): string =>
  way(
    [
      [x - 20, y],
      [x - 20, y + 18],
      [x + 20, y + 18],
      [x + 20, y],
    ],
    'heavy',
  );

/** Pump of variable displacement that keeps the rail's pressure, its tank and the rail. */
function supplySide(say: Say): string {
  const [x, y] = [80, 245];
  return [
    line(x, y - 24, x, RAIL_Y),
    line(x, y + 24, x, 472),
    tank(x, 462),
    ring(x, y, 24),
    wedge([
      [x, y - 24],
      [x - 8, y - 11],
      [x + 8, y - 11],
    ]),
    line(x - 26, y + 22, x + 24, y - 20),
    wedge([
      [x + 28, y - 24],
      [x + 18, y - 21],
      [x + 23, y - 14],
    ]),
    line(x, RAIL_Y, 830, RAIL_Y, 'heavy'),
    label(x + 38, y - 12, ['tractor pump', say('pumpLpm'), `keeps ${say('railNominalKpa')}`]),
    label(100, 30, [`rail: ${say('railNominalKpa')} at no flow, supply hose ${say('supplyHoseM')} of ${say('supplyHoseMm')} bore`]),
    line(140, RETURN_Y, 830, RETURN_Y, 'heavy'),
    line(140, RETURN_Y, 140, 472),
    tank(140, 462),
    label(190, RETURN_Y + 22, [`return: ${say('returnKpa')} at no flow, hose ${say('returnHoseM')} of ${say('returnHoseMm')} bore`]),
  ].join('');
}

/** A detent: a rod with a notch for each position, and what falls into them. */
const detent = (x: number, y: number): string =>
  way([
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
  wedge([
    [x - 9, y - 3],
    [x - 13, y - 14],
    [x - 5, y - 14],
  ]);

/** A 2/2 valve with a coil that two directions of current work against each other, and a detent; drawn closed. */
function latchingValve(top: number, name: string, say: Say): string {
  const [left, middle, y] = [VALVE_X - SIDE * 1.5, VALVE_X - SIDE / 2, top + SIDE / 2];
  const arrowX = left + SIDE / 2;
  const right = middle + SIDE;
  return [
    box(left, top, SIDE, SIDE),
    box(middle, top, SIDE, SIDE),
    line(arrowX, top + SIDE, arrowX, top + 9),
    line(arrowX, top, arrowX, top + 9),
    wedge([
      [arrowX, top + SIDE],
      [arrowX - 5, top + SIDE - 11],
      [arrowX + 5, top + SIDE - 11],
    ]),
    line(VALVE_X, top, VALVE_X, top + 13),
    line(VALVE_X - 8, top + 13, VALVE_X + 8, top + 13),
    line(VALVE_X, top + SIDE, VALVE_X, top + SIDE - 13),
    line(VALVE_X - 8, top + SIDE - 13, VALVE_X + 8, top + SIDE - 13),
    box(right, y - 13, 26, 26),
    line(right + 4, y + 13, right + 12, y - 13),
    line(right + 14, y - 13, right + 22, y + 13),
    detent(left, y),
    label(left - 46, y - 10, [name, say('valveFlowLpm'), `at ${say('valveFlowDropKpa')}`, 'latching, drawn closed'], 'end'),
  ].join('');
}

/** A converter from pressure to voltage. */
function pressureSensor(say: Say): string {
  const x = 470;
  return [
    line(x, NODE_Y, x, NODE_Y - 26),
    box(x - 16, NODE_Y - 58, 32, 32),
    line(x - 16, NODE_Y - 26, x + 16, NODE_Y - 58, 'thin'),
    words(x - 11, NODE_Y - 44, 'p'),
    words(x + 3, NODE_Y - 31, 'U'),
    joint(x, NODE_Y),
    label(
      x,
      NODE_Y + 20,
      ['pressure sensor', `${say('pressureAtTenPercentKpa')} … ${say('pressureAtNinetyPercentKpa')}`, 'at 10 and 90 % of supply'],
      'middle',
    ),
  ].join('');
}

/** Gas above oil, parted by what keeps them apart; or that there is none. */
function accumulator(given: Given, say: Say): string {
  const x = 585;
  if (given.accumulatorMl === 0) return label(x, NODE_Y - 24, ['no accumulator'], 'middle');
  const top = NODE_Y - 92;
  return [
    line(x, NODE_Y, x, top + 62),
    box(x - 15, top, 30, 62, 'ink', 15),
    line(x - 15, top + 31, x + 15, top + 31),
    wedge(
      [
        [x, top + 29],
        [x - 7, top + 17],
        [x + 7, top + 17],
      ],
      'ink',
    ),
    joint(x, NODE_Y),
    label(x + 24, top - 2, [
      'accumulator',
      `${say('accumulatorMl')} of gas`,
      `precharge ${say('prechargeAbsoluteKpa')} abs.`,
      'STORES ENERGY',
    ]),
  ].join('');
}

/** An orifice beside a check valve that is free when the row rises. */
function rebound(given: Given, say: Say): string {
  if (given.rodAreaCm2 === 0) return label(CYLINDER_X + 34, 338, ['no rebound damping']);
  const [x, y] = [CYLINDER_X + 62, 345];
  return [
    way([
      [CYLINDER_X + 20, y],
      [x + 56, y],
    ]),
    way([
      [x - 22, y],
      [x - 22, y + 34],
      [x + 42, y + 34],
      [x + 42, y],
    ]),
    `<path class="ink" d="M${x} ${y - 9}q10 8 20 0M${x} ${y + 9}q10 -8 20 0"/>`,
    ring(x + 13.5, y + 34, 5, 'ground'),
    way([
      [x + 12, y + 25],
      [x + 21, y + 34],
      [x + 12, y + 43],
    ]),
    box(x + 56, y - 12, 28, 24, 'dash'),
    label(850, y + 72, [`rebound orifice ${say('reboundOrificeMm')}`, 'free when the row rises'], 'end'),
    label(x + 16, y - 38, ['rod-side', 'volume']),
  ].join('');
}

/** Cylinder, row and lift spring. */
function actuator(given: Given, { force }: Sizing, say: Say, system: System): string {
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
    way([
      [VALVE_X, NODE_Y],
      [x, NODE_Y],
      [x, 272],
    ]),
    box(x - 20, 272, 40, 84),
    box(x - 20, 304, 40, 9, 'full'),
    line(x - 3, 313, x - 3, 398),
    line(x + 3, 313, x + 3, 398),
    line(springX - 24, 398, x + 24, 398, 'heavy'),
    ...(given.liftN > 0
      ? [line(springX - 14, 370, springX + 14, 370), way(spring), label(springX - 24, 388, [`lift spring ${say('liftN')}`], 'end')]
      : []),
    label(x + 30, 262, [`piston ${say('capAreaCm2')}`, perBar]),
    label(springX - 30, 416, [`row unit ${say('massKg')}, seed ${say('seedKg')}`], 'end'),
  ].join('');
}

/** Hydraulic circuit of one row. */
export function circuitDrawing(given: Given, sizing: Sizing, system: System): string {
  const say: Say = (name) => plain(withUnit(given[name], kindOfQuantity(name), system));
  const description =
    'Pump and rail feed the chamber through a latching supply valve; a latching return valve empties it into the return line. ' +
    'On the chamber: pressure sensor, accumulator if there is one, and the cylinder that presses the row down.';
  return drawing('Hydraulic circuit of one row', description, HEIGHT, [
    supplySide(say),
    line(VALVE_X, RAIL_Y, VALVE_X, 96),
    joint(VALVE_X, RAIL_Y),
    latchingValve(96, 'supply valve', say),
    line(VALVE_X, 96 + SIDE, VALVE_X, NODE_Y),
    joint(VALVE_X, NODE_Y),
    line(VALVE_X, NODE_Y, VALVE_X, 340),
    latchingValve(340, 'return valve', say),
    line(VALVE_X, 340 + SIDE, VALVE_X, RETURN_Y),
    joint(VALVE_X, RETURN_Y),
    label(VALVE_X - 12, NODE_Y + 4, [`row hose ${say('rowHoseM')}`, `of ${say('rowHoseMm')} bore`], 'end'),
    actuator(given, sizing, say, system),
    pressureSensor(say),
    accumulator(given, say),
    rebound(given, say),
  ]);
}
