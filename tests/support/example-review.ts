import type { RunIdentity } from '../../host/contract/run-identity.js';
import { type PulseDifferences, type StrokeChange, spreadOf } from '../../host/replay/strokes.js';
import { countVerdicts, type Verdict } from '../../host/replay/verdict.js';
import type {
  Cause,
  Curve,
  Divergence,
  MetricChange,
  Opening,
  Review,
  RunReview,
  RunViews,
  SignalDivergence,
  SignalKind,
  Snapshot,
  StrokeReview,
  Track,
  Tracks,
  ValveLane,
} from '../../host/review/review.js';
import { AROUND_TICKS, BEFORE_TICKS, OVERVIEW_BINS } from '../../host/review/review.js';
import { RECORDS } from '../../shared/records.js';

/* Invented reviews, as a comparison of two builds would give them. Noise is a hash, so it is always the same. */

const noise = (at: number, salt: number): number => (Math.imul(Math.imul(at + 1, 2654435761) ^ (salt * 40503), 2246822519) >>> 8) / 2 ** 24;

const hash = (salt: number): string => Array.from({ length: 64 }, (_, at) => Math.floor(noise(at, salt) * 16).toString(16)).join('');

export const HOSTILE = `<script>alert('x')</script> "quoted" & </script> <img src=http://evil.example/x onerror=alert(1)>`;

/** Minimum and maximum of each bin of a signal. */
const curve = (part: Omit<Tracks, 'tracks'>, value: (tick: number, at: number) => readonly [number, number] | null): Curve => {
  const pairs = Array.from({ length: part.bins }, (_, at) => value(part.first + (at * part.ticks) / part.bins, at));
  return { min: pairs.map((pair) => pair?.[0] ?? null), max: pairs.map((pair) => pair?.[1] ?? null) };
};

const MODES = ['starting', 'off', 'holding', 'working', 'frozen', 'venting'] as const;
const WISHES = ['hold', 'raise', 'lower'] as const;

/** A signal: its value at a tick without noise, and the amount of noise. */
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

/** A side of a shape: head deviates from the divergence on. */
function sideOf(shape: Shape, part: Omit<Tracks, 'tracks'>, salt: number, shift: (tick: number) => number): Curve {
  return curve(part, (tick, at) => {
    if (shape.words !== undefined) return [shape.value(tick), shape.value(tick)];
    const moved = shift(tick);
    const middle = shape.value(tick - 40 * moved) * (1 + 0.02 * moved);
    if (part.ticks === part.bins) {
      const value = middle + shape.noise * (noise(tick, salt) - 0.5);
      return [value, value];
    }
    const grain = salt + (moved > 0 ? 100 : 0);
    return [middle - shape.noise * noise(at, grain), middle + shape.noise * noise(at, grain + 1)];
  });
}

function tracksOf(part: Omit<Tracks, 'tracks'>, divergence: number, salt: number, shapes: readonly Shape[]): Track[] {
  return shapes.map((shape, index) => {
    const own = salt * 20 + index * 2;
    const base = sideOf(shape, part, own, () => 0);
    const head = sideOf(shape, part, own, (tick) => (tick < divergence ? 0 : 1));
    const { signal, row, unit, words } = shape;
    return { signal, row, unit, words, base: index === 4 ? null : base, head };
  });
}

function lanesOf(ticks: number, divergence: number, salt: number): ValveLane[] {
  const valves = [2, 3].flatMap((row) => (['supply', 'return'] as const).map((valve) => ({ row, valve })));
  return valves.map(({ row, valve }, index) => {
    const base: Opening[] = [];
    for (let tick = 200 + index * 50; tick < ticks - 100; tick += 120 + Math.floor(noise(tick, salt + index) * 400)) {
      base.push([tick, tick + 8 + Math.floor(noise(tick, salt + index + 7) * 30)]);
    }
    const moved = base.map(([open, close]): Opening => (open < divergence ? [open, close] : [open + 3, close + (close % 3)]));
    return { row, valve, base, head: moved.filter((_, at) => at !== 20) };
  });
}

function changesOf(lanes: readonly ValveLane[]): StrokeChange[] {
  const changes = lanes.flatMap(({ row, valve, base, head }) =>
    base.flatMap(([open, close], at): StrokeChange[] => {
      if (at === 20) return [open, close].map((tick, edge) => ({ row, valve, order: edge === 0 ? 'open' : 'close', base: tick }));
      const other = head[at > 20 ? at - 1 : at] ?? [open, close];
      return [
        ...(other[0] === open ? [] : [{ row, valve, order: 'open' as const, base: open, head: other[0] }]),
        ...(other[1] === close ? [] : [{ row, valve, order: 'close' as const, base: close, head: other[1] }]),
      ];
    }),
  );
  const added: StrokeChange = { row: 3, valve: 'return', order: 'open', head: 4321 };
  return [...changes, added].sort((a, b) => (a.head ?? a.base ?? 0) - (b.head ?? b.base ?? 0));
}

const NONE = spreadOf([]);
const NO_PULSES: PulseDifferences = { count: 105, shorter: NONE, longer: NONE, startEarlier: NONE, startLater: NONE };
const NO_STROKES: StrokeReview = {
  ...{ base: 210, head: 210, added: 0, removed: 0, same: 210, earlier: NONE, later: NONE, otherDriveTime: 0 },
  ...{ pulses: { supply: NO_PULSES, return: NO_PULSES }, shifts: [], changes: [] },
};

function strokesOf(lanes: readonly ValveLane[]): StrokeReview {
  const changes = changesOf(lanes);
  const moved = changes.flatMap(({ base, head }) => (base === undefined || head === undefined ? [] : [head - base]));
  const sum = (side: 'base' | 'head'): number => lanes.reduce((all, lane) => all + 2 * lane[side].length, 0);
  const removed = changes.filter(({ head }) => head === undefined).length;
  return {
    ...NO_STROKES,
    base: sum('base'),
    head: sum('head'),
    added: changes.filter(({ base }) => base === undefined).length,
    removed,
    same: sum('base') - removed - moved.length,
    earlier: spreadOf(moved.filter((ticks) => ticks < 0).map((ticks) => -ticks)),
    later: spreadOf(moved.filter((ticks) => ticks > 0)),
    shifts: [...new Set(moved)].sort((a, b) => a - b).map((ticks) => [ticks, moved.filter((one) => one === ticks).length]),
    changes: changes.slice(0, 1000),
  };
}

/** Number of records of a kind that a row or a bank has. */
const MANY: Readonly<Record<string, number>> = { valve: 2, channel: 3, rowFaultKind: 24, channelKind: 4, bankFault: 13 };
const OF_BANK = ['bank', 'channelKind', 'bankFault'];

/** A snapshot with all values of the contract's records. */
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
      return { signal, kind: kind as SignalKind, unit: field.unit, base: value, head: differs ? `${value}1` : value, differs };
    }),
  );
  const special: Snapshot['values'] = [
    { signal: 'slopeNpms', kind: 'probe', unit: 'newtonPerMillisecond', base: '0', head: '-0', differs: true },
    { signal: 'quotient', kind: 'probe', unit: 'ratio', base: '1', head: 'NaN', differs: true },
    { signal: 'gone', kind: 'state', unit: 'none', base: '7', head: '–', differs: true },
  ];
  return { row, values: [...special, ...values] };
}

function viewsOf(ticks: number, divergence: number, salt: number): RunViews {
  const overview = { first: 0, ticks, bins: OVERVIEW_BINS };
  const around = { first: Math.max(0, divergence - BEFORE_TICKS), ticks: AROUND_TICKS, bins: AROUND_TICKS };
  return {
    overview: { ...overview, tracks: tracksOf(overview, divergence, salt, SHAPES) },
    around: { ...around, tracks: tracksOf(around, divergence, salt, SHAPES) },
    lanes: lanesOf(ticks, divergence, salt),
    states: [snapshotOf(0, salt), snapshotOf(2, salt + 1)],
  };
}

const divergenceAt = (tick: number, salt: number): Divergence => ({
  tick,
  row: 2,
  signal: 'expectedLoadN',
  kind: 'probe',
  unit: 'newton',
  base: `${(450 + salt).toFixed(3)}`,
  head: `${(451.25 + salt).toFixed(3)}`,
  suspectedLine: {
    file: 'assembly/controller/predictor.ts',
    line: 118,
    column: 3,
    function: 'expectLoad',
    text: '  o.expectedLoadN = row.loadN + c.lead * (o.loadTrend + WEIGHT * o.pressureTrend);',
  },
  baseLine: {
    file: 'assembly/controller/predictor.ts',
    line: 118,
    column: 3,
    function: 'expectLoad',
    text: '  o.expectedLoadN = row.loadN + c.lead * o.loadTrend;',
  },
  via: { file: 'assembly/controller/predictor.ts', line: 24, column: 1, function: '', text: 'const WEIGHT: f32 = 0.4;' },
  reason: 'first value that differs',
});

const METRICS: readonly MetricChange[] = [
  { name: 'pulsesPerMin', unit: 'perMinute', help: 'Pulses of a row per minute', base: 41.25, head: 47.5, worseBy: 0.1515 },
  { name: 'loadRmsN', unit: 'newton', help: 'RMS of the load error', base: 62.113, head: 63.02, worseBy: 0.0146 },
  { name: 'inBandPercent', unit: 'percent', help: 'Time for which the load is in its band', base: 83.2, head: 83.2, worseBy: 0 },
  { name: 'missedCloses', unit: 'none', help: 'Missed closing strokes', base: 0, head: 0, worseBy: 0 },
  { name: 'settleMs', unit: 'millisecond', help: 'Settling time after a step', base: null, head: 412, worseBy: 0 },
  { name: 'liftOffPercent', unit: 'percent', help: 'Time without load', base: 2.4, head: 1.1, worseBy: -0.5417 },
];

function signalsOf(first: Divergence, count: number): SignalDivergence[] {
  const fields = RECORDS.flatMap(({ kind, fields }) => (kind === 'input' ? [] : fields.map((field) => ({ kind, field }))));
  const later = fields.slice(0, count - 1).map(({ kind, field }, at) => ({
    tick: first.tick + Math.floor(at / 3),
    row: 2,
    signal: field.name,
    kind: kind as SignalKind,
    unit: field.unit,
    base: String(at),
    head: at % 7 === 0 ? 'NaN' : at % 5 === 0 ? '-0' : String(at + 0.5),
  }));
  return [first, ...later];
}

const RAN_WITH: RunIdentity = { strategy: 'cascade', parameters: [{ name: 'deadbandN', value: 45, default: 40, unit: 'newton' }] };

/** A run with this verdict. */
export function exampleRun(verdict: Verdict, index: number, more: Partial<RunReview> = {}): RunReview {
  const ticks = 12_000;
  const divergence = 3120 + 7 * index;
  const base = {
    name: `run-of-${verdict}-${index}`,
    title: `An invented pass, number ${index}`,
    kind: 'vector',
    rows: 4,
    ticks,
    tickHz: 1000,
  } as const;
  const ranWith = { base: RAN_WITH, head: RAN_WITH };
  const empty = { ranWith, inputHash: hash(index), notes: [], stopped: {}, verdict };
  if (verdict === 'same') return { ...base, ...empty, signals: [], strokes: NO_STROKES, metrics: [], ...more };
  const views = viewsOf(ticks, divergence, index);
  const first = divergenceAt(divergence, index);
  const isStateOnly = verdict === 'stateDiffers';
  return {
    ...base,
    ...empty,
    first,
    firstOutput: isStateOnly
      ? undefined
      : { tick: divergence + 14, row: 2, signal: 'supplyOrder', kind: 'output', unit: 'none', base: 'none', head: 'open' },
    signals: signalsOf(first, 60),
    strokes: isStateOnly ? NO_STROKES : strokesOf(views.lanes),
    metrics: isStateOnly ? METRICS.map((metric) => ({ ...metric, head: metric.base, worseBy: 0 })) : METRICS,
    stopped: verdict === 'stopped' ? { head: { tick: divergence + 400, message: 'assert(count <= ROWS_MAX) in stroke-queue.ts:88' } } : {},
    views,
    ...more,
  };
}

/** One cause of all runs with a line, and one for those without. */
function causesOf(runs: readonly RunReview[]): Cause[] {
  const edits = [{ file: 'assembly/controller/predictor.ts', base: { from: 118, count: 1 }, head: { from: 118, count: 1 } }];
  const of = (has: boolean): number[] =>
    runs.flatMap(({ first }, index) => (first !== undefined && (first.suspectedLine !== undefined) === has ? [index] : []));
  return [of(true), of(false)].flatMap((indices, second): Cause[] => {
    const first = runs[indices[0] ?? -1]?.first;
    if (first === undefined) return [];
    const known =
      second === 0 ? ({ edits, check: 'putBack' } as const) : ({ edits: [], check: 'suspected', note: 'no line is known' } as const);
    return [{ run: indices[0] ?? 0, runs: indices, first, ...known }];
  });
}

const reviewOf = (runs: readonly RunReview[]): Review => ({
  base: {
    name: 'v0.1.0',
    commit: hash(1).slice(0, 40),
    version: '0.1.0',
    sourceHash: hash(2),
    contractHash: hash(3).slice(0, 16),
    binaryHash: hash(4),
  },
  head: {
    name: '.',
    version: '0.2.0',
    sourceHash: hash(5),
    contractHash: hash(6).slice(0, 16),
    binaryHash: hash(7),
    parameters: { file: 'machines/8-row.yaml', hash: hash(8) },
  },
  tool: '0.2.0',
  contract: [
    { what: 'signal', name: 'RowProbe.supplyGain', change: 'added', head: 'f32, ratio' },
    { what: 'parameter', name: 'leadMs', change: 'changed', base: '0 to 200 ms, default 40', head: '0 to 200 ms, default 60' },
    { what: 'word', name: 'Wish.pause', change: 'removed', base: '3' },
  ],
  parameters: [
    { name: 'leadMs', unit: 'millisecond', base: '40', head: '60', runs: [] },
    { name: 'deadbandN', unit: 'newton', base: '50', head: '-0', runs: ['run-of-outputsDiffer-1', 'run-of-stateDiffers-5'] },
  ],
  counts: countVerdicts(runs),
  runs,
  causes: causesOf(runs),
});

/** Runs of several verdicts, with texts that would break a page without escaping. */
export function exampleReview(): Review {
  const beforeFirst = {
    ...divergenceAt(-1, 4),
    kind: 'derived' as const,
    signal: 'lead',
    row: 0,
    suspectedLine: undefined,
    baseLine: undefined,
    via: undefined,
  };
  return reviewOf([
    exampleRun('stopped', 0, { title: HOSTILE, notes: [`base has no parameter humidity: ${HOSTILE}`] }),
    exampleRun('outputsDiffer', 1),
    exampleRun('outputsDiffer', 2, { name: 'class-d', kind: 'scenario', seed: 1 }),
    exampleRun('outputsDiffer', 3, { name: 'class-d', kind: 'scenario', seed: 2 }),
    exampleRun('outputsDiffer', 4, { first: { ...beforeFirst, base: 'NaN', head: '-0', reason: `no line is known ${HOSTILE}` } }),
    exampleRun('stateDiffers', 5),
    ...Array.from({ length: 8 }, (_, at) => exampleRun('same', at + 6)),
  ]);
}

/** As many runs as a review of all vectors may have, all of which differ. */
export const bigReview = (): Review => reviewOf(Array.from({ length: 50 }, (_, at) => exampleRun('outputsDiffer', at)));

/** A review in which nothing differs. */
export const sameReview = (): Review => ({
  ...reviewOf(Array.from({ length: 3 }, (_, at) => exampleRun('same', at))),
  contract: [],
  parameters: [],
});

const ACCEPTED = { date: '2026-11-25', by: 'A. Reviewer', reason: 'a shorter <pulse>', signals: ['supplyOrder'] };
const EDITS = [{ lines: [{ file: 'assembly/controller/row.ts', base: { from: 11, count: 1 }, head: { from: 12, count: 1 } }] }];
const lineAt = (line: number, text: string) => ({ file: 'assembly/controller/row.ts', line, column: 3, function: 'shorten', text });
const COVERED = { side: 'head', reachedBy: [], usedAt: [], missed: [], isUncalled: false } as const;
/** One line of each kind that a run reaches or not, and two that nothing leads to. */
const COVERAGE: Review['coverage'] = {
  counts: { different: 1, same: 1, unreached: 3, noCode: 2 },
  lines: [
    {
      ...COVERED,
      line: lineAt(12, '  const shorter: f32 = 0.5;'),
      reach: 'different',
      reachedBy: [{ run: 0, tick: 0 }],
      usedAt: [lineAt(20, '')],
    },
    {
      ...{
        ...COVERED,
        line: lineAt(13, '  if (a < b) return 1;'),
        reach: 'same',
        missed: [{ ...lineAt(13, '  if (a < b) return 1;'), column: 14 }],
      },
      reachedBy: [0, 1].map((run) => ({ run, tick: 3 })),
    },
    {
      ...{ ...COVERED, line: lineAt(15, '  count <@someone>;'), reach: 'unreached' },
      nearest: { run: 1, runs: 2, at: lineAt(14, '  if (isCold && count > 3) {'), needs: true, conditions: 2 },
    },
    { ...COVERED, line: lineAt(30, '  return x;'), reach: 'unreached', isUncalled: true },
    { ...COVERED, side: 'base', line: lineAt(31, '  return y;'), reach: 'unreached' },
  ],
};

/** With what surrounds the runs: coverage of the change, vectors, acceptances, commits, and inputs that were looked for. */
export const surroundedReview = (): Review => ({
  ...sameReview(),
  runs: [exampleRun('outputsDiffer', 0, { acceptance: ACCEPTED }), exampleRun('outputsDiffer', 1, { acceptance: null })],
  change: {
    commits: [{ hash: 'c0ffee'.repeat(7).slice(0, 40), date: '2026-11-24', author: 'B. Author', subject: 'Shorten pulses' }],
    ...{ commitCount: 1, missingCommits: 0, isUncommitted: true },
    files: [{ path: 'assembly/controller/row.ts', change: 'changed', addedLines: 3, removedLines: 2, lines: [] }],
  },
  coverage: COVERAGE,
  vectors: [
    { name: 'cold-oil', title: 'Cold', change: 'accepted', differences: [], accepted: [ACCEPTED], problems: [] },
    {
      name: 'hot-oil',
      title: 'Hot',
      change: 'changed',
      differences: [{ what: 'inputs' }],
      accepted: [],
      problems: ['its history was rewritten'],
    },
  ],
  suggestion: {
    ...{ edits: EDITS, seed: 1, tried: 7, rowTicks: 90_000 },
    found: {
      against: 'head without these edits',
      verdict: 'outputsDiffer',
      difference: 'supplyOrder of a row: none → open',
      from: 'target-step',
      ranWith: RAN_WITH,
      shrunk: { before: { rows: 4, ticks: 8000 }, after: { rows: 1, ticks: 310 } },
      vector: 'vectors/cases/target-step-shrunk',
      accepts: 'head without these edits',
    },
  },
});
