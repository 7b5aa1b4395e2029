import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { messageBytes, writeMessage } from '../../../host/contract/messages.js';
import { readLayout } from '../../../host/recording/format.js';
import { classKey, classSlug, classText, type DifferenceClass } from '../../../host/review/shrink/difference-class.js';
import {
  changeCounts,
  columnOf,
  firstTicks,
  type InputBuffer,
  inputSignals,
  keepRows,
  lastTicks,
  readInputs,
  withColumn,
  withoutTicks,
  writeInputs,
} from '../../../host/review/shrink/input-buffer.js';
import { changePoints, halfway, holdBetween, medianOf, removeItems, smallestThat } from '../../../host/review/shrink/minimise.js';
import { type CandidateRuns, shrink } from '../../../host/review/shrink/shrink.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();

const upTo = (count: number): number[] => Array.from({ length: count }, (_, index) => index);

describe('removing items', () => {
  it.each([[[3, 17]], [[0]], [[99]], [[40, 41, 42, 43]], [[0, 25, 50, 75, 99]], [upTo(100)], [[]]])(
    'keeps only what is needed: %j of 100',
    (needed) => {
      expect(removeItems(upTo(100), (kept) => needed.every((one) => kept.includes(one)))).toEqual(needed);
    },
  );

  it('leaves no item that could be removed alone, if items depend on each other', () => {
    // Both items of a pair or none; at least three pairs.
    const isShown = (kept: readonly number[]): boolean => kept.every((one) => kept.includes(one ^ 1)) && kept.length >= 6;
    const left = removeItems(upTo(64), isShown);
    expect(left).toHaveLength(6);
    expect(isShown(left)).toBe(true);
  });

  it('needs few attempts for one item among many', () => {
    let attempts = 0;
    removeItems(upTo(1024), (kept) => {
      attempts += 1;
      return kept.includes(700);
    });
    expect(attempts).toBeLessThan(40);
  });

  it('goes no finer than the finest chunk', () => {
    expect(removeItems(upTo(64), (kept) => kept.includes(20), 16)).toHaveLength(16);
  });

  it.each([1, 2, 3, 7, 64, 999, 1000])('finds the smallest number, %i', (least) => {
    expect(smallestThat(1000, (count) => count >= least)).toBe(least);
  });

  it('returns undefined if no number satisfies the condition', () => {
    expect(smallestThat(1000, () => false)).toBeUndefined();
  });
});

describe('values over time', () => {
  it('finds changes, and none between NaN and NaN', () => {
    expect(changePoints([1, 1, 2, 2, Number.NaN, Number.NaN, 0, -0])).toEqual([2, 4, 6, 7]);
    expect(changePoints([])).toEqual([]);
  });

  it('holds values between the changes that are kept', () => {
    expect(holdBetween([1, 2, 3, 4, 5, 6], [2, 5])).toEqual([1, 1, 3, 3, 3, 6]);
    expect(holdBetween([1, 2, 3], [])).toEqual([1, 1, 1]);
  });

  it('halves the distance, for integers too, and arrives', () => {
    expect(halfway(100, 50, true)).toBe(75);
    expect(halfway(51, 50, true)).toBe(50);
    expect(halfway(-7, 0, true)).toBe(-3);
    expect(halfway(1, 0, false)).toBe(0.5);
    expect(halfway(0.001, 0, false)).toBe(0);
  });

  it('finds the median', () => {
    expect([medianOf([3, 1, 2]), medianOf([4, 1, 3, 2]), medianOf([Number.NaN, 5]), medianOf([])]).toEqual([2, 2, 5, 0]);
  });
});

/** Inputs with loadCounts 1000 · row + tick and supplyMv equal to the tick; everything else is 0. */
function inputs(rows: number, ticks: number): InputBuffer {
  const layout = readLayout(writeMessage(contract, 'input', rows));
  let recorded: InputBuffer = { layout, tickHz: 1000, ticks, bytes: new Uint8Array(ticks * messageBytes(contract, 'input', rows)) };
  for (const signal of inputSignals(layout)) {
    if (signal.name === 'loadCounts')
      recorded = withColumn(
        recorded,
        signal,
        upTo(ticks).map((tick) => 1000 * signal.row + tick),
      );
    if (signal.name === 'supplyMv') recorded = withColumn(recorded, signal, upTo(ticks));
  }
  return recorded;
}

/** A signal over time. */
function column(recorded: InputBuffer, name: string, row: number): number[] {
  const signal = inputSignals(recorded.layout).find((one) => one.name === name && one.row === row);
  return signal === undefined ? [] : columnOf(recorded, signal);
}

describe('an input buffer', () => {
  it('loses ticks and rows, and nothing else', () => {
    const recorded = inputs(3, 6);
    expect(column(firstTicks(recorded, 2), 'supplyMv', 0)).toEqual([0, 1]);
    expect(column(lastTicks(recorded, 2), 'supplyMv', 0)).toEqual([4, 5]);
    expect(column(withoutTicks(recorded, 1, 3), 'loadCounts', 3)).toEqual([3000, 3004, 3005]);
    const two = keepRows(recorded, [2, 0]);
    expect([two.layout.rows, column(two, 'supplyMv', 0)]).toEqual([2, upTo(6)]);
    expect([column(two, 'loadCounts', 1)[0], column(two, 'loadCounts', 2)[5]]).toEqual([3000, 1005]);
    expect(column(recorded, 'loadCounts', 1)).toEqual([1000, 1001, 1002, 1003, 1004, 1005]);
  });

  it('counts the changes of each signal', () => {
    const counts = changeCounts(inputs(2, 6));
    expect(counts.filter((count) => count > 0)).toEqual([5, 5, 5]);
  });

  it('is the same after writing and reading a recording', () => {
    const file = join(folder, 'recorded.mcap');
    const recorded = inputs(3, 2500);
    writeInputs(file, recorded, contract, { title: 'Made up' });
    const back = readInputs(file, contract);
    expect([back.ticks, back.tickHz, back.layout.rows]).toEqual([2500, 1000, 3]);
    expect(Buffer.compare(back.bytes, recorded.bytes)).toBe(0);
  });
});

describe('classes of differences', () => {
  const order = { kind: 'outputsDiffer', scope: 'row', signal: 'supplyOrder', base: 'none', head: 'open' } as const;
  const classes: DifferenceClass[] = [
    order,
    { ...order, head: 'close' },
    { ...order, signal: 'returnOrder' },
    { ...order, scope: 'bank' },
    { kind: 'stateDiffers', signal: 'valveState[supply].gain', of: 'state' },
    { kind: 'stopped', side: 'head', message: 'unreachable', at: 'wasm-function[3]:0x10' },
    { kind: 'stopped', side: 'head', message: 'unreachable', at: 'wasm-function[3]:0x20' },
    { kind: 'stopped', side: 'base', message: 'unreachable', at: 'wasm-function[3]:0x10' },
  ];

  it('have different keys', () => {
    expect(new Set(classes.map(classKey)).size).toBe(classes.length);
    expect(classKey({ ...order })).toBe(classKey(order));
  });

  it('have texts', () => {
    expect([0, 4, 5].map((index) => classText(classes[index] as DifferenceClass))).toEqual([
      'supplyOrder of a row: none → open',
      'state differs: valveState[supply].gain',
      'head stops: unreachable, wasm-function[3]:0x10',
    ]);
    expect([0, 4, 5].map((index) => classSlug(classes[index] as DifferenceClass))).toEqual([
      'supply-order',
      'valve-state-supply-gain',
      'stop',
    ]);
  });
});

/** The difference shows in the first tick in which a row's load is at least 2500, after three ticks with a supply of 3 or more. */
function fakeRuns(max = 10_000): CandidateRuns {
  const runs = {
    count: 0,
    get isSpent() {
      return runs.count >= max;
    },
    attempt(recorded: InputBuffer) {
      if (runs.isSpent || recorded.ticks === 0 || recorded.layout.rows === 0) return undefined;
      runs.count += 1;
      const supply = column(recorded, 'supplyMv', 0);
      const loads = upTo(recorded.layout.rows).map((index) => column(recorded, 'loadCounts', index + 1));
      const at = upTo(recorded.ticks).findIndex((tick) => {
        const ready = supply.slice(0, tick).filter((value) => value >= 3).length;
        return ready >= 3 && loads.some((values) => (values[tick] ?? 0) >= 2500);
      });
      return at < 0 ? undefined : firstTicks(recorded, at + 1);
    },
  };
  return runs;
}

describe('shrinking', () => {
  const difference = { class: { kind: 'stateDiffers', signal: 'loadN', of: 'probe' }, tick: 600, row: 2 } as const;

  it('finds the smallest inputs, where these are known', () => {
    const shrunk = shrink(inputs(4, 800), { ...difference }, undefined, fakeRuns());
    expect(shrunk).toMatchObject({
      isMinimal: true,
      before: { ticks: 800, rows: 4, changes: 5 * 799 },
      after: { ticks: 4, rows: 1, changes: 0 },
    });
    // Supply is at its typical value, 399; the typical load, the median of 1000 … 4799, is high enough.
    expect(column(shrunk?.inputs as InputBuffer, 'supplyMv', 0)).toEqual([399, 399, 399, 399]);
  });

  it('keeps values as close to the typical one as possible', () => {
    // One row: 1000 … 2799, whose median does not show it. 2500 is the smallest value that does.
    const shrunk = shrink(inputs(1, 1800), { ...difference, row: 1 }, undefined, fakeRuns());
    expect(shrunk?.after).toMatchObject({ ticks: 4, changes: 0 });
    expect(column(shrunk?.inputs as InputBuffer, 'loadCounts', 1)).toEqual([2500, 2500, 2500, 2500]);
  });

  it('is repeatable, and stops when its tries are used up', () => {
    const runs = [1, 2].map(() => shrink(inputs(4, 800), { ...difference }, undefined, fakeRuns(15)));
    expect(runs[0]).toMatchObject({ tries: 15, isMinimal: false });
    expect(runs[0]).toEqual(runs[1]);
    expect(runs[0]?.after.ticks).toBeLessThan(800);
  });

  it('returns undefined if nothing differs', () => {
    expect(shrink(inputs(1, 20), { ...difference, row: 1 }, undefined, fakeRuns())).toBeUndefined();
  });
});
