import { join } from 'node:path';
import { studentInterval } from '../assess/interval.js';
import { TOOL_ROOT } from '../common/project.js';
import { type Contender, type ContestMetric, type ContestRun, runContest, type Sweep } from '../contest/contest.js';
import { type CurvePoint, compareSweeps, type EqualPulses, interpolate } from '../contest/equal-pulses.js';
import { readParameterFile } from '../contract/parameter-values.js';
import { defaultSettings, type SimulatedRun } from '../simulate/run.js';
import { defaultVariant, type MeasuredMetric, type MeasurementSetup, machineVariant, meanOf, runSeeds, variant } from './measurement.js';
import { closingDelaysMs, type ValveName } from './missed-close.js';

type ReferenceMetric = 'loadRmsN' | 'pulsesPerMin' | 'inBandPercent' | 'oilLpm';

/** The ideal machine's rows with an accelerometer on class D at 3 m/s, 450 N. */
function reference(setup: MeasurementSetup, runs: readonly SimulatedRun[]): MeasuredMetric[] {
  const measured = (
    name: string,
    metric: ReferenceMetric,
    decimals: number,
    unit: string,
    target: MeasuredMetric['target'],
  ): MeasuredMetric => ({
    name: `class D, 3 m/s, accelerometer: ${name}`,
    measured: meanOf(runs, metric),
    decimals,
    unit,
    target,
    details: `120 s, 4 rows, ideal machine; seeds: ${setup.seeds}`,
  });
  return [
    measured('load RMS error', 'loadRmsN', 1, 'N', { max: 60 }),
    measured('pulses', 'pulsesPerMin', 0, '/min', { max: 105 }),
    measured('time in band', 'inBandPercent', 1, '%', { min: 97 }),
    measured('oil', 'oilLpm', 2, 'L/min', { max: 0.4 }),
  ];
}

/** What the imperfections of the default machine and field may cost: 8 % of a reference metric. Our choice. */
const IMPERFECT_MAX = 1.08;

/** The default machine on the default field against the ideal one, on the same seeds. */
function imperfect(speedMps: number, ideal: readonly SimulatedRun[], runs: readonly SimulatedRun[]): MeasuredMetric[] {
  const ratio = (name: string, metric: ReferenceMetric, decimals: number, target: MeasuredMetric['target']): MeasuredMetric => {
    const [idealMean, mean] = [meanOf(ideal, metric), meanOf(runs, metric)];
    return {
      name: `the default machine against the ideal one, ${speedMps} m/s: ${name}`,
      measured: mean / idealMean,
      decimals: 3,
      unit: '',
      target,
      details: `${mean.toFixed(decimals)} against ${idealMean.toFixed(decimals)}`,
    };
  };
  return [
    ratio('load RMS error', 'loadRmsN', 1, { max: IMPERFECT_MAX }),
    ratio('pulses', 'pulsesPerMin', 0, { max: IMPERFECT_MAX }),
    ratio('time in band', 'inBandPercent', 1, { min: 1 / IMPERFECT_MAX }),
    ratio('oil', 'oilLpm', 2, { max: IMPERFECT_MAX }),
  ];
}

/** The reference metrics on the ideal machine, and how much worse they are on the default one, also at 5 m/s. */
export async function measureReference(setup: MeasurementSetup): Promise<MeasuredMetric[]> {
  const fast = { drive: [{ atS: 0, speedMps: 5 }] };
  const ideal = await runSeeds(setup, variant(setup, 'reference', {}));
  const typical = await runSeeds(setup, defaultVariant(setup, 'default', {}));
  const idealFast = await runSeeds(setup, variant(setup, 'reference-5-mps', fast));
  const typicalFast = await runSeeds(setup, defaultVariant(setup, 'default-5-mps', fast));
  return [...reference(setup, ideal), ...imperfect(3, ideal, typical), ...imperfect(5, idealFast, typicalFast)];
}

/** Maps of the soil that are wrong all the time: quantities of the machine's preview, and what happens to every row. */
const WRONG_MAPS: readonly { readonly preview?: object; readonly event?: object }[] = [
  { event: { what: 'soil-ahead-gain', gainRatio: -1 } },
  { event: { what: 'soil-ahead-other-row' } },
  { event: { what: 'soil-ahead-delayed' } },
  { preview: { soilAheadWrongRatio: 1 } },
];

/** The reference field with a map of the soil that is right, and the worst of those that are wrong against none. */
export async function measureSoilAhead(setup: MeasurementSetup): Promise<MeasuredMetric[]> {
  const fitted = { soilAheadFitted: 1 };
  const runsWith = (name: string, preview: object, event?: object): Promise<SimulatedRun[]> => {
    const machine = machineVariant(setup, `map-${name}`, { preview });
    const events = event === undefined ? [] : [{ atS: 0, row: 'all', ...event }];
    return runSeeds(setup, variant(setup, `soil-ahead-${name}`, { machine, events }));
  };
  const right = await runsWith('right', fitted);
  const noneN = meanOf(await runsWith('none', {}), 'loadRmsN');
  const wrongN: number[] = [];
  for (const [index, { preview, event }] of WRONG_MAPS.entries())
    wrongN.push(meanOf(await runsWith(`wrong-${index}`, { ...fitted, ...preview }, event), 'loadRmsN'));
  const details = `120 s, 4 rows; seeds: ${setup.seeds}`;
  const name = 'class D, 3 m/s, soil known 0.4 s ahead';
  return [
    { name: `${name}: load RMS error`, measured: meanOf(right, 'loadRmsN'), decimals: 1, unit: 'N', target: { max: 52 }, details },
    { name: `${name}: pulses`, measured: meanOf(right, 'pulsesPerMin'), decimals: 0, unit: '/min', target: { max: 110 }, details },
    {
      name: 'a map that is inverted, of another row, late or wrong, against none: load RMS error, worst',
      measured: Math.max(...wrongN) / noneN,
      decimals: 3,
      unit: '',
      target: { max: 1.05 },
      details: `${wrongN.map((one) => one.toFixed(1)).join(', ')} N against ${noneN.toFixed(1)} N`,
    },
  ];
}

/** Load RMS error over another metric, both as means over the seeds, one point per point of a sweep. */
function curveOf(sweep: Sweep | undefined, over: ContestMetric): CurvePoint[] {
  const mean = (runs: readonly ContestRun[], metric: ContestMetric): number =>
    studentInterval(runs.map(({ metrics }) => metrics[metric])).mean;
  return (sweep?.points ?? []).map(({ runs }) => [mean(runs, over), mean(runs, 'loadRmsN')]);
}

/** Deadband scales for valves that may pulse more often. */
const NARROW_SCALES = [0.5, 0.6, 0.7, 0.85, 1, 1.2, 1.5];

/** Valves of 12 L/min; the heavier armature needs more coil current. */
const LARGE_VALVES = { valve: { valveFlowLpm: 12, coilOhm: 1.8, pullA: 1.6 } };
/** Pulses per minute at which they are judged: a fifth more than the default valves may have. Our choice. */
const LARGE_VALVES_PULSES = 125;

/** The ideal machine with valves of 12 L/min. */
export async function measureLargeValves(setup: MeasurementSetup): Promise<MeasuredMetric[]> {
  const scenario = variant(setup, 'large-valves', { machine: machineVariant(setup, 'large-valves-machine', LARGE_VALVES) });
  const contenders: Contender[] = [{ name: 'large valves', settings: defaultSettings(scenario) }];
  const [sweep] = await runContest({ ...setup, scenario, contenders, scales: NARROW_SCALES }, (done, all) =>
    setup.showProgress(`large valves: ${done} of ${all}`),
  );
  return [
    {
      name: `the same with valves of 12 L/min, at ${LARGE_VALVES_PULSES} pulses/min: load RMS error`,
      measured: interpolate(curveOf(sweep, 'pulsesPerMin'), LARGE_VALVES_PULSES),
      decimals: 1,
      unit: 'N',
      target: { max: 52 },
      details: `deadbands of ${NARROW_SCALES.join(', ')} times the default`,
    },
  ];
}

const CONTEST_SCALES = [0.35, 0.5, 0.7, 1, 1.4];

/** Predictive against the tuned threshold strategy, at the pulse rate of the latter. */
export async function measureContest(setup: MeasurementSetup): Promise<MeasuredMetric[]> {
  const scenario = variant(setup, 'contest', {});
  const defaults = defaultSettings(scenario);
  const contender = (name: string): Contender => {
    const file = join(TOOL_ROOT, 'vectors', 'parameters', `${name}.yaml`);
    const parameters = readParameterFile(file, setup.binaries.controller.description.contract);
    return { name, settings: { ...defaults, parameters: { ...defaults.parameters, ...parameters } } };
  };
  const contenders = [contender('threshold'), { name: 'predictive', settings: defaults }, contender('no-accelerometer')];
  const sweeps = await runContest({ ...setup, scenario, contenders, scales: CONTEST_SCALES }, (done, all) =>
    setup.showProgress(`contest: ${done} of ${all}`),
  );
  const tuned = sweeps[0]?.points.find(({ scale }) => scale === 1)?.runs.map(({ metrics }) => metrics.pulsesPerMin) ?? [];
  const rate = studentInterval(tuned).mean;
  const [equal] = compareSweeps(sweeps, 'threshold', [rate]) as [EqualPulses];
  const ratio = (name: string, metric: Exclude<ContestMetric, 'pulsesPerMin'>, description: string, max: number): MeasuredMetric => {
    const compared = equal.contenders.find((one) => one.name === name);
    const { mean = Number.NaN, ciLow: from = Number.NaN, ciHigh: to = Number.NaN } = compared?.metrics[metric].ratio ?? {};
    return {
      name: `against tuned threshold, at its ${rate.toFixed(0)} pulses/min: ${description}`,
      measured: mean,
      decimals: 2,
      unit: '',
      target: { max },
      details: setup.seeds === 1 ? 'one seed' : `95 % interval ${from.toFixed(2)} to ${to.toFixed(2)}`,
    };
  };
  return [
    ratio('predictive', 'loadRmsN', 'load RMS error with an accelerometer', 0.85),
    ratio('no-accelerometer', 'loadRmsN', 'load RMS error without', 1),
    ratio('predictive', 'oilLpm', 'oil with an accelerometer', 0.6),
    ratio('no-accelerometer', 'oilLpm', 'oil without', 0.6),
  ];
}

/** 2 % of strokes missed, against none missed on the same fields. */
export async function measureMissedStrokes(setup: MeasurementSetup): Promise<MeasuredMetric[]> {
  const missed = (name: string, machine: string) =>
    variant(setup, name, { machine, events: [{ atS: 0, what: 'missed-strokes', row: 'all', missRatio: 0.02 }] });
  const measure = async (rows: string, machine: string): Promise<MeasuredMetric> => {
    const noneN = meanOf(await runSeeds(setup, variant(setup, `none-${machine}`, { machine })), 'loadRmsN');
    const missedN = meanOf(await runSeeds(setup, missed(`missed-${machine}`, machine)), 'loadRmsN');
    return {
      name: `2 % of strokes missed, ${rows}: load RMS error against none missed`,
      measured: missedN / noneN,
      decimals: 3,
      unit: '',
      target: { max: 1.03 },
      details: `${missedN.toFixed(1)} N against ${noneN.toFixed(1)} N`,
    };
  };
  return [await measure('with an accelerometer', 'ideal-with-accelerometer'), await measure('without', 'ideal')];
}

const CLOSE_RUNS = 40;
/** Limit of each delay, in which the pressure changes by less than 7 bar at the slew of `latchbench size default`. Our choice. */
const LONGEST_MS = 60;

/** One missed close per row in 40 runs, alternately of each valve and on classes C and D; and runs without any. */
async function missedCloses(setup: MeasurementSetup, machine: string, changed: typeof variant): Promise<MeasuredMetric[]> {
  const scenarioOf = (valve: ValveName, roadClass: string) =>
    changed(setup, `missed-${valve}-${roadClass}-${machine}`, {
      seconds: 16,
      field: { class: roadClass },
      events: [{ atS: 7, what: 'missed-closes', row: 'all', valve, count: 1 }],
    });
  const kinds = (['supply', 'return'] as const).flatMap((valve) =>
    ['C', 'D'].map((roadClass) => ({ valve, scenario: scenarioOf(valve, roadClass) })),
  );
  const delaysMs = kinds.flatMap(({ valve, scenario }, kind) =>
    Array.from({ length: CLOSE_RUNS / kinds.length }, (_, run) => {
      setup.showProgress(`missed closes: ${kind * (CLOSE_RUNS / kinds.length) + run} of ${CLOSE_RUNS}`);
      return closingDelaysMs(setup.binaries, scenario, valve, 700 + run);
    }).flat(),
  );
  const sorted = delaysMs.sort((a, b) => a - b);
  const quantile = (share: number): number => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
  const late = sorted.filter((ms) => !(ms <= LONGEST_MS)).length;
  return [
    {
      name: `${machine}: delay from a missed close to the next close stroke, median`,
      measured: quantile(0.5),
      decimals: 0,
      unit: 'ms',
      target: { max: 25 },
      details: `${sorted.length} in ${CLOSE_RUNS} runs, classes C and D; 99th percentile ${quantile(0.99).toFixed(0)} ms`,
    },
    {
      name: `${machine}: the same, longest`,
      measured: quantile(1),
      decimals: 0,
      unit: 'ms',
      target: { max: LONGEST_MS },
      details: `${late} of ${sorted.length} later than ${LONGEST_MS} ms`,
    },
    await measureFalseAlarms(setup, machine, changed),
  ];
}

/** The same on the ideal machine and on the default one. */
export async function measureMissedCloses(setup: MeasurementSetup): Promise<MeasuredMetric[]> {
  return [...(await missedCloses(setup, 'ideal machine', variant)), ...(await missedCloses(setup, 'default machine', defaultVariant))];
}

/** Valve faults in runs of 120 s without a missed stroke. */
async function measureFalseAlarms(setup: MeasurementSetup, machine: string, changed: typeof variant): Promise<MeasuredMetric> {
  const runs = [];
  for (const roadClass of ['C', 'D']) {
    const scenario = changed(setup, `sound-${roadClass}-${machine}`, { seed: 500, field: { class: roadClass } });
    runs.push(...(await runSeeds(setup, scenario)));
  }
  const names = ['supplyMissed', 'returnMissed', 'supplyStuck', 'returnStuck', 'leak'];
  const alarms = runs.flatMap(({ metrics }) => metrics.faults).filter(({ name }) => names.includes(name)).length;
  return {
    name: `${machine}: false alarms of the valves, no stroke missed`,
    measured: alarms,
    decimals: 0,
    unit: '',
    target: { max: 0 },
    details: `${4 * runs.length} rows of 120 s, classes C and D`,
  };
}

/** Wires that carry all coils at once, unlike the default ones: so the queue's delays are measured apart from voltage drop. */
const STRONG_WIRES = { supply: { harnessOhm: 0 } };

/** 48 rows with 4 strokes at once, against one driver for each coil. With that number of rows one seed is enough. */
export async function measureQueue(all: MeasurementSetup): Promise<MeasuredMetric[]> {
  const setup = { ...all, seeds: 1 };
  const machine = machineVariant(setup, 'strong-wires', STRONG_WIRES);
  const scenario = variant(setup, 'forty-eight', { machine, rows: 48, seconds: 60 });
  const limited = await runSeeds(setup, scenario, { strokesAtOnce: 4 });
  const unlimited = await runSeeds(setup, scenario, { strokesAtOnce: 96 });
  const longest = Math.max(...limited.map(({ metrics }) => metrics.over.longestCloseWaitMs.max));
  const [limitedN, unlimitedN] = [meanOf(limited, 'loadRmsN'), meanOf(unlimited, 'loadRmsN')];
  return [
    {
      name: '48 rows, 4 strokes at once: load RMS error against unlimited',
      measured: limitedN / unlimitedN,
      decimals: 3,
      unit: '',
      target: { max: 1.01 },
      details: `${limitedN.toFixed(1)} N against ${unlimitedN.toFixed(1)} N; the rail sags under 48 rows`,
    },
    {
      name: 'the same: longest wait of a stroke that ends a pulse',
      measured: longest,
      decimals: 0,
      unit: 'ms',
      target: { max: 25 },
      details: '48 rows of 60 s',
    },
  ];
}

/** Road class and speed, m/s. */
const FIELDS = ['C2', 'C3', 'C4', 'C5', 'D2', 'D3', 'D4', 'E2'];

/** Coil power of 24 rows against one row with a proportional valve on the same field; one seed on each of the fields. */
export async function measurePower(all: MeasurementSetup): Promise<MeasuredMetric[]> {
  const setup = { ...all, seeds: 1 };
  const powers: { field: string; latchingW: number; latchingLossW: number; proportionalW: number; proportionalLossW: number }[] = [];
  for (const field of FIELDS) {
    const changes = { field: { class: field[0] }, drive: [{ atS: 0, speedMps: Number(field[1]) }], seconds: 30 };
    const latching = await runSeeds(setup, variant(setup, `rows-24-${field}`, { ...changes, rows: 24 }));
    const proportional = await runSeeds(setup, variant(setup, `proportional-${field}`, changes), {}, 'proportional');
    powers.push({
      field,
      latchingW: 24 * meanOf(latching, 'coilW'),
      latchingLossW: 24 * meanOf(latching, 'coilLossW'),
      proportionalW: meanOf(proportional, 'coilW'),
      proportionalLossW: meanOf(proportional, 'coilLossW'),
    });
  }
  const worstRatio = (
    basis: string,
    latching: 'latchingW' | 'latchingLossW',
    proportional: 'proportionalW' | 'proportionalLossW',
  ): MeasuredMetric => {
    const ratios = powers.map((one) => ({ ...one, ratio: one[latching] / one[proportional] }));
    const worst = ratios.reduce((a, b) => (b.ratio > a.ratio ? b : a));
    return {
      name: `coil power of 24 rows against one proportional valve, ${basis}, worst of ${FIELDS.length} fields`,
      measured: worst.ratio,
      decimals: 2,
      unit: '',
      target: { max: 1 },
      details: `${worst[latching].toFixed(1)} W against ${worst[proportional].toFixed(1)} W; ${ratios.map(({ field, ratio }) => `${field} ${ratio.toFixed(2)}`).join(', ')}`,
    };
  };
  return [worstRatio('V·I', 'latchingW', 'proportionalW'), worstRatio('I²R', 'latchingLossW', 'proportionalLossW')];
}

/** A quiet field: class A at 2 m/s, even soil, leaks of 10 mL/min. */
export async function measureQuiet(setup: MeasurementSetup): Promise<MeasuredMetric[]> {
  const scenario = variant(setup, 'quiet', {
    field: { class: 'A', stoneEveryM: 0, soilMinN: 600, soilMaxN: 600, soilNoiseRatio: 0.04 },
    drive: [{ atS: 0, speedMps: 2 }],
    events: [{ atS: 0, what: 'valve-leak', row: 'all', valve: 'return', leakMlPerMin: 10 }],
  });
  const runs = await runSeeds(setup, scenario);
  return [
    {
      name: 'a quiet field with leaks of 10 mL/min: pulses',
      measured: meanOf(runs, 'pulsesPerMin'),
      decimals: 1,
      unit: '/min',
      target: { max: 4 },
      details: `class A, 2 m/s, soil even to 4 %; load RMS error ${meanOf(runs, 'loadRmsN').toFixed(0)} N`,
    },
  ];
}

/** The reference field with a proportional valve, against the valve pair at a 24th of its coil power. */
export async function measureProportional(setup: MeasurementSetup): Promise<MeasuredMetric[]> {
  const scenario = variant(setup, 'proportional', {});
  const proportional = await runSeeds(setup, scenario, {}, 'proportional');
  const proportionalN = meanOf(proportional, 'loadRmsN');
  const contenders = [{ name: 'predictive', settings: defaultSettings(scenario) }];
  const [sweep] = await runContest({ ...setup, scenario, contenders, scales: NARROW_SCALES }, (done, all) =>
    setup.showProgress(`power: ${done} of ${all}`),
  );
  const ratio = (basis: string, metric: 'coilW' | 'coilLossW'): MeasuredMetric => {
    const powerW = meanOf(proportional, metric) / 24;
    const latchingN = interpolate(curveOf(sweep, metric), powerW);
    return {
      name: `against a proportional valve, at a 24th of its coil power, ${basis}: load RMS error`,
      measured: latchingN / proportionalN,
      decimals: 2,
      unit: '',
      target: { max: 1 },
      details: `${latchingN.toFixed(1)} N at ${powerW.toFixed(3)} W against ${proportionalN.toFixed(1)} N`,
    };
  };
  return [ratio('V·I', 'coilW'), ratio('I²R', 'coilLossW')];
}

/** All measurements, in the order of the table. */
export const MEASUREMENTS = [
  measureReference,
  measureSoilAhead,
  measureLargeValves,
  measureContest,
  measureProportional,
  measureMissedStrokes,
  measureMissedCloses,
  measureQueue,
  measurePower,
  measureQuiet,
];
