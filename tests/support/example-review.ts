import type {
  Curve,
  MetricChange,
  Opening,
  Parting,
  Review,
  ReviewVerdict,
  RunReview,
  Sight,
  SignalKind,
  SignalParting,
  Snapshot,
  StrokeChange,
  StrokeReview,
  Track,
  Tracks,
  ValveLane,
} from '../../host/review/review.js';
import { AROUND_TICKS, BEFORE_TICKS, OVERVIEW_STRETCHES } from '../../host/review/review.js';
import { RECORDS } from '../../shared/records.js';

/* Reviews made by hand, as a comparison of two builds would give them; noise is a hash, the same each time. */

const noise = (at: number, salt: number): number => (Math.imul(Math.imul(at + 1, 2654435761) ^ (salt * 40503), 2246822519) >>> 8) / 2 ** 24;

const hash = (salt: number): string => Array.from({ length: 64 }, (_, at) => Math.floor(noise(at, salt) * 16).toString(16)).join('');

export const HOSTILE = `<script>alert('x')</script> "quoted" & </script> <img src=http://evil.example/x onerror=alert(1)>`;

/** Least and most of stretches of a signal. */
const curve = (part: Omit<Tracks, 'tracks'>, value: (tick: number, at: number) => readonly [number, number] | null): Curve => {
  const pairs = Array.from({ length: part.stretches }, (_, at) => value(part.first + (at * part.ticks) / part.stretches, at));
  return { least: pairs.map((pair) => pair?.[0] ?? null), most: pairs.map((pair) => pair?.[1] ?? null) };
};

const MODES = ['starting', 'off', 'holding', 'working', 'frozen', 'venting'] as const;
const WISHES = ['hold', 'raise', 'lower'] as const;

/** A signal: its value at a tick, without noise, and how much of that it has. */
interface Shape {
  readonly signal: string;
  readonly row: number;
  readonly unit: string;
  readonly words?: readonly string[];
  readonly noise: number;
  readonly value: (tick: number) => number;
}

const target = (tick: number): number => (tick < 3000 ? 450 : tick < 8000 ? 900 : 600);

const SHAPES: readonly Shape[] = [
  { signal: 'loadN', row: 2, unit: 'N', noise: 90, value: (tick) => target(tick - 120) + 60 * Math.sin(tick / 90) },
  { signal: 'expectedLoadN', row: 2, unit: 'N', noise: 25, value: (tick) => target(tick - 60) + 50 * Math.sin(tick / 90 + 0.3) },
  { signal: 'pressureKpa', row: 2, unit: 'bar', noise: 1.5, value: (tick) => 40 + target(tick - 100) / 25 + 3 * Math.sin(tick / 140) },
  { signal: 'setPointKpa', row: 2, unit: 'bar', noise: 0, value: (tick) => 40 + target(tick) / 25 },
  { signal: 'supplyGain', row: 2, unit: '', noise: 0, value: (tick) => 1 + 0.05 * Math.sin(tick / 2000) },
  { signal: 'wish', row: 2, unit: '', words: WISHES, noise: 0, value: (tick) => Math.floor(tick / 310) % 3 },
  { signal: 'mode', row: 2, unit: '', words: MODES, noise: 0, value: (tick) => (tick < 400 ? 0 : tick < 700 ? 2 : 3) },
  { signal: 'railMv', row: 0, unit: 'V', noise: 0.2, value: (tick) => 12.4 - 0.6 * (noise(Math.floor(tick / 40), 9) > 0.9 ? 1 : 0) },
];

/** A side of a shape: the new one goes its own way from the parting on. */
function sideOf(shape: Shape, part: Omit<Tracks, 'tracks'>, salt: number, shift: (tick: number) => number): Curve {
  return curve(part, (tick, at) => {
    if (shape.words !== undefined) return [shape.value(tick), shape.value(tick)];
    const moved = shift(tick);
    const middle = shape.value(tick - 40 * moved) * (1 + 0.02 * moved);
    if (part.ticks === part.stretches) {
      const value = middle + shape.noise * (noise(tick, salt) - 0.5);
      return [value, value];
    }
    const grain = salt + (moved > 0 ? 100 : 0);
    return [middle - shape.noise * noise(at, grain), middle + shape.noise * noise(at, grain + 1)];
  });
}

function tracksOf(part: Omit<Tracks, 'tracks'>, parting: number, salt: number, shapes: readonly Shape[]): Track[] {
  return shapes.map((shape, index) => {
    const own = salt * 20 + index * 2;
    const old = sideOf(shape, part, own, () => 0);
    const fresh = sideOf(shape, part, own, (tick) => (tick < parting ? 0 : 1));
    const { signal, row, unit, words } = shape;
    return { signal, row, unit, words, old: index === 4 ? null : old, new: fresh };
  });
}

function lanesOf(ticks: number, parting: number, salt: number): ValveLane[] {
  const valves = [2, 3].flatMap((row) => (['supply', 'return'] as const).map((valve) => ({ row, valve })));
  return valves.map(({ row, valve }, index) => {
    const old: Opening[] = [];
    for (let tick = 200 + index * 50; tick < ticks - 100; tick += 120 + Math.floor(noise(tick, salt + index) * 400)) {
      old.push([tick, tick + 8 + Math.floor(noise(tick, salt + index + 7) * 30)]);
    }
    const moved = old.map(([open, close]): Opening => (open < parting ? [open, close] : [open + 3, close + (close % 3)]));
    return { row, valve, old, new: moved.filter((_, at) => at !== 20) };
  });
}

function changesOf(lanes: readonly ValveLane[]): StrokeChange[] {
  const changes = lanes.flatMap(({ row, valve, old, new: now }) =>
    old.flatMap(([open, close], at): StrokeChange[] => {
      if (at === 20) return [open, close].map((tick, edge) => ({ row, valve, order: edge === 0 ? 'open' : 'close', old: tick }));
      const other = now[at > 20 ? at - 1 : at] ?? [open, close];
      return [
        ...(other[0] === open ? [] : [{ row, valve, order: 'open' as const, old: open, new: other[0] }]),
        ...(other[1] === close ? [] : [{ row, valve, order: 'close' as const, old: close, new: other[1] }]),
      ];
    }),
  );
  const added: StrokeChange = { row: 3, valve: 'return', order: 'open', new: 4321 };
  return [...changes, added].sort((a, b) => (a.new ?? a.old ?? 0) - (b.new ?? b.old ?? 0));
}

const NO_STROKES: StrokeReview = { old: 210, new: 210, added: 0, removed: 0, earlier: 0, later: 0, earliest: 0, latest: 0, changes: [] };

function strokesOf(lanes: readonly ValveLane[]): StrokeReview {
  const changes = changesOf(lanes);
  const shifts = changes.flatMap(({ old, new: now }) => (old === undefined || now === undefined ? [] : [now - old]));
  const sum = (side: 'old' | 'new'): number => lanes.reduce((all, lane) => all + 2 * lane[side].length, 0);
  return {
    old: sum('old'),
    new: sum('new'),
    added: changes.filter(({ old }) => old === undefined).length,
    removed: changes.filter((change) => change.new === undefined).length,
    earlier: shifts.filter((shift) => shift < 0).length,
    later: shifts.filter((shift) => shift > 0).length,
    earliest: Math.min(0, ...shifts),
    latest: Math.max(0, ...shifts),
    changes: changes.slice(0, 1000),
  };
}

/** How many of a kind of record a row or a bank has. */
const MANY: Readonly<Record<string, number>> = { valve: 2, channel: 3, rowFaultKind: 24, channelKind: 4, bankFault: 13 };
const OF_BANK = ['bank', 'channelKind', 'bankFault'];

/** All values of the contract's records, as a snapshot of a bank or a row holds them. */
function snapshotOf(row: number, salt: number): Snapshot {
  const isHere = (each: string): boolean => OF_BANK.includes(each) === (row === 0);
  const records = RECORDS.flatMap(({ name, kind, at, fields }) =>
    Object.entries(at).flatMap(([place, each]) => {
      if (kind === 'input' || name === 'Parameters' || !isHere(each)) return [];
      const many = MANY[each] ?? 1;
      return Array.from({ length: many }, (_, index) => ({ name: many > 1 ? `${place}[${index}]` : place, kind, fields }));
    }),
  );
  const values = records.flatMap(({ name, kind, fields }, record) =>
    fields.map((field, at) => {
      const isHeld = field.type !== 'f32';
      const value = isHeld ? String(Math.floor(noise(at, salt) * 3)) : (noise(at, salt + record) * 1000).toPrecision(7);
      const differs = noise(at, salt + record + 1) > 0.85;
      const signal = kind === 'state' ? `${name}.${field.name}` : field.name;
      return { signal, kind: kind as SignalKind, unit: field.unit, old: value, new: differs ? `${value}1` : value, differs };
    }),
  );
  const special: Snapshot['values'] = [
    { signal: 'slopeNpms', kind: 'probe', unit: 'newtonPerMillisecond', old: '0', new: '-0', differs: true },
    { signal: 'quotient', kind: 'probe', unit: 'ratio', old: '1', new: 'NaN', differs: true },
    { signal: 'gone', kind: 'state', unit: 'none', old: '7', new: '–', differs: true },
  ];
  return { row, values: [...special, ...values] };
}

function sightOf(ticks: number, parting: number, salt: number): Sight {
  const overview = { first: 0, ticks, stretches: OVERVIEW_STRETCHES };
  const around = { first: Math.max(0, parting - BEFORE_TICKS), ticks: AROUND_TICKS, stretches: AROUND_TICKS };
  return {
    overview: { ...overview, tracks: tracksOf(overview, parting, salt, SHAPES) },
    around: { ...around, tracks: tracksOf(around, parting, salt, SHAPES) },
    lanes: lanesOf(ticks, parting, salt),
    states: [snapshotOf(0, salt), snapshotOf(2, salt + 1)],
  };
}

const partingAt = (tick: number, salt: number): Parting => ({
  tick,
  row: 2,
  signal: 'expectedLoadN',
  kind: 'probe',
  unit: 'newton',
  old: `${(450 + salt).toFixed(3)}`,
  new: `${(451.25 + salt).toFixed(3)}`,
  line: {
    file: 'assembly/controller/predictor.ts',
    line: 118,
    column: 3,
    function: 'expectLoad',
    text: '  o.expectedLoadN = row.loadN + c.lead * (o.loadTrend + WEIGHT * o.pressureTrend);',
  },
  oldLine: {
    file: 'assembly/controller/predictor.ts',
    line: 118,
    column: 3,
    function: 'expectLoad',
    text: '  o.expectedLoadN = row.loadN + c.lead * o.loadTrend;',
  },
  via: { file: 'assembly/controller/predictor.ts', line: 24, column: 1, function: '', text: 'const WEIGHT: f32 = 0.4;' },
  because: 'the first value that differs is written here, and everything that the line reads is still the same on both sides',
});

const METRICS: readonly MetricChange[] = [
  { name: 'pulsesPerMin', unit: 'perMinute', help: 'pulses of a row a minute', old: 41.25, new: 47.5, worseBy: 0.1515 },
  { name: 'loadRmsN', unit: 'newton', help: 'root of the mean square of the load’s error', old: 62.113, new: 63.02, worseBy: 0.0146 },
  { name: 'inBandPercent', unit: 'percent', help: 'time in which the load is within its band', old: 83.2, new: 83.2, worseBy: 0 },
  { name: 'missedCloses', unit: 'none', help: 'closes that were missed', old: 0, new: 0, worseBy: 0 },
  { name: 'settleMs', unit: 'millisecond', help: 'time to settle after a step', old: null, new: 412, worseBy: 0 },
  { name: 'liftOffPercent', unit: 'percent', help: 'time without any load', old: 2.4, new: 1.1, worseBy: -0.5417 },
];

function signalsOf(first: Parting, count: number): SignalParting[] {
  const fields = RECORDS.flatMap(({ kind, fields }) => (kind === 'input' ? [] : fields.map((field) => ({ kind, field }))));
  const later = fields.slice(0, count - 1).map(({ kind, field }, at) => ({
    tick: first.tick + Math.floor(at / 3),
    row: 2,
    signal: field.name,
    kind: kind as SignalKind,
    unit: field.unit,
    old: String(at),
    new: at % 7 === 0 ? 'NaN' : at % 5 === 0 ? '-0' : String(at + 0.5),
  }));
  return [first, ...later];
}

/** A run that differs, or does not. */
export function exampleRun(verdict: ReviewVerdict, index: number, more: Partial<RunReview> = {}): RunReview {
  const ticks = 12_000;
  const parting = 3120 + 7 * index;
  const base = {
    name: `run-of-${verdict}-${index}`,
    title: `An invented pass, number ${index}`,
    kind: 'vector',
    rows: 4,
    ticks,
    tickHz: 1000,
  } as const;
  const empty = { inputHash: hash(index), notes: [], stopped: {}, verdict };
  if (verdict === 'same') return { ...base, ...empty, signals: [], strokes: NO_STROKES, metrics: [], ...more };
  const sight = sightOf(ticks, parting, index);
  const first = partingAt(parting, index);
  const isInner = verdict === 'inner';
  return {
    ...base,
    ...empty,
    first,
    firstOutput: isInner
      ? undefined
      : { tick: parting + 14, row: 2, signal: 'supplyOrder', kind: 'output', unit: 'none', old: 'none', new: 'open' },
    signals: signalsOf(first, 60),
    strokes: isInner ? NO_STROKES : strokesOf(sight.lanes),
    metrics: isInner ? METRICS.map((metric) => ({ ...metric, new: metric.old, worseBy: 0 })) : METRICS,
    stopped: verdict === 'stopped' ? { new: { tick: parting + 400, message: 'assert(count <= ROWS_MAX) in stroke-queue.ts:88' } } : {},
    sight,
    ...more,
  };
}

const reviewOf = (runs: readonly RunReview[]): Review => ({
  old: {
    asked: 'v0.1.0',
    commit: hash(1).slice(0, 40),
    version: '0.1.0',
    sourceHash: hash(2),
    contractHash: hash(3).slice(0, 16),
    binaryHash: hash(4),
  },
  new: {
    asked: 'working tree',
    version: '0.2.0',
    sourceHash: hash(5),
    contractHash: hash(6).slice(0, 16),
    binaryHash: hash(7),
    parameters: { file: 'machines/8-row.yaml', hash: hash(8) },
  },
  tool: '0.2.0',
  contract: [
    { what: 'signal', name: 'RowProbe.supplyGain', change: 'added', new: 'f32, ratio' },
    { what: 'parameter', name: 'leadMs', change: 'changed', old: '0 to 200 ms, default 40', new: '0 to 200 ms, default 60' },
    { what: 'word', name: 'Wish.pause', change: 'removed', old: '3' },
  ],
  parameters: [
    { name: 'leadMs', unit: 'millisecond', old: '40', new: '60', runs: [] },
    { name: 'deadbandN', unit: 'newton', old: '50', new: '-0', runs: ['run-of-outputs-1', 'run-of-inner-5'] },
  ],
  counts: {
    same: runs.filter(({ verdict }) => verdict === 'same').length,
    inner: runs.filter(({ verdict }) => verdict === 'inner').length,
    outputs: runs.filter(({ verdict }) => verdict === 'outputs').length,
    stopped: runs.filter(({ verdict }) => verdict === 'stopped').length,
    refused: runs.filter(({ verdict }) => verdict === 'refused').length,
  },
  runs,
});

/** Several runs of all verdicts, with texts that would break a careless page. */
export function exampleReview(): Review {
  const beforeFirst = {
    ...partingAt(-1, 4),
    kind: 'derived' as const,
    signal: 'lead',
    row: 0,
    line: undefined,
    oldLine: undefined,
    via: undefined,
  };
  return reviewOf([
    exampleRun('stopped', 0, { title: HOSTILE, notes: [`input humidity is not known to old: ${HOSTILE}`] }),
    exampleRun('outputs', 1),
    exampleRun('outputs', 2, { name: 'class-d', kind: 'scenario', seed: 1 }),
    exampleRun('outputs', 3, { name: 'class-d', kind: 'scenario', seed: 2 }),
    exampleRun('outputs', 4, { first: { ...beforeFirst, old: 'NaN', new: '-0', because: `no line is known ${HOSTILE}` } }),
    exampleRun('inner', 5),
    ...Array.from({ length: 8 }, (_, at) => exampleRun('same', at + 6)),
  ]);
}

/** As many runs as a review of all vectors may have, all of them different. */
export const bigReview = (): Review => reviewOf(Array.from({ length: 50 }, (_, at) => exampleRun('outputs', at)));

/** A review in which nothing differs. */
export const sameReview = (): Review => ({
  ...reviewOf(Array.from({ length: 3 }, (_, at) => exampleRun('same', at))),
  contract: [],
  parameters: [],
});
