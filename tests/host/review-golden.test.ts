import { describe, expect, it } from 'vitest';
import { type Contract, describeContract } from '../../host/contract/contract.js';
import { type LaidField, type LaidRecord, layRecord } from '../../host/contract/layout.js';
import { strokesText, strokeText } from '../../host/report/review-text.js';
import { type Drive, makeSide } from '../../host/review/drive.js';
import { locateNothing } from '../../host/review/locate.js';
import type { RunReview } from '../../host/review/review.js';
import { reviewRun } from '../../host/review/review-run.js';
import { openings, rowsShown } from '../../host/review/sight.js';
import { floatText, isSame, keyOf, matchSignals, signalsOf } from '../../host/review/signals.js';
import { PairWatch } from '../../host/review/watch-pair.js';
import type { WasmTarget } from '../../host/target/wasm.js';
import { controller, loadCode, pressureCode } from '../support/bench.js';
import { Records } from '../support/records.js';

const TICKS = 700;
const VALUES = { strategy: 0, deadbandMode: 0, deadbandN: 60, frozenMs: 0, strokeWatch: 0, lowerSettleMs: 0 };

/** Inputs that make a row work: the load swings about its target. */
function feed(target: WasmTarget, tick: number): void {
  const records = new Records(target.input.buffer, controller.description.contract);
  const bank = {
    targetLoadN: 450,
    oilTemperatureC: 40,
    railCounts: pressureCode(15000),
    supplyMv: 12800,
    reservoirMv: 12800,
    lowered: 1,
    enabled: 1,
  };
  for (const [name, value] of Object.entries(bank)) records.set('bankInput', 0, name, value);
  const loadN = 450 + 300 * Math.sin(tick / 60);
  const row = { loadCounts: loadCode(loadN), pressureCounts: pressureCode(3500), accelerationCounts: 2048, enabled: 1 };
  for (const [name, value] of Object.entries(row)) records.set('rowInput', 0, name, value);
}

/** What is planted on the new side after a tick. */
type Plant = (target: WasmTarget, tick: number) => void;

/** Both sides run the same controller; the new one has something planted in its memory. */
function start(plant: Plant = () => {}, ticks = TICKS): Drive {
  const sides = {
    old: makeSide({ controller, values: VALUES }, 1, 'planted'),
    new: makeSide({ controller, values: VALUES }, 1, 'planted'),
  };
  const { target } = sides.new;
  let now = 0;
  const planted = {
    ...target,
    tick() {
      target.tick();
      plant(target, now);
    },
  };
  return {
    rows: 1,
    tickHz: 1000,
    ticks,
    old: sides.old,
    new: { ...sides.new, target: planted },
    notes: [],
    feed(tick) {
      now = tick;
      feed(sides.old.target, tick);
      feed(target, tick);
    },
    obey: () => {},
    close: () => {},
  };
}

const review = (plant?: Plant): Promise<RunReview> =>
  reviewRun({ name: 'planted', title: 'Planted', kind: 'vector', inputHash: '', notes: [], start: () => start(plant) }, locateNothing);

describe('golden reviews', () => {
  it('no change: same, and nothing to be seen', async () => {
    const { verdict, ticks, signals, first, firstOutput, sight, stopped, strokes } = await review();
    expect([verdict, ticks, signals, first, firstOutput, sight]).toEqual(['same', TICKS, [], undefined, undefined, undefined]);
    expect(stopped).toEqual({ old: undefined, new: undefined });
    // Something must have happened for “no change” to mean anything.
    expect(strokes.old).toBeGreaterThan(2);
    expect(strokes).toMatchObject({ added: 0, removed: 0, earlier: 0, later: 0, changes: [] });
  });

  it('not a number with other bits is no change', async () => {
    const place = new Records(new ArrayBuffer(0), describeContract()).locate('rowProbe', 0, 'inertia5N').at;
    const nan = (target: WasmTarget, bits: number): void => new DataView(target.output.buffer).setUint32(place, bits, true);
    // Both sides get one, each its own.
    const plantBoth = (): Drive => {
      const drive = start((target) => nan(target, 0xffc0_0001));
      const { target } = drive.old;
      const tick = (): void => {
        target.tick();
        nan(target, 0x7fc0_0000);
      };
      return { ...drive, old: { ...drive.old, target: { ...target, tick } } };
    };
    const found = await reviewRun({ name: 'nan', title: '', kind: 'vector', inputHash: '', notes: [], start: plantBoth }, locateNothing);
    expect(found.verdict).toBe('same');
  });

  it('not a number in place of a number is inner, and shown as such', async () => {
    const found = await review((target, tick) => tick === 100 && target.field('rowProbe', 'inertia5N').set(0, Number.NaN));
    expect(found).toMatchObject({
      verdict: 'inner',
      first: { tick: 100, row: 1, signal: 'inertia5N', kind: 'probe', old: '0', new: 'NaN' },
      firstOutput: undefined,
    });
    expect(found.signals).toHaveLength(1);
  });

  it('−0 is not 0', async () => {
    const found = await review((target, tick) => tick === 5 && target.field('rowProbe', 'inertia5N').set(0, -0));
    expect(found).toMatchObject({ verdict: 'inner', first: { tick: 5, signal: 'inertia5N', old: '0', new: '-0' } });
  });

  it('an output that differs for three ticks: one stroke more, at its tick', async () => {
    const found = await review((target, tick) => tick >= 200 && tick < 203 && target.field('rowOutput', 'returnOrder').set(0, 1));
    expect(found).toMatchObject({
      verdict: 'outputs',
      first: { tick: 200, row: 1, signal: 'returnOrder', kind: 'output', old: 'none', new: 'open' },
      firstOutput: { tick: 200, row: 1, signal: 'returnOrder' },
    });
    expect(found.strokes).toMatchObject({
      added: 1,
      removed: 0,
      earlier: 0,
      later: 0,
      changes: [{ row: 1, valve: 'return', order: 'open', new: 200 }],
    });
    expect(found.strokes.new).toBe(found.strokes.old + 1);
    expect(found.sight?.around).toMatchObject({ first: 175, ticks: 50, stretches: 50 });
    expect(found.sight?.around.tracks[0]?.signal).toBe('returnOrder');
    expect(found.sight?.around.tracks[0]?.new?.most.slice(24, 29)).toEqual([0, 1, 1, 1, 0]);
    const states = found.sight?.states.find(({ row }) => row === 1)?.values ?? [];
    expect(states.filter(({ differs }) => differs).map(({ signal, old, new: fresh }) => [signal, old, fresh])).toEqual([
      ['returnOrder', 'none', 'open'],
    ]);
    expect(states.length).toBeGreaterThan(100);
  });

  it('a side that stops, and so is shorter: where, and with what words', async () => {
    const found = await review((_, tick) => {
      if (tick === 300) throw new WebAssembly.RuntimeError('unreachable');
    });
    expect(found).toMatchObject({
      verdict: 'stopped',
      ticks: 300,
      first: { tick: 300, row: 0, signal: 'stop', old: 'runs on', new: 'stopped: unreachable' },
      stopped: { old: undefined, new: { tick: 300, message: 'unreachable' } },
    });
  });

  it('what is seen around a difference at the very begin and end stays within the run', async () => {
    for (const [at, first] of [
      [0, 0],
      [TICKS - 1, TICKS - 50],
    ]) {
      const found = await review((target, tick) => tick === at && target.field('rowProbe', 'inertia5N').set(0, 1));
      expect(found.first?.tick).toBe(at);
      expect(found.sight?.around).toMatchObject({ first, ticks: 50 });
    }
  });
});

/** The contract with one record changed, its places moved apart so that none overlaps. */
function withRecord(name: string, change: (fields: LaidField[]) => Omit<LaidField, 'offset'>[]): Contract {
  const contract = describeContract();
  const records = contract.records.map(
    (record): LaidRecord => (record.name === name ? layRecord({ ...record, fields: change([...record.fields]) }) : record),
  );
  let at = 16;
  const places = contract.places.map((place) => {
    const placed = { ...place, at };
    at = Math.ceil((at + (records.find((record) => record.name === place.record)?.size ?? 0) * place.count) / 4) * 4;
    return placed;
  });
  return { ...contract, records, places };
}

const spareField = { name: 'spareX', type: 'u32', unit: 'none', help: '' } as const;
const ROWS = 2;

describe('matching by name', () => {
  const old = describeContract();
  const match = (fresh: Contract) => matchSignals(signalsOf(old, ROWS), signalsOf(fresh, ROWS));
  const named = (signals: readonly { row: number; name: string }[]): string[] => signals.map(keyOf);

  it('knows the names of rows, valves, channels and fault timers', () => {
    const names = named(signalsOf(old, ROWS));
    for (const name of [
      '0 mode',
      '1 loadN',
      '2 loadN',
      '2 valveState[return].gain',
      '1 channelState[pressure].value',
      '0 railState.value',
      '2 rowFaultTimer[loadOpen].ticks',
      '0 channelSetting[rail].unitAtZero',
    ])
      expect(names).toContain(name);
    expect(new Set(names).size).toBe(names.length);
    expect(names).not.toContain('3 loadN');
  });

  it('finds everything again where nothing changed', () => {
    const { pairs, added, removed } = match(describeContract());
    expect([pairs.length > 400, added, removed]).toEqual([true, [], []]);
  });

  it('tells what was added and removed, and still matches what moved', () => {
    const fresh = withRecord('RowProbe', (fields) => [
      { name: 'extraN', type: 'f32', unit: 'newton', help: '' },
      ...fields.filter(({ name }) => name !== 'noiseN'),
    ]);
    const { pairs, added, removed } = match(fresh);
    expect(named(added)).toEqual(['1 extraN', '2 extraN']);
    expect(named(removed)).toEqual(['1 noiseN', '2 noiseN']);
    const load = pairs.find((pair) => keyOf(pair.new) === '2 loadN');
    expect(load?.new.recordAt).toBe((load?.old.recordAt ?? 0) + 0);
    expect(load?.new.field.offset).toBe((load?.old.field.offset ?? 0) + 4);
  });

  it('compares what was retyped by its value, and words by what they mean', () => {
    const retyped = withRecord('RowProbe', (fields) => [
      ...fields.map((field) => (field.name === 'openTicks' ? { ...field, type: 'u32' as const } : field)),
      { ...spareField, type: 'u16' as const },
    ]);
    const ticks = match(retyped).pairs.find((pair) => keyOf(pair.new) === '1 openTicks');
    expect([ticks && isSame(ticks, 7, 7), ticks && isSame(ticks, 7, 8)]).toEqual([true, false]);
    const words = { ...old, enums: { ...old.enums, RowMode: ['starting', 'off', 'braking', 'holding', 'working', 'frozen', 'venting'] } };
    const mode = match(words).pairs.find((pair) => keyOf(pair.new) === '1 mode');
    expect(mode && [isSame(mode, 3, 4), isSame(mode, 3, 3)]).toEqual([true, false]);
  });

  it('and faults by their names, whatever their bits', () => {
    const faults = old.faults.map((fault) => (fault.scope === 'row' ? { ...fault, code: (fault.code + 1) % 24 } : fault));
    const pair = match({ ...old, faults }).pairs.find((one) => keyOf(one.new) === '1 faults');
    const bit = (list: typeof faults, name: string): number =>
      2 ** (list.find((one) => one.scope === 'row' && one.name === name)?.code ?? 0);
    expect(pair && isSame(pair, bit([...old.faults], 'loadOpen'), bit(faults, 'loadOpen'))).toBe(true);
    expect(pair && isSame(pair, bit([...old.faults], 'loadOpen'), bit([...old.faults], 'loadOpen'))).toBe(false);
  });

  it('two layouts compare: each signal that differs is told once, padding never', () => {
    const fresh = withRecord('RowProbe', (fields) => [{ name: 'extraN', type: 'f32', unit: 'newton', help: '' }, ...fields]);
    const { pairs } = match(fresh);
    const [a, b] = [new ArrayBuffer(65536), new ArrayBuffer(65536)];
    const watch = new PairWatch(a, b, pairs);
    const told = (): string[] => {
      const names: string[] = [];
      watch.scan((pair, before, after) => void names.push(`${keyOf(pair.new)} ${before} ${after}`));
      return names;
    };
    expect(told()).toEqual([]);
    new Records(a, old).set('rowProbe', 1, 'loadN', 5);
    new Records(b, fresh).set('rowProbe', 1, 'loadN', 5);
    new Records(b, fresh).set('rowProbe', 1, 'extraN', 9);
    const output = new Records(b, fresh).locate('rowOutput', 0, 'returnOrder').at;
    new DataView(b).setUint8(output + 1, 7);
    expect(told()).toEqual([]);
    new Records(b, fresh).set('rowProbe', 0, 'wish', 1);
    new Records(b, fresh).set('rowProbe', 1, 'loadN', 6);
    expect(told()).toEqual(['1 wish 0 1', '2 loadN 5 6']);
    expect(told()).toEqual([]);
  });
});

describe('a side', () => {
  it('that refuses a parameter, or has no room for the rows, says which and what it would take', () => {
    expect(() => makeSide({ controller, values: { deadbandSigmas: 99 } }, 1, 'some-case')).toThrow(
      /^some-case: deadbandSigmas 99 — allowed: what build .* takes$/,
    );
    expect(() => makeSide({ controller, values: {} }, 49, 'some-case')).toThrow(/^some-case: rows 49 — allowed: 1 to 48, for which build /);
  });
});

describe('texts', () => {
  it.each([
    [Math.fround(0.1), '0.1'],
    [-0, '-0'],
    [Number.NaN, 'NaN'],
    [Number.NEGATIVE_INFINITY, '-Infinity'],
    [16777217, '16777216'],
    [Math.fround(1 / 3), '0.33333334'],
    [Math.fround(1e-7), '1e-7'],
  ])('%d of 32 bits is written %s', (value, text) => {
    expect(floatText(Math.fround(value))).toBe(text);
    if (Number.isFinite(value)) expect(Math.fround(Number(text))).toBe(Math.fround(value));
  });

  it.each([
    [{ old: 10, new: 13 }, 1000, 'later by 3 ticks (3 ms)'],
    [{ old: 10, new: 9 }, 500, 'earlier by 1 tick (2 ms)'],
    [{ new: 9 }, 1000, 'added'],
    [{ old: 9 }, 1000, 'removed'],
  ])('a stroke of %j at %d Hz: %s', (ticks, tickHz, text) => {
    expect(strokeText({ row: 1, valve: 'supply', order: 'open', ...ticks }, tickHz)).toBe(text);
  });

  it('all strokes in a phrase, with the range of shifts on each side', () => {
    const change = (old: number, fresh: number) => ({ row: 1, valve: 'supply', order: 'open', old, new: fresh }) as const;
    const strokes = { old: 9, new: 9, added: 1, removed: 2, earlier: 2, later: 1, earliest: -7, latest: 3 };
    expect(strokesText({ ...strokes, changes: [change(20, 13), change(30, 28), change(40, 43)] }, 1000)).toBe(
      '1 added, 2 removed, 2 earlier by 2 to 7 ticks (2 to 7 ms), 1 later by 3 ticks (3 ms)',
    );
  });
});

describe('lanes', () => {
  const order = (tick: number, value: string, row = 1, signal = 'supplyOrder') => ({ tick, row, signal, value });

  it('a valve is open from its opening stroke to its closing one, or to the end', () => {
    const changes = [
      order(5, 'close'),
      order(10, 'open'),
      order(12, 'none'),
      order(20, 'close'),
      order(22, 'none'),
      order(30, 'open'),
      order(31, 'open', 2),
    ];
    expect(openings(changes, 1, 'supply', 100)).toEqual([
      [10, 20],
      [30, 100],
    ]);
    expect(openings(changes, 1, 'return', 100)).toEqual([]);
  });

  it('rows are those whose strokes change most, with the one that parts, in order', () => {
    const stroke = (row: number) => ({ row, valve: 'supply', order: 'open', new: 1 }) as const;
    expect(rowsShown(7, [1, 1, 2, 3, 3, 3, 4, 5, 5].map(stroke))).toEqual([1, 3, 5, 7]);
    expect(rowsShown(2, [])).toEqual([2]);
  });
});
