import { describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { describeContract } from '../../../host/contract/contract.js';
import type { RecordLayout } from '../../../host/contract/layout.js';
import { type StrokeChange, strokesText } from '../../../host/replay/strokes.js';
import { skipLocating } from '../../../host/review/locate.js';
import { metricChange, ReplayTally, replayMetrics, worseBy } from '../../../host/review/replay-metrics.js';
import type { RunReview } from '../../../host/review/review.js';
import { type RunToReview, reviewRun } from '../../../host/review/review-run.js';
import { messageCopier, type RunPair, recordedPair } from '../../../host/review/run-pair.js';
import { openings, rowsShown } from '../../../host/review/run-views.js';
import { addressOf, keyOf, signalsOf } from '../../../host/review/signals.js';
import { type Controller, loadController, type WasmRunner } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { parseChanges } from '../../support/changes.js';
import { PROJECT } from '../../support/project.js';

const controller = loadController(PROJECT.controllerWasm);
const contract = describeContract();
const one = readVector(PROJECT, 'relatch-at-rest');
/** Length of the recording. */
const TICKS = 6000;
/** Number of strokes in its accepted outputs. */
const BASE_STROKES = 61;

type Hook = (tick: number, runner: WasmRunner) => void;

/** Called before and after each tick of a side. */
interface Hooks {
  readonly before?: Hook;
  readonly after?: Hook;
}

/** The same build on both sides, with hooks on each. */
function startWith(base: Hooks, head: Hooks, headController: Controller = controller): RunPair {
  const config = { controller, values: one.values };
  const pair = recordedPair(one, config, { ...config, controller: headController });
  const hooked = (side: RunPair['base'], { before, after }: Hooks): RunPair['base'] => {
    let tick = 0;
    const run = (): void => {
      before?.(tick, side.runner);
      side.runner.tick();
      after?.(tick, side.runner);
      tick += 1;
    };
    return { ...side, runner: { ...side.runner, tick: run } };
  };
  return { ...pair, base: hooked(pair.base, base), head: hooked(pair.head, head) };
}

/** What no test here looks at. */
const RAN_WITH = { base: { strategy: 'cascade', parameters: [] }, head: { strategy: 'cascade', parameters: [] } };

const runOf = (start: () => RunPair): RunToReview => ({
  name: one.name,
  title: one.title,
  kind: 'vector',
  ranWith: RAN_WITH,
  inputHash: '',
  notes: [],
  start,
});

const review = (base: Hooks, head: Hooks, change: (pair: RunPair) => RunPair = (pair) => pair): Promise<RunReview> =>
  reviewRun(
    runOf(() => change(startWith(base, head))),
    skipLocating('not needed'),
  );

/** Sets a probe that the controller does not read. */
const setProbe =
  (at: number, value: number): Hook =>
  (tick, runner) => {
    if (tick === at) runner.field('rowProbe', 'presentN').set(0, value);
  };

/** Sets the bits of that probe in row 1. */
function probeBits(of: number): Hook {
  const signal = signalsOf(contract, 1).find((each) => keyOf(each) === '1 presentN');
  if (signal === undefined) throw new Error('no such probe');
  return (_, runner) => new DataView(runner.output.buffer).setUint32(addressOf(signal), of, true);
}

const stopAt = (at: number, message: string): Hooks => ({
  before: (tick) => {
    if (tick === at) throw new WebAssembly.RuntimeError(message);
  },
});

const NO_STROKES = { added: 0, removed: 0, earlier: { count: 0 }, later: { count: 0 }, shifts: [], changes: [] };

describe('reviewRun', () => {
  it('finds no difference between equal sides, and collects no views', async () => {
    const run = await review({}, {});
    expect(run).toMatchObject({ verdict: 'same', rows: 3, ticks: TICKS, tickHz: 1000, signals: [], strokes: NO_STROKES, stopped: {} });
    expect([run.first, run.firstOutput, run.views]).toEqual([undefined, undefined, undefined]);
    expect(run.strokes.base).toBe(run.strokes.head);
    expect(run.metrics.map(({ worseBy: worse }) => worse)).toEqual([0, 0, 0, 0, 0, 0, 0, 0]);
  });

  it('ignores the bits of NaN', async () => {
    expect(await review({ after: probeBits(0x7fc00000) }, { after: probeBits(0xffc12345) })).toMatchObject({
      verdict: 'same',
      signals: [],
    });
  });

  it('finds a difference between NaN and a number', async () => {
    const run = await review({ after: probeBits(0x7fc00000) }, { after: probeBits(0x3f800000) });
    expect(run).toMatchObject({ verdict: 'stateDiffers', first: { tick: 0, row: 1, signal: 'presentN', base: 'NaN', head: '1' } });
  });

  it('finds a difference of state between 0 and −0', async () => {
    const run = await review({ after: setProbe(700, 0) }, { after: setProbe(700, -0) });
    expect(run.first).toEqual({
      ...{ tick: 700, row: 1, signal: 'presentN', kind: 'probe', unit: 'newton', base: '0', head: '-0' },
      reason: 'no line: not needed',
    });
    expect(run).toMatchObject({ verdict: 'stateDiffers', strokes: NO_STROKES });
    expect([run.signals.length, run.firstOutput]).toEqual([1, undefined]);
    const states = run.views?.states.map(({ row, values }) => [row, values.filter(({ differs }) => differs).map(({ signal }) => signal)]);
    expect(states).toEqual([
      [0, []],
      [1, ['presentN']],
    ]);
  });

  it('shows the located value, not the first one in memory', async () => {
    const run = await reviewRun(
      runOf(() => startWith({ after: setProbe(700, 0) }, { after: setProbe(700, 7) })),
      async (_pair, found, { tick, before, after }) => {
        expect([tick, before.head.length, Buffer.from(after.head).equals(Buffer.from(after.base))]).toEqual([
          700,
          after.head.length,
          false,
        ]);
        return { ...found, row: 3, signal: 'zeroN', reason: 'it is computed first' };
      },
    );
    expect(run.signals.map(({ row, signal }) => [row, signal])).toEqual([[1, 'presentN']]);
    expect([run.views?.around, run.views?.overview].map((of) => [of?.tracks[0]?.signal, of?.tracks[0]?.row])).toEqual([
      ['zeroN', 3],
      ['zeroN', 3],
    ]);
    expect(run.views?.states.map(({ row }) => row)).toEqual([0, 3]);
    expect(run.views?.lanes.map(({ row }) => row)).toEqual([3, 3]);
  });

  it('counts an order of three ticks as an added stroke', async () => {
    const run = await review(
      {},
      {
        after: (tick, runner) => {
          if (tick >= 600 && tick < 603) runner.field('rowOutput', 'supplyOrder').set(0, 1);
        },
      },
    );
    const first = { tick: 600, row: 1, signal: 'supplyOrder', kind: 'output', unit: 'none', base: 'none', head: 'open' };
    expect(run).toMatchObject({ verdict: 'outputsDiffer', first, firstOutput: first });
    expect(run.strokes).toMatchObject({
      ...{ ...NO_STROKES, base: run.strokes.base, head: run.strokes.base + 1, added: 1 },
      changes: [{ row: 1, valve: 'supply', order: 'open', head: 600 }],
    });
    expect(run.views?.around).toMatchObject({ first: 575, ticks: 50, bins: 50 });
    const track = run.views?.around.tracks[0];
    expect(track).toMatchObject({ signal: 'supplyOrder', row: 1, words: ['none', 'open', 'close'] });
    expect(track?.base?.max.slice(24, 29)).toEqual([0, 0, 0, 0, 0]);
    expect(track?.head?.max.slice(24, 29)).toEqual([0, 1, 1, 1, 0]);
  });

  it.each([
    ['only timing differs after a filter that is slower by 1 %', { loadFilterHz: 2.97 }, 'timingDiffers'],
    ['outputs differ after a set point that is slow to follow', { setPointRateKpaPerS: 300 }, 'outputsDiffer'],
  ])('%s', async (_, values, verdict) => {
    const config = { controller, values: one.values };
    const run = await reviewRun(
      runOf(() => recordedPair(one, config, { controller, values: { ...one.values, ...values } })),
      skipLocating('not needed'),
      'compared',
    );
    expect(run.verdict).toBe(verdict);
    const { added, removed, earlier, later, same, pulses } = run.strokes;
    expect(added + removed > 0).toBe(verdict === 'outputsDiffer');
    // Each stroke of base is somewhere.
    expect(removed + earlier.count + later.count + same).toBe(BASE_STROKES);
    const moved = run.strokes.shifts.reduce((sum, [, count]) => sum + count, 0);
    expect([moved > 0, moved]).toEqual([true, earlier.count + later.count]);
    expect(pulses.supply.count + pulses.return.count).toBeGreaterThan(0);
  });

  it('counts strokes that are later, earlier and removed', async () => {
    // Accepted outputs: row 1 supply open 739 to 740, row 3 supply close 857 to 858, row 2 supply open 1456 to 1457.
    const orders = new Map<string, number>();
    const order = (row: number, ticks: readonly number[], value: number): void => {
      for (const tick of ticks) orders.set(`${tick} ${row}`, value);
    };
    order(1, [739, 740, 741], 0);
    order(1, [742, 743], 1);
    order(3, [855, 856], 2);
    order(3, [857, 858], 0);
    order(2, [1456, 1457], 0);
    const after: Hook = (tick, runner) => {
      for (const row of [1, 2, 3]) {
        const value = orders.get(`${tick} ${row}`);
        if (value !== undefined) runner.field('rowOutput', 'supplyOrder').set(row - 1, value);
      }
    };
    const { strokes, verdict } = await review({}, { after });
    expect(verdict).toBe('outputsDiffer');
    expect(strokes).toMatchObject({
      ...{ base: BASE_STROKES, head: BASE_STROKES - 1, added: 0, removed: 1, same: BASE_STROKES - 3 },
      earlier: { count: 1, minTicks: 2, medianTicks: 2, p95Ticks: 2, maxTicks: 2 },
      later: { count: 1, minTicks: 3, medianTicks: 3, p95Ticks: 3, maxTicks: 3 },
      shifts: [
        [-2, 1],
        [3, 1],
      ],
      changes: [
        { row: 1, valve: 'supply', order: 'open', base: 739, head: 742 },
        { row: 3, valve: 'supply', order: 'close', base: 857, head: 855 },
        { row: 2, valve: 'supply', order: 'open', base: 1456, head: undefined },
      ],
    });
    expect(strokesText(strokes, 1000)).toBe('1 removed, 1 earlier by 2 ticks (2 ms), 1 later by 3 ticks (3 ms)');
  });

  it('reports the tick and the message of a stop', async () => {
    const run = await review({}, stopAt(100, 'unreachable'));
    expect(run).toMatchObject({ verdict: 'stopped', ticks: 100 });
    expect(run.first).toMatchObject({ tick: 100, row: 0, signal: 'stop', base: 'running', head: 'stopped: unreachable' });
    expect(run.stopped).toEqual({ base: undefined, head: { tick: 100, message: 'unreachable' } });
  });

  it('reports a stop of base', async () => {
    const run = await review(stopAt(0, 'unreachable'), {});
    expect(run).toMatchObject({ verdict: 'stopped', ticks: 0, stopped: { base: { tick: 0 } } });
    expect(run.first).toMatchObject({ base: 'stopped: unreachable', head: 'running' });
    expect(run.metrics.find(({ name }) => name === 'pulsesPerMin')).toMatchObject({ base: null, head: null, worseBy: 0 });
  });

  it('does not call two sides the same that stop alike', async () => {
    const run = await review(stopAt(100, 'unreachable'), stopAt(100, 'unreachable'));
    expect(run).toMatchObject({ verdict: 'stopped', ticks: 100, stopped: { base: { tick: 100 }, head: { tick: 100 } } });
  });

  it('does not call two sides the same that stop with different messages', async () => {
    expect(await review(stopAt(100, 'unreachable'), stopAt(100, 'integer overflow'))).toMatchObject({ verdict: 'stopped' });
  });

  it('finds a difference before a stop', async () => {
    const head = { ...stopAt(100, 'unreachable'), after: setProbe(90, 12345) };
    expect(await review({}, head)).toMatchObject({ verdict: 'stopped', first: { tick: 90, signal: 'presentN' } });
  });

  it('passes on errors that are not traps', async () => {
    const before: Hook = () => {
      throw new TypeError('a fault of ours');
    };
    await expect(review({}, { before })).rejects.toThrow(TypeError);
  });

  it('refuses a recording that ends early, and closes it', async () => {
    const pair = { ...startWith({}, {}), ticks: TICKS + 1 };
    const closed: string[] = [];
    const start = (): RunPair => ({ ...pair, close: () => void closed.push('closed') });
    await expect(reviewRun(runOf(start), skipLocating('not needed'))).rejects.toThrow(
      `the input of tick ${TICKS} is missing. A vector needs an input for every tick from 0.`,
    );
    expect(closed).toEqual(['closed']);
  });

  it.each([
    ['other rows', { rows: 4 }, 'the recording has 3 rows, but the vector has 4.'],
    ['another tick rate', { tickHz: 500 }, "the recording's tick rate is 1000 Hz, but the vector's is 500 Hz."],
  ])('refuses a recording with %s than the vector', (_, change, words) => {
    const choice = { controller, values: one.values };
    const start = (): RunPair => recordedPair({ ...one, ...change }, choice, choice);
    expect(start).toThrow(InputError);
    expect(start).toThrow(words);
  });

  it('compares words whose numbers differ between the builds', async () => {
    const names = contract.enums.RowMode ?? [];
    const enums = { ...contract.enums, RowMode: ['asleep', ...names] };
    const head = { ...controller, description: { ...controller.description, contract: { ...contract, enums } } };
    const shift =
      (by: number) =>
      (_: number, runner: WasmRunner): void => {
        const mode = runner.field('rowOutput', 'mode');
        for (let row = 0; row < one.rows; row++) mode.set(row, mode.get(row) + by);
      };
    // Numbers are the build's own while it ticks; before the first one there are none.
    const plant = { before: (tick: number, runner: WasmRunner) => tick > 0 && shift(-1)(tick, runner), after: shift(1) };
    const run = await reviewRun(
      runOf(() => {
        const pair = startWith({}, plant, head);
        shift(1)(0, pair.head.runner);
        return pair;
      }),
      skipLocating('not needed'),
    );
    expect(run).toMatchObject({ verdict: 'same', signals: [], strokes: NO_STROKES });
  });
});

describe('the window around a first difference', () => {
  it.each([
    ['in the first tick', 0, 0],
    ['before the window can start earlier', 24, 0],
    ['when the window starts later', 26, 1],
    ['near the end', TICKS - 25, TICKS - 50],
    ['in the last tick', TICKS - 1, TICKS - 50],
  ])('%s', async (_, tick, first) => {
    const { views } = await review({ after: setProbe(tick, 0) }, { after: setProbe(tick, 7) });
    expect(views?.around).toMatchObject({ first, ticks: 50, bins: 50 });
    const { base, head } = views?.around.tracks[0] ?? {};
    expect([base?.max[tick - first], head?.max[tick - first]]).toEqual([0, 7]);
    expect(head?.max).toHaveLength(50);
    expect(views?.overview).toMatchObject({ first: 0, ticks: TICKS, bins: 480 });
  });

  it('covers the entire run if it is shorter', async () => {
    const { views, ticks } = await review({ after: setProbe(5, 0) }, { after: setProbe(5, 7) }, (pair) => ({ ...pair, ticks: 20 }));
    expect(ticks).toBe(20);
    expect(views?.around).toMatchObject({ first: 0, ticks: 20, bins: 20 });
    expect(views?.overview).toMatchObject({ first: 0, ticks: 20, bins: 20 });
  });

  it('starts at tick 0 for a difference in configure()', async () => {
    const run = await reviewRun(
      runOf(() => {
        const pair = startWith({}, {});
        pair.head.runner.field('coefficients', 'noiseWeight').set(0, 0.5);
        return pair;
      }),
      skipLocating('not needed'),
    );
    expect(run.first).toMatchObject({ tick: -1, row: 0, signal: 'coefficients.noiseWeight', kind: 'derived', head: '0.5' });
    expect(run.views?.around).toMatchObject({ first: 0, ticks: 50 });
  });
});

describe('copying messages between layouts', () => {
  const record = (...names: string[]): RecordLayout => ({
    ...{ name: 'Any', kind: 'input', help: '', size: names.length * 2 },
    fields: names.map((name, index) => ({ name, type: 'u16', unit: 'none', help: '', offset: index * 2 })),
  });
  const from = { bank: record('a', 'b'), row: record('c', 'd') };
  const payload = new Uint8Array(new Uint16Array([1, 2, 3, 4, 5, 6]).buffer);

  it.each([
    ['the same', from, [], [1, 2, 3, 4, 5, 6]],
    ['other order', { bank: record('b', 'a'), row: record('d', 'c') }, [], [2, 1, 4, 3, 6, 5]],
    ['fewer fields', { bank: record('b'), row: record('c') }, [], [2, 3, 5]],
    ['more fields, which stay 0', { bank: record('a', 'x', 'b'), row: record('d', 'y') }, ['x', 'y'], [1, 0, 2, 4, 0, 6, 0]],
    ['padding, which is ignored', { bank: record('spare', 'a'), row: record('c') }, [], [0, 1, 3, 5]],
  ])('%s', (_, to, missing, words) => {
    const into = new Uint8Array(words.length * 2);
    const copier = messageCopier(from, to, 2, into);
    copier.copy(payload);
    expect([copier.missing, [...new Uint16Array(into.buffer)]]).toEqual([missing, words]);
  });
});

describe('metrics of a replay', () => {
  type Values = Record<string, number[]>;

  /** A runner with these fields only. */
  function fake(rows: number, values: Values): WasmRunner {
    const field = (place: string, name: string) => ({
      get: (index: number) => values[`${place}.${name}`]?.[index] ?? 0,
      set: () => {},
    });
    return { description: controller.description, rows, field } as unknown as WasmRunner;
  }

  const named = (metrics: object, ...names: string[]) => names.map((name) => (metrics as Record<string, number>)[name]);
  const WORKING = 3;
  const [RAISE, LOWER] = [1, 2];

  it('measures the error of the load while the row is working', () => {
    const values: Values = { 'rowOutput.mode': [WORKING], 'rowProbe.loadErrorN': [0] };
    const tally = new ReplayTally(fake(1, values));
    // (1 + 49 + 25 + 25) / 4 = 25, whose root is 5.
    for (const error of [1, -7, 5, Number.NaN, -5]) {
      values['rowProbe.loadErrorN'] = [error];
      tally.take();
    }
    values['rowOutput.mode'] = [2];
    values['rowProbe.loadErrorN'] = [1000];
    tally.take();
    expect(tally.metrics([], 1000, {}).measuredErrorRmsN).toBe(5);
  });

  it.each([
    // 6000 ticks at 1000 Hz are 0.1 min: 2 openings and 4 strokes; 4 · 30 mJ in 6 s are 0.02 W; twice as long at 500 Hz.
    [1, 1000, [20, 40, 0.02]],
    [1, 500, [10, 20, 0.01]],
    [2, 1000, [10, 20, 0.01]],
  ])('averages strokes and their power over time: %d rows at %d Hz', (rows, tickHz, expected) => {
    const tally = new ReplayTally(fake(rows, {}));
    for (let tick = 0; tick < 6000; tick++) tally.take();
    const strokes = parseChanges('1 1 supplyOrder open', '3 1 supplyOrder none', '9 1 supplyOrder close', '11 1 supplyOrder none');
    const more = parseChanges('20 1 returnOrder open', '22 1 returnOrder none', '30 1 returnOrder close', '30 0 mode working');
    const found = named(tally.metrics([...strokes, ...more], tickHz, { strokeMj: 30 }), 'pulsesPerMin', 'strokesPerMin', 'strokeW');
    for (const [index, value] of expected.entries()) expect(found[index]).toBeCloseTo(value, 12);
  });

  it('uses the default energy of a stroke', () => {
    const tally = new ReplayTally(fake(1, {}));
    for (let tick = 0; tick < 1000; tick++) tally.take();
    // 50 mJ in 1 s.
    expect(tally.metrics(parseChanges('1 1 supplyOrder close'), 1000, {}).strokeW).toBeCloseTo(0.05, 12);
  });

  it('estimates oil through open supply valves', () => {
    const values: Values = { 'rowProbe.supplyStepKpa': [10], 'rowProbe.compliance': [0.5], 'pairState.flowWish': [0] };
    const tally = new ReplayTally(fake(1, values));
    for (const flowing of [0, RAISE, RAISE, LOWER]) {
      values['pairState.flowWish'] = [flowing as number];
      tally.take();
    }
    // Nothing flows back out of the chamber through the supply valve.
    values['rowProbe.supplyStepKpa'] = [-10];
    values['pairState.flowWish'] = [RAISE as number];
    tally.take();
    values['pairState.flowWish'] = [0];
    for (let tick = 5; tick < 6000; tick++) tally.take();
    // 2 · 10 kPa · 0.5 mL/kPa in 0.1 min.
    expect(tally.metrics([], 1000, {}).estimatedOilLpm).toBeCloseTo(0.1, 12);
  });

  it('finds the longest wait of any row, in milliseconds', () => {
    const values: Values = { 'rowProbe.closeWaitTicks': [0, 0] };
    const tally = new ReplayTally(fake(2, values));
    for (const waits of [
      [3, 0],
      [1, 7],
      [0, 2],
    ]) {
      values['rowProbe.closeWaitTicks'] = waits;
      tally.take();
    }
    expect([tally.metrics([], 1000, {}).longestCloseWaitMs, tally.metrics([], 500, {}).longestCloseWaitMs]).toEqual([7, 14]);
  });

  it('counts a fault each time that it is set', () => {
    const given = ['1 0 faults supplyLow', '2 1 faults leak', '3 0 faults supplyLow+railLow', '4 0 faults railLow', '5 0 faults none'];
    const tally = new ReplayTally(fake(1, {}));
    expect(tally.metrics(parseChanges(...given, '6 0 faults railLow'), 1000, {}).faultsSet).toBe(4);
  });

  it('adds up the time in which both valves of a row are ordered open', () => {
    const given = [
      ...['10 1 supplyOrder open', '12 1 supplyOrder none', '20 1 returnOrder open', '30 1 supplyOrder close'],
      // Of another row, whose valves are never open together.
      ...['40 2 supplyOrder open', '50 2 supplyOrder close', '60 2 returnOrder open', '90 1 supplyOrder open'],
    ];
    const tally = new ReplayTally(fake(2, {}));
    for (let tick = 0; tick < 100; tick++) tally.take();
    // Row 1 from 20 to 30 and from 90 to the end at 100; 500 ticks a second.
    expect(tally.metrics(parseChanges(...given), 500, {}).bothOrderedOpenMs).toBe(40);
  });

  it('has no metric that the build has no fields for', () => {
    const records = contract.records.map((one) => (one.name === 'RowProbe' ? { ...one, fields: [] } : one));
    const description = { ...controller.description, contract: { ...contract, records } };
    const tally = new ReplayTally({ ...fake(1, { 'rowOutput.mode': [WORKING] }), description });
    tally.take();
    const metrics = tally.metrics([], 1000, {});
    expect(named(metrics, 'measuredErrorRmsN', 'longestCloseWaitMs', 'pulsesPerMin')).toEqual([Number.NaN, Number.NaN, 0]);
    const known = { ...metrics, measuredErrorRmsN: 5 };
    expect(replayMetrics(metrics, known)[0]).toMatchObject({ name: 'measuredErrorRmsN', base: null, head: 5, worseBy: 0 });
  });
});

describe('worseBy', () => {
  it.each([
    [10, 12, 'more', 0.2],
    [10, 12, 'less', -0.2],
    [10, 5, 'more', -0.5],
    [10, 5, 'less', 0.5],
    [-10, -5, 'more', 0.5],
    [-10, -15, 'less', 0.5],
    [0, 5, 'more', 1],
    [0, 5, 'less', -1],
    [0, -5, 'more', -1],
    [7, 7, 'more', 0],
    [0, 0, 'less', 0],
    [null, 5, 'more', 0],
    [5, null, 'less', 0],
    [null, null, 'more', 0],
  ] as const)('%s → %s, worse with %s: %d', (base, head, worse, by) => {
    expect(worseBy(base, head, worse)).toBeCloseTo(by, 12);
  });

  it('sorts by harm, then the worst first, and equal ones in the order of the table', () => {
    const metrics = (loads: number, pulses: number, faults: number) => ({
      ...{ measuredErrorRmsN: loads, pulsesPerMin: pulses, strokesPerMin: 2, estimatedOilLpm: 3, strokeW: 4, longestCloseWaitMs: 5 },
      faultsSet: faults,
      bothOrderedOpenMs: faults / 2,
    });
    // Valves that are open together come before faults, and both before a load that is ten times worse.
    const order = replayMetrics(metrics(100, 10, 4), metrics(1000, 5, 8)).map(({ name, worseBy: worse }) => [name, worse]);
    expect(order).toEqual([
      ['bothOrderedOpenMs', 1],
      ['faultsSet', 1],
      ['measuredErrorRmsN', 9],
      ['strokesPerMin', 0],
      ['estimatedOilLpm', 0],
      ['strokeW', 0],
      ['longestCloseWaitMs', 0],
      ['pulsesPerMin', -0.5],
    ]);
  });

  it('replaces values that are not finite by null', () => {
    const kind = { name: 'any', unit: 'none', worse: 'more', help: '' } as const;
    expect(metricChange(kind, Number.NaN, Number.POSITIVE_INFINITY)).toMatchObject({ base: null, head: null, worseBy: 0 });
  });
});

const stroke = (base: number | undefined, head: number | undefined): StrokeChange => ({
  ...{ row: 1, valve: 'supply', order: 'open' },
  ...(base === undefined ? {} : { base }),
  ...(head === undefined ? {} : { head }),
});

describe('valves and rows in views', () => {
  it('opens a valve from the opening stroke to the closing one, or to the end', () => {
    const given = parseChanges(
      '0 1 supplyOrder close',
      '10 1 supplyOrder open',
      '12 1 supplyOrder none',
      '12 2 supplyOrder open',
      '13 1 returnOrder close',
      '20 1 supplyOrder close',
      '22 1 supplyOrder none',
      '25 1 supplyOrder close',
      '30 1 supplyOrder open',
      '33 1 supplyOrder open',
    );
    expect(openings(given, 1, 'supply', 50)).toEqual([
      [10, 20],
      [30, 50],
    ]);
    expect(openings(given, 2, 'supply', 50)).toEqual([[12, 50]]);
    expect(openings(given, 1, 'return', 50)).toEqual([]);
  });

  const strokesOf = (...rows: number[]): StrokeChange[] => rows.map((row) => ({ ...stroke(1, 2), row }));

  it.each([
    ['the row alone if no stroke differs', 3, [], [3]],
    ['rows with the most strokes, in ascending order', 9, strokesOf(5, 4, 4, 1, 2, 2, 2, 1), [1, 2, 4, 9]],
    ['each row once', 2, strokesOf(2, 2, 1), [1, 2]],
    ['the first of equal ones', 1, strokesOf(8, 7, 6, 5), [1, 5, 6, 7]],
  ])('%s', (_, row, strokes, shown) => {
    expect(rowsShown(row, strokes)).toEqual(shown);
  });
});
