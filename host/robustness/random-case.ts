import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { mersenne } from 'pure-rand/generator/mersenne';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';
import type { Case } from './case.js';
import { LOWERED_AT_S } from './cases.js';

/** A quantity that is drawn between two limits. */
interface Range {
  readonly name: string;
  readonly min: number;
  readonly max: number;
  /** Drawn by its logarithm: of quantities that differ by factors. */
  readonly isLog?: true;
  /** Why these limits. */
  readonly why: string;
}

/** How the value of a quantity reaches the controller: it knows the design, but not how a built machine differs from it. */
interface PartRange extends Range {
  readonly part: string;
  /** The controller keeps the default as its parameter. */
  readonly isUnknown?: true;
}

const known = (part: string, name: string, min: number, max: number, why: string): PartRange => ({ part, name, min, max, why });
const factor = (part: string, name: string, min: number, max: number, why: string): PartRange => ({
  ...known(part, name, min, max, why),
  isLog: true,
});
const unknown = (part: string, name: string, min: number, max: number, why: string): PartRange => ({
  ...factor(part, name, min, max, why),
  isUnknown: true,
});

/**
 * What machines differ in. Limits are our choice, around the defaults: as far as machines of different makers, or one machine
 * over its life, may plausibly differ. A quantity that a controller has as a parameter is known to it, unless a built machine
 * differs from its data sheet in it; `commissioned` adds what an engineer sets for a machine.
 */
// biome-ignore format: a table reads best with one quantity to a line
export const PART_RANGES: readonly PartRange[] = [
  known('row', 'massKg', 65, 130, 'light rows for small seed to heavy rows with attachments'),
  known('row', 'seedKg', 0, 40, 'hopper from empty to full'),
  known('row', 'frictionN', 15, 90, 'new to worn or dirty bushings'),
  known('row', 'closingN', 100, 350, 'spring settings of closing wheels'),
  known('row', 'seedDepthMm', 30, 70, 'small seed to maize in dry soil'),
  factor('wheel', 'contactNPerM', 80000, 300000, 'soft tilled soil to hard untilled soil'),
  factor('wheel', 'contactNsPerM', 1400, 5600, 'a factor of two about the default, as for the stiffness'),
  known('wheel', 'lugHeightMm', 0, 2, 'smooth to coarse tyres'),
  factor('actuator', 'capAreaCm2', 4, 6.2, 'bores of 22.5 to 28 mm'),
  factor('actuator', 'chamberOilMl', 40, 100, 'short pipes to hoses'),
  factor('actuator', 'bulkModulusMpa', 800, 1500, 'rubber hoses to steel pipes'),
  factor('actuator', 'airRatio', 0.001, 0.02, 'bled circuit to foaming oil'),
  factor('accumulator', 'accumulatorMl', 220, 480, 'half a size smaller and larger'),
  unknown('accumulator', 'prechargeAbsoluteKpa', 850, 1500, 'gas lost over some years, or charged at another temperature'),
  factor('accumulator', 'gasThermalS', 4, 10, 'heat exchange of small accumulators'),
  known('liftSpring', 'liftN', 450, 750, 'springs with a tolerance of 25 %'),
  factor('rebound', 'reboundOrificeMm', 1, 1.5, 'a factor of five in damping'),
  unknown('valve', 'valveFlowLpm', 5.6, 11, 'tolerance of small valves, a size more or less'),
  factor('valve', 'returnFlowRatio', 0.75, 1.2, 'flow of the two directions of a valve'),
  factor('valve', 'passageMm', 1, 6, 'flow of cold oil'),
  factor('valve', 'valveLeakMlPerMin', 0.5, 20, 'new to worn seats; harmless to 30 mL/min'),
  known('valve', 'moveMs', 1.5, 2.5, 'spread of a valve of this size'),
  known('rail', 'railNominalKpa', 13000, 18000, 'tractors with pressures of 130 to 180 bar'),
  known('rail', 'railDroopKpaPerLpm', 0, 40, 'good pump to long hoses'),
  known('rail', 'returnRiseKpaPerLpm', 0, 5, 'free return to a shared one'),
  unknown('rail', 'returnKpa', 100, 700, 'free return to a shared one'),
  unknown('sensors', 'loadLagHz', 3.5, 7, 'fluid couplings from cold to warm'),
  factor('sensors', 'loadNoiseN', 0.3, 10, 'a fifth of an ADC count to twice the default'),
  known('sensors', 'loadGainRatio', 0.93, 1.07, 'accuracy of a load sensor behind a fluid coupling'),
  known('sensors', 'loadOffsetN', -60, 60, 'zero before the first re-zero'),
  known('sensors', 'loadDriftNPerMin', -3, 3, 'about the typical drift of 2 N/min'),
  known('sensors', 'loadDriftNPerC', -1, 1, 'twice the default in both directions'),
  factor('sensors', 'pressureNoiseKpa', 1, 30, 'a fifth of an ADC count to twice the default'),
  factor('accelerometer', 'accelerationNoiseMps2PerRootHz', 0.001, 0.01, 'MEMS parts, and vibration of the bracket'),
  known('accelerometer', 'accelerationBiasMps2', -0.3, 0.3, 'three times the typical offset after calibration'),
  known('accelerometer', 'accelerationScaleRatio', 0.95, 1.05, 'sensitivity of MEMS parts over temperature'),
  known('accelerometer', 'accelerationTiltDeg', -6, 6, 'twice the typical tilt of a bracket'),
  known('accelerometer', 'accelerationMountRatio', 0.7, 1, 'on the row unit to two thirds along the arm'),
  known('frame', 'lowerS', 1.5, 4, 'fast to slow lift cylinders'),
  known('frame', 'bounceHz', 1.4, 2.6, 'wide to narrow toolbars on tyres'),
  known('frame', 'bounceDampingRatio', 0.1, 0.3, 'about the typical range of tyres'),
  known('frame', 'frameWaveM', 0.8, 2, 'one wheel to wheels in tandem'),
  known('spread', 'liftSpreadMm', 0, 30, 'bent toolbars and worn bushings'),
  known('spread', 'accelerationBiasSpreadMps2', 0, 0.2, 'twice the typical spread between rows'),
  known('spread', 'flowSpreadRatio', 0.02, 0.1, 'tolerance within a batch of valves'),
];

/** What fields differ in: tilled to rough fields, soft to hard soil. Our choice around classes C to E and the default soil. */
// biome-ignore format: a table reads best with one quantity to a line
export const FIELD_RANGES: readonly Range[] = [
  { name: 'roughnessCm3', min: 256, max: 3000, isLog: true, why: 'class C to the middle of class E' },
  { name: 'waviness', min: 1.8, max: 2.3, why: 'exponents found on roads and fields scatter about 2' },
  { name: 'soilMinN', min: 150, max: 500, why: 'half to twice the default' },
  { name: 'soilMaxN', min: 800, max: 1600, why: 'two to four thirds of the default' },
  { name: 'patchMinM', min: 3, max: 8, why: 'about the default' },
  { name: 'patchMaxM', min: 12, max: 40, why: 'about the default' },
  { name: 'soilEdgeM', min: 0.1, max: 0.3, why: 'the typical range' },
  { name: 'soilNoiseRatio', min: 0.03, max: 0.15, why: 'even to cloddy soil' },
  { name: 'stoneEveryM', min: 30, max: 500, isLog: true, why: 'stony to clean fields' },
  { name: 'stoneHeightMm', min: 20, max: 70, why: 'about the default' },
];

/** How the machine is driven. Our choice. */
// biome-ignore format: a table reads best with one quantity to a line
export const DRIVE_RANGES: readonly Range[] = [
  { name: 'speedMps', min: 2, max: 4.5, why: 'planting speeds' },
  { name: 'targetLoadN', min: 300, max: 700, why: 'the light and the lower half of the medium band of gauge-wheel load' },
  { name: 'oilC', min: 5, max: 75, why: 'a cool morning to a hot afternoon' },
  { name: 'airC', min: 0, max: 35, why: 'planting weather' },
  { name: 'gradePercent', min: -8, max: 8, why: 'gentle slopes' },
  { name: 'sideSlopePercent', min: -8, max: 8, why: 'gentle slopes' },
];

/** Share of machines whose rows have an accelerometer. Our choice. */
const WITH_ACCELEROMETER = 0.75;
/** Digits of a drawn value, so that files can be read. */
const DIGITS = 4;

function draw(random: RandomGenerator, { min, max, isLog }: Range): number {
  const share = uniformFloat64(random);
  const value = isLog ? min * (max / min) ** share : min + (max - min) * share;
  return Number(value.toPrecision(DIGITS));
}

const drawAll = (random: RandomGenerator, ranges: readonly Range[]): Record<string, number> =>
  Object.fromEntries(ranges.map((range) => [range.name, draw(random, range)]));

function drawParts(random: RandomGenerator): Record<string, Record<string, number>> {
  const parts: Record<string, Record<string, number>> = {};
  for (const range of PART_RANGES) parts[range.part] = { ...parts[range.part], [range.name]: draw(random, range) };
  return parts;
}

/** Half of a full hopper, kg. */
const HALF_SEED_KG = 20;
const GRAVITY_MPS2 = 9.80665;

/** What an engineer sets for a machine, beyond the quantities that have the name of a parameter: what its drawings tell. */
function commissioned({ row = {}, liftSpring = {} }: ReturnType<typeof drawParts>): Record<string, number> {
  const movingMassKg = (row.massKg ?? 0) + HALF_SEED_KG;
  const freeLoadMaxN = movingMassKg * GRAVITY_MPS2 - (liftSpring.liftN ?? 0) - (row.closingN ?? 0);
  return { movingMassKg, freeLoadMaxN };
}

/**
 * Draws a machine, a field and a drive; what is not drawn is as on the default machine. The pass begins with the frame lifted, so
 * that the load sensors are zeroed.
 * @param seed of the draw; the same seed gives the same case
 * @param parameters defaults of the controller's parameters
 */
export function randomCase(seed: number, parameters: Readonly<Record<string, number>>): Case {
  // Mersenne twister: the first numbers of some other generators hardly depend on a small seed.
  const random = mersenne(seed);
  const parts = drawParts(random);
  const field = drawAll(random, FIELD_RANGES);
  const drive = drawAll(random, DRIVE_RANGES);
  const hasAccelerometer = uniformFloat64(random) < WITH_ACCELEROMETER;
  const names = PART_RANGES.filter(({ isUnknown, name }) => isUnknown && name in parameters).map(({ name }) => name);
  return {
    name: `machine ${seed}${hasAccelerometer ? '' : ', no accelerometer'}`,
    group: 'random',
    machine: 'with-accelerometer',
    parts: { ...parts, accelerometer: hasAccelerometer ? (parts.accelerometer ?? {}) : 'none' },
    scenario: {
      field,
      drive: [
        { atS: 0, lowered: false, ...drive },
        { atS: LOWERED_AT_S, lowered: true },
      ],
      parameters: { ...commissioned(parts), ...Object.fromEntries(names.map((name) => [name, parameters[name] ?? 0])) },
    },
  };
}
