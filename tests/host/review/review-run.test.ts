import { describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { describeContract } from '../../../host/contract/contract.js';
import type { LaidRecord } from '../../../host/contract/layout.js';
import type { Change } from '../../../host/replay/change.js';
import { strokesText, strokeText } from '../../../host/report/review/review-text.js';
import { type Drive, driveByRecording, messageCopier } from '../../../host/review/drive.js';
import { locateNothing } from '../../../host/review/locate.js';
import { metricChange, ReplayTally, replayMetrics, worseBy } from '../../../host/review/replay-metrics.js';
import type { RunReview, StrokeChange, StrokeReview } from '../../../host/review/review.js';
import { type RunToReview, reviewRun } from '../../../host/review/review-run.js';
import { openings, rowsShown } from '../../../host/review/sight.js';
import { addressOf, keyOf, signalsOf } from '../../../host/review/signals.js';
import { type Controller, loadController, type WasmRunner } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { PROJECT } from '../../support/project.js';

const controller = loadController(PROJECT.controllerWasm);
const contract = describeContract();
const one = readVector(PROJECT, 'relatch-at-rest');
/** Ticks of the recording. */
const TICKS = 6000;
/** Lines of its accepted outputs that begin a stroke. */
const OLD_STROKES = 60;

type Planted = (tick: number, target: WasmRunner) => void;

/** What a side does in a tick besides its own: called before it and after it. */
interface Plant {
  readonly before?: Planted;
  readonly after?: Planted;
}

/** A drive of one build on both sides, with something planted on each. */
function startWith(old: Plant, fresh: Plant, newController: Controller = controller): Drive {
  const choice = { controller, values: one.values };
  const drive = driveByRecording(one, choice, { ...choice, controller: newController });
  const planted = (side: Drive['old'], plant: Plant): Drive['old'] => {
    let tick = 0;
    const run = (): void => {
      plant.before?.(tick, side.target);
      side.target.tick();
      plant.after?.(tick, side.target);
      tick += 1;
    };
    return { ...side, target: { ...side.target, tick: run } };
  };
  return { ...drive, old: planted(drive.old, old), new: planted(drive.new, fresh) };
}

const runOf = (start: () => Drive): RunToReview => ({
  name: one.name,
  title: one.title,
  kind: 'vector',
  inputHash: '',
  notes: [],
  start,
});

const review = (old: Plant, fresh: Plant, change: (drive: Drive) => Drive = (drive) => drive): Promise<RunReview> =>
  reviewRun(
    runOf(() => change(startWith(old, fresh))),
    locateNothing('told so'),
  );

/** Sets a probe that nothing in the controller reads. */
const present =
  (at: number, value: number): Planted =>
  (tick, target) => {
    if (tick === at) target.field('rowProbe', 'presentN').set(0, value);
  };

/** Puts a float's bits where row 1 has that probe. */
function bits(of: number): Planted {
  const signal = signalsOf(contract, 1).find((each) => keyOf(each) === '1 presentN');
  if (signal === undefined) throw new Error('no such probe');
  return (_, target) => new DataView(target.output.buffer).setUint32(addressOf(signal), of, true);
}

const stopAt = (at: number, message: string): Plant => ({
  before: (tick) => {
    if (tick === at) throw new WebAssembly.RuntimeError(message);
  },
});

const NO_STROKES = { added: 0, removed: 0, earlier: 0, later: 0, earliest: 0, latest: 0, changes: [] };

describe('reviewRun', () => {
  it('the same on both sides: no difference, and nothing to be seen', async () => {
    const run = await review({}, {});
    expect(run).toMatchObject({ verdict: 'same', rows: 3, ticks: TICKS, tickHz: 1000, signals: [], strokes: NO_STROKES, stopped: {} });
    expect([run.first, run.firstOutput, run.sight]).toEqual([undefined, undefined, undefined]);
    expect(run.strokes.old).toBe(run.strokes.new);
    expect(run.metrics.map(({ worseBy: worse }) => worse)).toEqual([0, 0, 0, 0, 0, 0, 0]);
  });

  it('bits of what is not a number don’t count', async () => {
    expect(await review({ after: bits(0x7fc00000) }, { after: bits(0xffc12345) })).toMatchObject({ verdict: 'same', signals: [] });
  });

  it('not a number and a number do', async () => {
    const run = await review({ after: bits(0x7fc00000) }, { after: bits(0x3f800000) });
    expect(run).toMatchObject({ verdict: 'inner', first: { tick: 0, row: 1, signal: 'presentN', old: 'NaN', new: '1' } });
  });

  it('0 and −0 are an inner difference', async () => {
    const run = await review({ after: present(700, 0) }, { after: present(700, -0) });
    expect(run.first).toEqual({
      ...{ tick: 700, row: 1, signal: 'presentN', kind: 'probe', unit: 'newton', old: '0', new: '-0' },
      because: 'no line: told so',
    });
    expect(run).toMatchObject({ verdict: 'inner', strokes: NO_STROKES });
    expect([run.signals.length, run.firstOutput]).toEqual([1, undefined]);
    const states = run.sight?.states.map(({ row, values }) => [row, values.filter(({ differs }) => differs).map(({ signal }) => signal)]);
    expect(states).toEqual([
      [0, []],
      [1, ['presentN']],
    ]);
  });

  it('what is shown is the value that is located, not the first one in memory', async () => {
    const run = await reviewRun(
      runOf(() => startWith({ after: present(700, 0) }, { after: present(700, 7) })),
      async (_drive, found, { tick, before, after }) => {
        expect([tick, before.new.length, Buffer.from(after.new).equals(Buffer.from(after.old))]).toEqual([700, after.new.length, false]);
        return { ...found, row: 3, signal: 'zeroN', because: 'it is worked out first' };
      },
    );
    expect(run.signals.map(({ row, signal }) => [row, signal])).toEqual([[1, 'presentN']]);
    expect([run.sight?.around, run.sight?.overview].map((of) => [of?.tracks[0]?.signal, of?.tracks[0]?.row])).toEqual([
      ['zeroN', 3],
      ['zeroN', 3],
    ]);
    expect(run.sight?.states.map(({ row }) => row)).toEqual([0, 3]);
    expect(run.sight?.lanes.map(({ row }) => row)).toEqual([3, 3]);
  });

  it('an order for three ticks is a stroke that was added', async () => {
    const run = await review(
      {},
      {
        after: (tick, target) => {
          if (tick >= 600 && tick < 603) target.field('rowOutput', 'supplyOrder').set(0, 1);
        },
      },
    );
    const parting = { tick: 600, row: 1, signal: 'supplyOrder', kind: 'output', unit: 'none', old: 'none', new: 'open' };
    expect(run).toMatchObject({ verdict: 'outputs', first: parting, firstOutput: parting });
    expect(run.strokes).toEqual({
      ...{ ...NO_STROKES, old: run.strokes.old, new: run.strokes.old + 1, added: 1 },
      changes: [{ row: 1, valve: 'supply', order: 'open', old: undefined, new: 600 }],
    });
    expect(run.sight?.around).toMatchObject({ first: 575, ticks: 50, stretches: 50 });
    const track = run.sight?.around.tracks[0];
    expect(track).toMatchObject({ signal: 'supplyOrder', row: 1, words: ['none', 'open', 'close'] });
    expect(track?.old?.most.slice(24, 29)).toEqual([0, 0, 0, 0, 0]);
    expect(track?.new?.most.slice(24, 29)).toEqual([0, 1, 1, 1, 0]);
  });

  it('a stroke three ticks later, another two ticks earlier, and one left out', async () => {
    // Accepted outputs: row 1 supply open 683 to 684, row 3 supply close 839 to 840, row 2 supply open 992 to 993.
    const orders = new Map<string, number>();
    const order = (row: number, ticks: readonly number[], value: number): void => {
      for (const tick of ticks) orders.set(`${tick} ${row}`, value);
    };
    order(1, [683, 684, 685], 0);
    order(1, [686, 687], 1);
    order(3, [837, 838], 2);
    order(3, [839, 840], 0);
    order(2, [992, 993], 0);
    const after: Planted = (tick, target) => {
      for (const row of [1, 2, 3]) {
        const value = orders.get(`${tick} ${row}`);
        if (value !== undefined) target.field('rowOutput', 'supplyOrder').set(row - 1, value);
      }
    };
    const { strokes, verdict } = await review({}, { after });
    expect(verdict).toBe('outputs');
    expect(strokes).toEqual({
      ...{ old: OLD_STROKES, new: OLD_STROKES - 1, added: 0, removed: 1, earlier: 1, later: 1, earliest: -2, latest: 3 },
      changes: [
        { row: 1, valve: 'supply', order: 'open', old: 683, new: 686 },
        { row: 3, valve: 'supply', order: 'close', old: 839, new: 837 },
        { row: 2, valve: 'supply', order: 'open', old: 992, new: undefined },
      ],
    });
    expect(strokesText(strokes, 1000)).toBe('1 removed, 1 earlier by 2 ticks (2 ms), 1 later by 3 ticks (3 ms)');
  });

  it('a side that stops: in which tick, and with which words', async () => {
    const run = await review({}, stopAt(100, 'unreachable'));
    expect(run).toMatchObject({ verdict: 'stopped', ticks: 100 });
    expect(run.first).toMatchObject({ tick: 100, row: 0, signal: 'stop', old: 'runs on', new: 'stopped: unreachable' });
    expect(run.stopped).toEqual({ old: undefined, new: { tick: 100, message: 'unreachable' } });
  });

  it('the old side too', async () => {
    const run = await review(stopAt(0, 'unreachable'), {});
    expect(run).toMatchObject({ verdict: 'stopped', ticks: 0, stopped: { old: { tick: 0 } } });
    expect(run.first).toMatchObject({ old: 'stopped: unreachable', new: 'runs on' });
    expect(run.metrics.find(({ name }) => name === 'pulsesPerMin')).toMatchObject({ old: null, new: null, worseBy: 0 });
  });

  it('both sides that stop in the same tick are not called the same', async () => {
    const run = await review(stopAt(100, 'unreachable'), stopAt(100, 'unreachable'));
    expect(run).toMatchObject({ verdict: 'stopped', ticks: 100, stopped: { old: { tick: 100 }, new: { tick: 100 } } });
  });

  it('for another reason they are not', async () => {
    expect(await review(stopAt(100, 'unreachable'), stopAt(100, 'integer overflow'))).toMatchObject({ verdict: 'stopped' });
  });

  it('what differs before the stop is the first difference', async () => {
    const fresh = { ...stopAt(100, 'unreachable'), after: present(90, 12345) };
    expect(await review({}, fresh)).toMatchObject({ verdict: 'stopped', first: { tick: 90, signal: 'presentN' } });
  });

  it('another kind of error is none of the controller’s', async () => {
    const before: Planted = () => {
      throw new TypeError('a fault of ours');
    };
    await expect(review({}, { before })).rejects.toThrow(TypeError);
  });

  it('a recording that ends early is refused, and closed', async () => {
    const drive = { ...startWith({}, {}), ticks: TICKS + 1 };
    const closed: string[] = [];
    const start = (): Drive => ({ ...drive, close: () => void closed.push('closed') });
    await expect(reviewRun(runOf(start), locateNothing('told so'))).rejects.toThrow(
      `allowed: ${TICKS}: a case has an input for every tick from 0`,
    );
    expect(closed).toEqual(['closed']);
  });

  it.each([
    ['rows', { rows: 4 }, 'rows 3 — allowed: 4, as the case says'],
    ['another tick rate', { tickHz: 500 }, 'tick rate 1000 — allowed: 500 Hz, as the case says'],
  ])('so is one of %s than the case says', (_, change, words) => {
    const choice = { controller, values: one.values };
    const drive = (): Drive => driveByRecording({ ...one, ...change }, choice, choice);
    expect(drive).toThrow(InputError);
    expect(drive).toThrow(words);
  });

  it('words that have other numbers in the new build are the same words, the first one too', async () => {
    const names = contract.enums.RowMode ?? [];
    const enums = { ...contract.enums, RowMode: ['asleep', ...names] };
    const fresh = { ...controller, description: { ...controller.description, contract: { ...contract, enums } } };
    const shift =
      (by: number) =>
      (_: number, target: WasmRunner): void => {
        const mode = target.field('rowOutput', 'mode');
        for (let row = 0; row < one.rows; row++) mode.set(row, mode.get(row) + by);
      };
    // Numbers are the build's own while it ticks; before the first one there are none.
    const plant = { before: (tick: number, target: WasmRunner) => tick > 0 && shift(-1)(tick, target), after: shift(1) };
    const run = await reviewRun(
      runOf(() => {
        const drive = startWith({}, plant, fresh);
        shift(1)(0, drive.new.target);
        return drive;
      }),
      locateNothing('told so'),
    );
    expect(run).toMatchObject({ verdict: 'same', signals: [], strokes: NO_STROKES });
  });
});

describe('what is around a parting', () => {
  it.each([
    ['in the first tick', 0, 0],
    ['while the window cannot reach back', 24, 0],
    ['as soon as it can', 26, 1],
    ['near the end', TICKS - 25, TICKS - 50],
    ['in the last tick', TICKS - 1, TICKS - 50],
  ])('%s', async (_, tick, first) => {
    const { sight } = await review({ after: present(tick, 0) }, { after: present(tick, 7) });
    expect(sight?.around).toMatchObject({ first, ticks: 50, stretches: 50 });
    const { old, new: fresh } = sight?.around.tracks[0] ?? {};
    expect([old?.most[tick - first], fresh?.most[tick - first]]).toEqual([0, 7]);
    expect(fresh?.most).toHaveLength(50);
    expect(sight?.overview).toMatchObject({ first: 0, ticks: TICKS, stretches: 480 });
  });

  it('a run shorter than the window is shown whole', async () => {
    const { sight, ticks } = await review({ after: present(5, 0) }, { after: present(5, 7) }, (drive) => ({ ...drive, ticks: 20 }));
    expect(ticks).toBe(20);
    expect(sight?.around).toMatchObject({ first: 0, ticks: 20, stretches: 20 });
    expect(sight?.overview).toMatchObject({ first: 0, ticks: 20, stretches: 20 });
  });

  it('what configure() makes otherwise parts before the first tick', async () => {
    const run = await reviewRun(
      runOf(() => {
        const drive = startWith({}, {});
        drive.new.target.field('coefficients', 'noiseWeight').set(0, 0.5);
        return drive;
      }),
      locateNothing('told so'),
    );
    expect(run.first).toMatchObject({ tick: -1, row: 0, signal: 'coefficients.noiseWeight', kind: 'derived', new: '0.5' });
    expect(run.sight?.around).toMatchObject({ first: 0, ticks: 50 });
  });
});

describe('inputs for another layout', () => {
  const record = (...names: string[]): LaidRecord => ({
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
    ['gaps are none of them', { bank: record('spare', 'a'), row: record('c') }, [], [0, 1, 3, 5]],
  ])('%s', (_, to, lacking, words) => {
    const into = new Uint8Array(words.length * 2);
    const copier = messageCopier(from, to, 2, into);
    copier.copy(payload);
    expect([copier.lacking, [...new Uint16Array(into.buffer)]]).toEqual([lacking, words]);
  });
});

const changes = (...texts: string[]): Change[] =>
  texts.map((text) => {
    const [tick = '', row = '', signal = '', value = ''] = text.split(' ');
    return { tick: Number(tick), row: Number(row), signal, value };
  });

describe('metrics of a run over recorded inputs', () => {
  type Values = Record<string, number[]>;

  /** A target of which only these fields are asked. */
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

  it('the load’s error is of ticks in which the row works and has one', () => {
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
  ])('strokes over time and energy: %d rows at %d Hz', (rows, tickHz, expected) => {
    const tally = new ReplayTally(fake(rows, {}));
    for (let tick = 0; tick < 6000; tick++) tally.take();
    const strokes = changes('1 1 supplyOrder open', '3 1 supplyOrder none', '9 1 supplyOrder close', '11 1 supplyOrder none');
    const more = changes('20 1 returnOrder open', '22 1 returnOrder none', '30 1 returnOrder close', '30 0 mode working');
    const found = named(tally.metrics([...strokes, ...more], tickHz, { strokeMj: 30 }), 'pulsesPerMin', 'strokesPerMin', 'strokeW');
    for (const [index, value] of expected.entries()) expect(found[index]).toBeCloseTo(value, 12);
  });

  it('strokes have the usual energy where none is set', () => {
    const tally = new ReplayTally(fake(1, {}));
    for (let tick = 0; tick < 1000; tick++) tally.take();
    // 50 mJ in 1 s.
    expect(tally.metrics(changes('1 1 supplyOrder close'), 1000, {}).strokeW).toBeCloseTo(0.05, 12);
  });

  it('oil is what flows through supply valves while they are open', () => {
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

  it('the longest wait of any row, in milliseconds', () => {
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

  it('faults are counted each time that they are raised', () => {
    const told = ['1 0 faults supplyLow', '2 1 faults leak', '3 0 faults supplyLow+railLow', '4 0 faults railLow', '5 0 faults none'];
    const tally = new ReplayTally(fake(1, {}));
    expect(tally.metrics(changes(...told, '6 0 faults railLow'), 1000, {}).faultsSet).toBe(4);
  });

  it('a build without such a field has no such metric', () => {
    const records = contract.records.map((one) => (one.name === 'RowProbe' ? { ...one, fields: [] } : one));
    const description = { ...controller.description, contract: { ...contract, records } };
    const tally = new ReplayTally({ ...fake(1, { 'rowOutput.mode': [WORKING] }), description });
    tally.take();
    const metrics = tally.metrics([], 1000, {});
    expect(named(metrics, 'measuredErrorRmsN', 'longestCloseWaitMs', 'pulsesPerMin')).toEqual([Number.NaN, Number.NaN, 0]);
    const known = { ...metrics, measuredErrorRmsN: 5 };
    expect(replayMetrics(metrics, known)[0]).toMatchObject({ name: 'measuredErrorRmsN', old: null, new: 5, worseBy: 0 });
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
  ] as const)('%s → %s, worse with %s: %d', (old, fresh, worse, by) => {
    expect(worseBy(old, fresh, worse)).toBeCloseTo(by, 12);
  });

  it('puts the worst first, and equals in the table’s order', () => {
    const metrics = (loads: number, pulses: number, faults: number) => ({
      ...{ measuredErrorRmsN: loads, pulsesPerMin: pulses, strokesPerMin: 2, estimatedOilLpm: 3, strokeW: 4, longestCloseWaitMs: 5 },
      faultsSet: faults,
    });
    const order = replayMetrics(metrics(100, 10, 0), metrics(110, 5, 2)).map(({ name, worseBy: worse }) => [name, worse]);
    expect(order).toEqual([
      ['faultsSet', 1],
      ['measuredErrorRmsN', 0.1],
      ['strokesPerMin', 0],
      ['estimatedOilLpm', 0],
      ['strokeW', 0],
      ['longestCloseWaitMs', 0],
      ['pulsesPerMin', -0.5],
    ]);
  });

  it('what is no number is null', () => {
    const kind = { name: 'any', unit: 'none', worse: 'more', help: '' } as const;
    expect(metricChange(kind, Number.NaN, Number.POSITIVE_INFINITY)).toMatchObject({ old: null, new: null, worseBy: 0 });
  });
});

const stroke = (old: number | undefined, fresh: number | undefined): StrokeChange => ({
  ...{ row: 1, valve: 'supply', order: 'open' },
  ...(old === undefined ? {} : { old }),
  ...(fresh === undefined ? {} : { new: fresh }),
});

describe('what became of strokes, in words', () => {
  it.each([
    [stroke(100, 103), 1000, 'later by 3 ticks (3 ms)'],
    [stroke(100, 99), 500, 'earlier by 1 tick (2 ms)'],
    [stroke(100, 103), 2000, 'later by 3 ticks (1.50 ms)'],
    [stroke(undefined, 5), 1000, 'added'],
    [stroke(5, undefined), 1000, 'removed'],
    [stroke(0, 1), 1000, 'later by 1 tick (1 ms)'],
  ])('%j at %d Hz', (change, tickHz, text) => {
    expect(strokeText(change, tickHz)).toBe(text);
  });

  const none = { old: 0, new: 0, ...NO_STROKES };
  const shifted = { ...none, earlier: 2, later: 1, earliest: -4, latest: 3, changes: [stroke(9, 5), stroke(20, 23), stroke(30, 29)] };

  it.each<[string, StrokeReview, number, string]>([
    ['nothing', none, 1000, ''],
    ['added and removed', { ...none, added: 2, removed: 1 }, 1000, '2 added, 1 removed'],
    ['ranges', shifted, 1000, '2 earlier by 1 to 4 ticks (1 to 4 ms), 1 later by 3 ticks (3 ms)'],
    ['ranges at 500 Hz', { ...shifted, later: 0 }, 500, '2 earlier by 1 to 4 ticks (2 to 8 ms)'],
    [
      'more than are listed',
      { ...none, added: 1000, later: 3, latest: 6, changes: [stroke(undefined, 1)] },
      1000,
      '1000 added, 3 later by up to 6 ticks (6 ms)',
    ],
  ])('%s', (_, strokes, tickHz, text) => {
    expect(strokesText(strokes, tickHz)).toBe(text);
  });
});

describe('valves and rows that are shown', () => {
  it('a valve is open from the opening stroke to the closing one, or to the end', () => {
    const told = changes(
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
    expect(openings(told, 1, 'supply', 50)).toEqual([
      [10, 20],
      [30, 50],
    ]);
    expect(openings(told, 2, 'supply', 50)).toEqual([[12, 50]]);
    expect(openings(told, 1, 'return', 50)).toEqual([]);
  });

  const strokesOf = (...rows: number[]): StrokeChange[] => rows.map((row) => ({ ...stroke(1, 2), row }));

  it.each([
    ['the row itself where no stroke differs', 3, [], [3]],
    ['those with most strokes, in the bank’s order', 9, strokesOf(5, 4, 4, 1, 2, 2, 2, 1), [1, 2, 4, 9]],
    ['the row once', 2, strokesOf(2, 2, 1), [1, 2]],
    ['of equals the first ones', 1, strokesOf(8, 7, 6, 5), [1, 5, 6, 7]],
  ])('%s', (_, row, strokes, shown) => {
    expect(rowsShown(row, strokes)).toEqual(shown);
  });
});
