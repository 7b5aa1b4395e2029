import type { Changes } from '../figures/variant.js';
import type { Case, Group } from './case.js';

type Details = Omit<Case, 'name' | 'group'>;
const ofGroup =
  (group: Group) =>
  (name: string, details: Details): Case => ({ name, group, ...details });

const sensor = ofGroup('sensors');
const hydraulic = ofGroup('hydraulics');
const machine = ofGroup('machine');
const field = ofGroup('field');
const fault = ofGroup('faults');

/** Events begin after the load has settled, s. */
const AT_S = 6;

/** One event from `AT_S` on, in all rows unless it says otherwise. */
const event = (what: string, keys: Changes = {}): Changes => ({ events: [{ atS: AT_S, what, row: 'all', ...keys }] });
const bankEvent = (what: string, keys: Changes = {}): Changes => ({ events: [{ atS: AT_S, what, ...keys }] });
const accelerometer = (quantities: Changes): Details => ({ parts: { accelerometer: quantities } });
const sensors = (quantities: Changes): Details => ({ parts: { sensors: quantities } });
const part = (name: string, quantities: Changes, parameters?: Changes): Details => ({
  parts: { [name]: quantities },
  ...(parameters === undefined ? {} : { scenario: { parameters } }),
});

/**
 * The frame is lowered this long after the start, s: time for a zero, which begins when the frame has had the time to come up. The slowest frame
 * needs 4 s for that, settling 0.6 s, and a window 0.4 s.
 */
export const LOWERED_AT_S = 6;
/** A pass that begins with the frame lifted, so that the load sensors are zeroed. */
const LOWERED = {
  drive: [
    { atS: 0, lowered: false },
    { atS: LOWERED_AT_S, lowered: true },
  ],
};
/** A headland turn, with time for a new zero. */
const TURN = {
  drive: [
    { atS: 0, lowered: true },
    { atS: 10, lowered: false },
    { atS: 15, lowered: true },
  ],
};
const atSpeed = (speedMps: number): Changes => ({ drive: [{ atS: 0, speedMps }] });

/** The typical toolbar: it bounces on its tyres, which smooth the ground over a metre. */
const BOUNCING = { bounceHz: 1.8, frameWaveM: 1 };

/** Noise of a third of an ADC count in load and pressure, and none. */
const QUIET = { loadNoiseN: 0.5, pressureNoiseKpa: 2.5 };
const SILENT = { loadNoiseN: 0, pressureNoiseKpa: 0 };

const SENSORS: readonly Case[] = [
  sensor('accelerometer bias 0.1 m/s²', accelerometer({ accelerationBiasMps2: 0.1 })),
  sensor('accelerometer bias 0.2 m/s²', accelerometer({ accelerationBiasMps2: 0.2 })),
  sensor('accelerometer bias 0.5 m/s²', accelerometer({ accelerationBiasMps2: 0.5 })),
  sensor('accelerometer scale 0.9', accelerometer({ accelerationScaleRatio: 0.9 })),
  sensor('accelerometer scale 1.1', accelerometer({ accelerationScaleRatio: 1.1 })),
  sensor('accelerometer tilted 3°', accelerometer({ accelerationTiltDeg: 3 })),
  sensor('accelerometer tilted 10°', accelerometer({ accelerationTiltDeg: 10 })),
  sensor('gravity left in the acceleration', accelerometer({ accelerationGravityRatio: 1 })),
  sensor('gravity left in, tilted 10°', accelerometer({ accelerationGravityRatio: 1, accelerationTiltDeg: 10 })),
  sensor('accelerometer at 0.8 of the arm', accelerometer({ accelerationMountRatio: 0.8 })),
  sensor('accelerometer at 0.5 of the arm', accelerometer({ accelerationMountRatio: 0.5 })),
  sensor('accelerometer noise doubled', accelerometer({ accelerationNoiseMps2PerRootHz: 0.0134 })),
  sensor('accelerometer gain halved', { scenario: event('acceleration-scale', { scaleRatio: 0.5 }), wanted: 1.3 }),
  sensor('accelerometer dead but noisy', { scenario: event('acceleration-sensor-noise-only'), wanted: 1.3 }),
  sensor('accelerometer open', {
    scenario: event('acceleration-sensor-open'),
    expected: ['accelerationOpen', 'accelerationFrozen'],
    wanted: 1.3,
  }),
  sensor('no accelerometer', { machine: 'ideal', wanted: 1.35 }),
  sensor('quiet sensors, a third of a count', sensors(QUIET)),
  sensor('silent sensors', {
    parts: { sensors: SILENT, accelerometer: { accelerationNoiseMps2PerRootHz: 0 } },
  }),
  sensor('10-bit ADC', sensors({ adcFullScaleCounts: 1024 })),
  sensor('16-bit ADC', sensors({ adcFullScaleCounts: 65535 })),
  sensor('10-bit ADC and quiet sensors', sensors({ adcFullScaleCounts: 1024, ...QUIET })),
  sensor('load sensor lag 3 Hz, 5 Hz assumed', part('sensors', { loadLagHz: 3 }, { loadLagHz: 5 })),
  sensor('load sensor lag 10 Hz, 5 Hz assumed', part('sensors', { loadLagHz: 10 }, { loadLagHz: 5 })),
  sensor('load gain 0.9', sensors({ loadGainRatio: 0.9 })),
  sensor('load gain 1.1', sensors({ loadGainRatio: 1.1 })),
  sensor('load +250 N, zeroed before the pass', {
    scenario: { ...LOWERED, events: [{ atS: 0, what: 'load-offset', row: 'all', offsetN: 250 }] },
    expected: ['loadHigh'],
  }),
  sensor('load −250 N, zeroed before the pass', {
    scenario: { ...LOWERED, events: [{ atS: 0, what: 'load-offset', row: 'all', offsetN: -250 }] },
    expected: ['loadLow'],
  }),
  // Nothing tells this from a harder soil until the next zero: the limit is the offset itself over the nominal error.
  sensor('load +250 N within the pass', { scenario: event('load-offset', { offsetN: 250 }), expected: ['loadHigh'], wanted: 4 }),
  sensor('load −250 N within the pass', { scenario: event('load-offset', { offsetN: -250 }), expected: ['loadLow'], wanted: 4 }),
  sensor('load drifts 10 N/min', sensors({ loadDriftNPerMin: 10 })),
  sensor('load drifts 30 N/min', sensors({ loadDriftNPerMin: 30 })),
  sensor('pressure +2 bar', { scenario: event('pressure-offset', { offsetKpa: 200 }) }),
  sensor('pressure −4 bar', { scenario: event('pressure-offset', { offsetKpa: -400 }) }),
];

const HYDRAULICS: readonly Case[] = [
  hydraulic('valve flow 0.6 of nominal', part('valve', { valveFlowLpm: 4.8 }, { valveFlowLpm: 8 })),
  hydraulic('valve flow 1.6 of nominal', part('valve', { valveFlowLpm: 12.8 }, { valveFlowLpm: 8 })),
  hydraulic('return flow 0.7 of supply', part('valve', { returnFlowRatio: 0.7 })),
  hydraulic('return flow 1.4 of supply', part('valve', { returnFlowRatio: 1.4 })),
  hydraulic('supply valve suddenly 0.5 of its flow', { scenario: event('flow-change', { valve: 'supply', flowRatio: 0.5 }) }),
  hydraulic('strokes of 1.5 ms', part('valve', { moveMs: 1.5 })),
  hydraulic('leaks of 10 mL/min', part('valve', { valveLeakMlPerMin: 10 })),
  hydraulic('leaks of 30 mL/min', part('valve', { valveLeakMlPerMin: 30 })),
  hydraulic('precharge 12 → 4 bar at once', { scenario: event('gas-loss', { leftRatio: 1 / 3, overS: 0 }) }),
  hydraulic('precharge 12 → 4 bar in a minute', {
    scenario: { events: [{ atS: 0, what: 'gas-loss', row: 'all', leftRatio: 1 / 3, overS: 60 }] },
  }),
  hydraulic('precharge 8 bar, 12 assumed', part('accumulator', { prechargeAbsoluteKpa: 800 }, { prechargeAbsoluteKpa: 1200 })),
  hydraulic('precharge 16 bar, 12 assumed', part('accumulator', { prechargeAbsoluteKpa: 1600 }, { prechargeAbsoluteKpa: 1200 })),
  hydraulic('3 % of air in the oil', part('actuator', { airRatio: 0.03 })),
  hydraulic('oil at −5 °C', { scenario: { drive: [{ atS: 0, oilC: -5 }] } }),
  hydraulic('oil at 80 °C', { scenario: { drive: [{ atS: 0, oilC: 80 }] } }),
  hydraulic('rail sags to 0.7', { scenario: bankEvent('rail-loss', { leftRatio: 0.7 }) }),
  hydraulic('rail sags to 0.5', { scenario: bankEvent('rail-loss', { leftRatio: 0.5 }), expected: ['railLow'] }),
  hydraulic('rail droops 40 kPa per L/min', part('rail', { railDroopKpaPerLpm: 40 })),
  hydraulic('return line at 8 bar, 2 assumed', part('rail', { returnKpa: 800 }, { returnKpa: 200 })),
];

const MACHINES: readonly Case[] = [
  machine('hopper empty', part('row', { seedKg: 0 })),
  machine('hopper full', part('row', { seedKg: 40 })),
  // With the lift spring that 45 kg more need: otherwise the chamber would be empty in soft soil.
  machine('row of 130 kg', {
    parts: { row: { massKg: 130 }, liftSpring: { liftN: 1040 } },
    scenario: { parameters: { movingMassKg: 150, freeLoadMaxN: 210 } },
  }),
  machine('friction 100 N', part('row', { frictionN: 100 })),
  machine('closing wheels 400 N', part('row', { closingN: 400 })),
  machine('soft contact', part('wheel', { contactNPerM: 75000, contactNsPerM: 2000 })),
  machine('stiff contact', part('wheel', { contactNPerM: 300000, contactNsPerM: 4000 })),
  machine('lugs of 3 mm', part('wheel', { lugHeightMm: 3 })),
  machine('wheels of 200 mm radius', part('wheel', { wheelRadiusMm: 200 })),
  machine('toolbar bounces at 1.8 Hz', part('frame', BOUNCING)),
  machine('toolbar bounces at 2.5 Hz, damping 0.15', part('frame', { ...BOUNCING, bounceHz: 2.5, bounceDampingRatio: 0.15 })),
  machine('bouncing toolbar, accelerometer at 0.8', {
    parts: { frame: BOUNCING, accelerometer: { accelerationMountRatio: 0.8 } },
  }),
  machine('bouncing toolbar, no accelerometer', { machine: 'ideal', parts: { frame: BOUNCING }, wanted: 1.35 }),
  machine('lowered at the start', { scenario: LOWERED }),
  machine('lowered in 1.2 s, heights differ by 20 mm', {
    parts: { frame: { lowerS: 1.2 }, spread: { liftSpreadMm: 20 } },
    scenario: LOWERED,
  }),
  machine('headland turn', { scenario: TURN }),
  machine('24 rows', { scenario: { rows: 24 } }),
];

const FIELDS: readonly Case[] = [
  field('class C', { scenario: { field: { class: 'C' } } }),
  field('class E', { scenario: { field: { class: 'E' } } }),
  field('class E and bouncing toolbar', { scenario: { field: { class: 'E' } }, parts: { frame: BOUNCING } }),
  field('2 m/s', { scenario: atSpeed(2) }),
  field('5 m/s', { scenario: atSpeed(5) }),
  field('5 m/s and bouncing toolbar', { scenario: atSpeed(5), parts: { frame: BOUNCING } }),
  field('hills of 10 cm over 30 m', { hill: { heightM: 0.1, lengthM: 30 } }),
  field('soft soil', { scenario: { field: { soilMinN: 100, soilMaxN: 500 } } }),
  field('hard soil', { scenario: { field: { soilMinN: 600, soilMaxN: 1800 } } }),
  field('soil changes over 0.3 m', { scenario: { field: { soilEdgeM: 0.3 } } }),
  field('a stone every 10 m', { scenario: { field: { stoneEveryM: 10 } } }),
  field('side slope 15 %, uphill 15 %', { scenario: { drive: [{ atS: 0, gradePercent: 15, sideSlopePercent: 15 }] } }),
];

const MISSED = ['supplyMissed', 'returnMissed'] as const;

const FAULT_CASES: readonly Case[] = [
  fault('0.5 % of strokes missed', { scenario: event('missed-strokes', { missRatio: 0.005 }), expected: MISSED }),
  fault('2 % of strokes missed', { scenario: event('missed-strokes', { missRatio: 0.02 }), expected: MISSED }),
  fault('supply valve stuck in row 1', {
    scenario: event('valve-stuck', { row: 1, valve: 'supply' }),
    broken: [1],
    expected: [...MISSED, 'supplyStuck', 'leak'],
  }),
  fault('return valve stuck in row 1', {
    scenario: event('valve-stuck', { row: 1, valve: 'return' }),
    broken: [1],
    expected: [...MISSED, 'returnStuck', 'leak'],
  }),
  fault('supply valve of row 1 leaks 200 mL/min', {
    scenario: event('valve-leak', { row: 1, valve: 'supply', leakMlPerMin: 200 }),
    broken: [1],
    expected: ['leak'],
  }),
  fault('load sensor loose in row 1', {
    scenario: event('load-sensor-jumping', { row: 1 }),
    broken: [1],
    expected: ['loadRate', 'loadHigh', 'loadLow'],
  }),
  fault('pressure sensor loose in row 1', {
    scenario: event('pressure-sensor-jumping', { row: 1 }),
    broken: [1],
    expected: ['pressureRate', ...MISSED, 'leak'],
  }),
  fault('accelerometer loose in row 1', {
    scenario: event('acceleration-sensor-jumping', { row: 1 }),
    broken: [1],
    expected: ['accelerationRate'],
  }),
  fault('load sensor frozen in row 1', { scenario: event('load-sensor-frozen', { row: 1 }), broken: [1], expected: ['loadFrozen'] }),
  fault('pressure sensor open in row 1', {
    scenario: event('pressure-sensor-open', { row: 1 }),
    broken: [1],
    expected: ['pressureOpen', 'pressureFrozen'],
  }),
  fault('supply dips to 7 V for 0.3 s', {
    scenario: bankEvent('brown-out', { sourceV: 7, forS: 0.3 }),
    expected: ['supplyLow', 'supplyCritical'],
  }),
  fault('power off for 1 s', { scenario: bankEvent('power-loss', { forS: 1 }), expected: ['supplyLow', 'supplyCritical'] }),
  fault('controller restarts', { scenario: bankEvent('restart') }),
  fault('rail sensor open', { scenario: bankEvent('rail-sensor-open'), expected: ['railOpen', 'railFrozen'] }),
  fault('speed lost', { scenario: bankEvent('speed-lost'), expected: ['speedInvalid'] }),
  fault('lift switch bounces', { scenario: bankEvent('lift-switch-bounces') }),
];

/** The nominal case; all others are compared with it. */
export const NOMINAL: Case = { name: 'nominal', group: 'nominal' };

/** Each unkind quantity alone, pairs that belong together, and the faults of the timeline. */
export const CASES: readonly Case[] = [...SENSORS, ...HYDRAULICS, ...MACHINES, ...FIELDS, ...FAULT_CASES];
