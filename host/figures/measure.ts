import { join } from 'node:path';
import { TOOL_ROOT } from '../common/project.js';
import { type Contender, type ContestMetric, type ContestRun, runContest, type Sweep } from '../contest/contest.js';
import { type CurvePoint, compareSweeps, type EqualPulses, interpolate, studentInterval } from '../contest/equal-pulses.js';
import { readParameterFile } from '../contract/parameter-values.js';
import { defaultSettings } from '../simulate/run.js';
import { closingDelaysMs, type ValveName } from './missed-close.js';
import { type Line, machineVariant, meanOf, runs, type Setting, variant } from './setting.js';

/** The default machine's rows with an accelerometer on class D at 3 m/s, 450 N. */
export async function measureReference(setting: Setting): Promise<Line[]> {
  const found = await runs(setting, variant(setting, 'reference', {}));
  const line = (
    what: string,
    metric: 'loadRmsN' | 'pulsesPerMin' | 'inBandPercent' | 'oilLpm',
    decimals: number,
    unit: string,
    aim: Line['aim'],
  ): Line => ({
    what: `class D, 3 m/s, accelerometer: ${what}`,
    found: meanOf(found, metric),
    decimals,
    unit,
    aim,
    from: `${setting.seeds} seeds of 120 s, 4 rows`,
  });
  return [
    line('load RMS', 'loadRmsN', 1, 'N', { atMost: 62 }),
    line('pulses', 'pulsesPerMin', 0, '/min', { atMost: 110 }),
    line('load in band', 'inBandPercent', 1, '%', { atLeast: 97 }),
    line('oil', 'oilLpm', 2, 'L/min', { atMost: 0.5 }),
  ];
}

/** Load RMS over another metric, both as means over the seeds, point by point of a sweep. */
function curveOf(sweep: Sweep | undefined, over: ContestMetric): CurvePoint[] {
  const mean = (found: readonly ContestRun[], metric: ContestMetric): number =>
    studentInterval(found.map(({ metrics }) => metrics[metric])).mean;
  return (sweep?.points ?? []).map(({ runs: found }) => [mean(found, over), mean(found, 'loadRmsN')]);
}

/** Narrower deadbands, for valves that may pulse more. */
const NARROWER = [0.5, 0.6, 0.7, 0.85, 1, 1.2, 1.5];

/** Valves of 12 L/min at 230 pulses a minute. */
export async function measureLargeValves(setting: Setting): Promise<Line[]> {
  const scenario = variant(setting, 'large-valves', { machine: 'large-valves-and-accelerometer' });
  const contenders: Contender[] = [{ name: 'large valves', choice: defaultSettings(scenario) }];
  const [sweep] = await runContest({ ...setting, scenario, contenders, scales: NARROWER }, (done, all) =>
    setting.say(`large valves: ${done} of ${all}`),
  );
  const found = interpolate(curveOf(sweep, 'pulsesPerMin'), 230);
  return [
    {
      what: 'the same with valves of 12 L/min, at 230 pulses/min: load RMS',
      found,
      decimals: 1,
      unit: 'N',
      aim: { atMost: 50 },
      from: `deadbands of ${NARROWER.join(', ')} times the default`,
    },
  ];
}

const CONTEST_SCALES = [0.35, 0.5, 0.7, 1, 1.4];

/** Predictive against *threshold* tuned, at the pulses that this one needs. */
export async function measureContest(setting: Setting): Promise<Line[]> {
  const scenario = variant(setting, 'contest', {});
  const usual = defaultSettings(scenario);
  const contender = (name: string): Contender => {
    const file = join(TOOL_ROOT, 'vectors', 'parameters', `${name}.yaml`);
    const parameters = readParameterFile(file, setting.binaries.controller.description.contract);
    return { name, choice: { ...usual, parameters: { ...usual.parameters, ...parameters } } };
  };
  const contenders = [contender('threshold'), { name: 'predictive', choice: usual }, contender('no-accelerometer')];
  const sweeps = await runContest({ ...setting, scenario, contenders, scales: CONTEST_SCALES }, (done, all) =>
    setting.say(`contest: ${done} of ${all}`),
  );
  const tuned = sweeps[0]?.points.find(({ scale }) => scale === 1)?.runs.map(({ metrics }) => metrics.pulsesPerMin) ?? [];
  const rate = studentInterval(tuned).mean;
  const [equal] = compareSweeps(sweeps, 'threshold', [rate]) as [EqualPulses];
  const line = (name: string, metric: Exclude<ContestMetric, 'pulsesPerMin'>, what: string, atMost: number): Line => {
    const compared = equal.contenders.find((one) => one.name === name);
    const { mean = Number.NaN, from = Number.NaN, to = Number.NaN } = compared?.metrics[metric].ratio ?? {};
    return {
      what: `against threshold tuned, at its ${rate.toFixed(0)} pulses/min: ${what}`,
      found: mean,
      decimals: 2,
      unit: '',
      aim: { atMost },
      from: `95 % interval ${from.toFixed(2)} to ${to.toFixed(2)}`,
    };
  };
  return [
    line('predictive', 'loadRmsN', 'load RMS with an accelerometer', 0.85),
    line('no-accelerometer', 'loadRmsN', 'load RMS without', 1),
    line('predictive', 'oilLpm', 'oil with', 0.6),
    line('no-accelerometer', 'oilLpm', 'oil without', 0.6),
  ];
}

/** Two strokes in a hundred missed, against none on the same fields. */
export async function measureMissedStrokes(setting: Setting): Promise<Line[]> {
  const missing = (name: string, machine: string) =>
    variant(setting, name, { machine, events: [{ atS: 0, what: 'missed-strokes', row: 'all', missRatio: 0.02 }] });
  const line = async (what: string, machine: string): Promise<Line> => {
    const without = meanOf(await runs(setting, variant(setting, `none-${machine}`, { machine })), 'loadRmsN');
    const with2 = meanOf(await runs(setting, missing(`missed-${machine}`, machine)), 'loadRmsN');
    return {
      what: `2 % of strokes missed, ${what}: load RMS against none missed`,
      found: with2 / without,
      decimals: 3,
      unit: '',
      aim: { atMost: 1.05 },
      from: `${with2.toFixed(1)} N against ${without.toFixed(1)} N`,
    };
  };
  return [await line('with an accelerometer', 'with-accelerometer'), await line('without', 'default')];
}

const CLOSE_RUNS = 40;

/** One missed close a row in 40 runs, of each valve in turn and on classes C and D in turn; and runs in which none is missed. */
export async function measureMissedCloses(setting: Setting): Promise<Line[]> {
  const scenarioOf = (valve: ValveName, roadClass: string) =>
    variant(setting, `missed-${valve}-${roadClass}`, {
      seconds: 16,
      field: { class: roadClass },
      events: [{ atS: 7, what: 'missed-closes', row: 'all', valve, count: 1 }],
    });
  const kinds = (['supply', 'return'] as const).flatMap((valve) =>
    ['C', 'D'].map((roadClass) => ({ valve, scenario: scenarioOf(valve, roadClass) })),
  );
  const delaysMs = kinds.flatMap(({ valve, scenario }, kind) =>
    Array.from({ length: CLOSE_RUNS / kinds.length }, (_, run) => {
      setting.say(`missed closes: ${kind * (CLOSE_RUNS / kinds.length) + run} of ${CLOSE_RUNS}`);
      return closingDelaysMs(setting.binaries, scenario, valve, 700 + run);
    }).flat(),
  );
  const sorted = delaysMs.sort((a, b) => a - b);
  const at = (share: number): number => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
  const late = sorted.filter((ms) => !(ms <= 50)).length;
  const alarms = await falseAlarms(setting);
  return [
    {
      what: 'a missed close, from its stroke to the next: 99 in 100 within',
      found: at(0.99),
      decimals: 0,
      unit: 'ms',
      aim: { atMost: 50 },
      from: `${sorted.length} in ${CLOSE_RUNS} runs, classes C and D; median ${at(0.5).toFixed(0)} ms`,
    },
    {
      what: 'the same, the latest',
      found: at(1),
      decimals: 0,
      unit: 'ms',
      aim: { atMost: 50 },
      from: `${late} of ${sorted.length} later than 50 ms`,
    },
    alarms,
  ];
}

/** 40 row-runs of 120 s without a missed stroke. */
async function falseAlarms(setting: Setting): Promise<Line> {
  const found = [];
  for (const roadClass of ['C', 'D'])
    found.push(
      ...(await runs({ ...setting, seeds: 5 }, variant(setting, `sound-${roadClass}`, { seed: 500, field: { class: roadClass } }))),
    );
  const names = ['supplyMissed', 'returnMissed', 'supplyStuck', 'returnStuck', 'leak'];
  const alarms = found.flatMap(({ metrics }) => metrics.faults).filter(({ name }) => names.includes(name)).length;
  return {
    what: 'false alarms of the valves, none missed',
    found: alarms,
    decimals: 0,
    unit: '',
    aim: { atMost: 0 },
    from: '40 rows of 120 s, classes C and D',
  };
}

/** Wires that bear all coils at once, which the default ones do not: what waiting costs is then told apart from what the voltage does. */
const STRONG_WIRES = { supply: { harnessOhm: 0 } };

/** 48 rows behind 4 drivers, against one driver for each coil. */
export async function measureQueue(setting: Setting): Promise<Line[]> {
  const machine = machineVariant(setting, 'strong-wires', STRONG_WIRES);
  const scenario = variant(setting, 'forty-eight', { machine, rows: 48, seconds: 60 });
  const few = await runs(setting, scenario, { strokesAtOnce: 4 });
  const many = await runs(setting, scenario, { strokesAtOnce: 96 });
  const longest = Math.max(...few.map(({ metrics }) => metrics.over.longestCloseWaitMs.max));
  const [ours, theirs] = [meanOf(few, 'loadRmsN'), meanOf(many, 'loadRmsN')];
  return [
    {
      what: '48 rows, 4 strokes at once: load RMS against unlimited',
      found: ours / theirs,
      decimals: 3,
      unit: '',
      aim: { atMost: 1.01 },
      from: `${ours.toFixed(1)} N against ${theirs.toFixed(1)} N; the rail sags under 48 rows`,
    },
    {
      what: 'longest wait of the end of a pulse there',
      found: longest,
      decimals: 0,
      unit: 'ms',
      aim: { atMost: 25 },
      from: `${setting.seeds} seeds of 60 s`,
    },
  ];
}

/** Road class and speed, m/s. */
const FIELDS = ['C2', 'C3', 'C4', 'C5', 'D2', 'D3', 'D4', 'E2'];

/** Coil power of 24 rows against one row of a proportional valve on the same field. */
export async function measurePower(setting: Setting): Promise<Line[]> {
  const few = { ...setting, seeds: Math.min(2, setting.seeds) };
  const found: { field: string; ours: number; oursLoss: number; theirs: number; theirsLoss: number }[] = [];
  for (const field of FIELDS) {
    const changes = { field: { class: field[0] }, drive: [{ atS: 0, speedMps: Number(field[1]) }], seconds: 60 };
    const ours = await runs(few, variant(setting, `rows-24-${field}`, { ...changes, rows: 24 }));
    const theirs = await runs(few, variant(setting, `proportional-${field}`, changes), {}, 'proportional');
    found.push({
      field,
      ours: 24 * meanOf(ours, 'coilW'),
      oursLoss: 24 * meanOf(ours, 'coilLossW'),
      theirs: meanOf(theirs, 'coilW'),
      theirsLoss: meanOf(theirs, 'coilLossW'),
    });
  }
  const line = (basis: string, ours: 'ours' | 'oursLoss', theirs: 'theirs' | 'theirsLoss'): Line => {
    const ratios = found.map((one) => ({ ...one, ratio: one[ours] / one[theirs] }));
    const worst = ratios.reduce((a, b) => (b.ratio > a.ratio ? b : a));
    return {
      what: `coil power of 24 rows against one proportional valve, ${basis}, worst of ${FIELDS.length} fields`,
      found: worst.ratio,
      decimals: 2,
      unit: '',
      aim: { atMost: 1 },
      from: `${worst[ours].toFixed(1)} W against ${worst[theirs].toFixed(1)} W; ${ratios.map(({ field, ratio }) => `${field} ${ratio.toFixed(2)}`).join(', ')}`,
    };
  };
  return [line('V·I', 'ours', 'theirs'), line('I²R', 'oursLoss', 'theirsLoss')];
}

/** A quiet field: class A at 2 m/s, even soil, leaks of 10 mL/min. */
export async function measureQuiet(setting: Setting): Promise<Line[]> {
  const scenario = variant(setting, 'quiet', {
    field: { class: 'A', stoneEveryM: 0, soilMinN: 600, soilMaxN: 600, soilNoiseRatio: 0.04 },
    drive: [{ atS: 0, speedMps: 2 }],
    events: [{ atS: 0, what: 'valve-leak', row: 'all', valve: 'return', leakMlPerMin: 10 }],
  });
  const found = await runs(setting, scenario);
  return [
    {
      what: 'a quiet field with leaks of 10 mL/min: pulses',
      found: meanOf(found, 'pulsesPerMin'),
      decimals: 1,
      unit: '/min',
      aim: { atMost: 4 },
      from: `class A, 2 m/s, soil even to 4 %; load RMS ${meanOf(found, 'loadRmsN').toFixed(0)} N`,
    },
  ];
}

/** What a proportional valve reaches on the reference field, against the pair at a twenty-fourth of its coil power. */
export async function measureProportional(setting: Setting): Promise<Line[]> {
  const scenario = variant(setting, 'proportional', {});
  const theirs = await runs(setting, scenario, {}, 'proportional');
  const contenders = [{ name: 'predictive', choice: defaultSettings(scenario) }];
  const [sweep] = await runContest({ ...setting, scenario, contenders, scales: NARROWER }, (done, all) =>
    setting.say(`power: ${done} of ${all}`),
  );
  const line = (basis: string, metric: 'coilW' | 'coilLossW'): Line => {
    const budgetW = meanOf(theirs, metric) / 24;
    const found = interpolate(curveOf(sweep, metric), budgetW);
    const theirsN = meanOf(theirs, 'loadRmsN');
    return {
      what: `against a proportional valve, at a 24th of its coil power, ${basis}: load RMS`,
      found: found / theirsN,
      decimals: 2,
      unit: '',
      aim: { atMost: 1 },
      from: `${found.toFixed(1)} N at ${budgetW.toFixed(3)} W against ${theirsN.toFixed(1)} N`,
    };
  };
  return [line('V·I', 'coilW'), line('I²R', 'coilLossW')];
}

/** All metrics in the order of the table. */
export const MEASURES = [
  measureReference,
  measureLargeValves,
  measureContest,
  measureProportional,
  measureMissedStrokes,
  measureMissedCloses,
  measureQueue,
  measurePower,
  measureQuiet,
];
