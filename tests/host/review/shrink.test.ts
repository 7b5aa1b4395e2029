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
  type HeldInputs,
  inputSignals,
  keepRows,
  lastTicks,
  readHeld,
  withColumn,
  withoutTicks,
  writeHeld,
} from '../../../host/review/shrink/held-inputs.js';
import { changePoints, halfway, heldBetween, middleOf, removeItems, smallestThat } from '../../../host/review/shrink/minimise.js';
import { shrink, type Tries } from '../../../host/review/shrink/shrink.js';
import { temporaryFolder } from '../../support/command.js';

const contract = describeContract();
const folder = temporaryFolder();

const upTo = (count: number): number[] => Array.from({ length: count }, (_, index) => index);

describe('leaving items out', () => {
  it.each([[[3, 17]], [[0]], [[99]], [[40, 41, 42, 43]], [[0, 25, 50, 75, 99]], [upTo(100)], [[]]])(
    'keeps just what is needed: %j of 100',
    (needed) => {
      expect(removeItems(upTo(100), (kept) => needed.every((one) => kept.includes(one)))).toEqual(needed);
    },
  );

  it('leaves none that could go by itself, where items hang together', () => {
    // Either both of a pair or none; at least three pairs.
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

  it('goes no finer than it is told', () => {
    expect(removeItems(upTo(64), (kept) => kept.includes(20), 16)).toHaveLength(16);
  });

  it.each([1, 2, 3, 7, 64, 999, 1000])('finds the smallest number, %i', (least) => {
    expect(smallestThat(1000, (count) => count >= least)).toBe(least);
  });

  it('says so where no number will do', () => {
    expect(smallestThat(1000, () => false)).toBeUndefined();
  });
});

describe('values over time', () => {
  it('knows where they change, not a number being the same as not a number', () => {
    expect(changePoints([1, 1, 2, 2, Number.NaN, Number.NaN, 0, -0])).toEqual([2, 4, 6, 7]);
    expect(changePoints([])).toEqual([]);
  });

  it('holds them between the places that are kept', () => {
    expect(heldBetween([1, 2, 3, 4, 5, 6], [2, 5])).toEqual([1, 1, 3, 3, 3, 6]);
    expect(heldBetween([1, 2, 3], [])).toEqual([1, 1, 1]);
  });

  it('goes half of the way, in whole numbers where wanted, and arrives', () => {
    expect(halfway(100, 50, true)).toBe(75);
    expect(halfway(51, 50, true)).toBe(50);
    expect(halfway(-7, 0, true)).toBe(-3);
    expect(halfway(1, 0, false)).toBe(0.5);
    expect(halfway(0.001, 0, false)).toBe(0);
  });

  it('takes the middle one', () => {
    expect([middleOf([3, 1, 2]), middleOf([4, 1, 3, 2]), middleOf([Number.NaN, 5]), middleOf([])]).toEqual([2, 2, 5, 0]);
  });
});

/** Inputs of so many rows, each value `1000 · row + tick` in loadCounts and the tick in supplyMv; all else 0. */
function inputs(rows: number, ticks: number): HeldInputs {
  const layout = readLayout(writeMessage(contract, 'input', rows));
  let held: HeldInputs = { layout, tickHz: 1000, ticks, bytes: new Uint8Array(ticks * messageBytes(contract, 'input', rows)) };
  for (const signal of inputSignals(layout)) {
    if (signal.name === 'loadCounts')
      held = withColumn(
        held,
        signal,
        upTo(ticks).map((tick) => 1000 * signal.row + tick),
      );
    if (signal.name === 'supplyMv') held = withColumn(held, signal, upTo(ticks));
  }
  return held;
}

/** A signal over time. */
function column(held: HeldInputs, name: string, row: number): number[] {
  const signal = inputSignals(held.layout).find((one) => one.name === name && one.row === row);
  return signal === undefined ? [] : columnOf(held, signal);
}

describe('inputs in memory', () => {
  it('lose ticks and rows, and nothing else', () => {
    const held = inputs(3, 6);
    expect(column(firstTicks(held, 2), 'supplyMv', 0)).toEqual([0, 1]);
    expect(column(lastTicks(held, 2), 'supplyMv', 0)).toEqual([4, 5]);
    expect(column(withoutTicks(held, 1, 3), 'loadCounts', 3)).toEqual([3000, 3004, 3005]);
    const two = keepRows(held, [2, 0]);
    expect([two.layout.rows, column(two, 'supplyMv', 0)]).toEqual([2, upTo(6)]);
    expect([column(two, 'loadCounts', 1)[0], column(two, 'loadCounts', 2)[5]]).toEqual([3000, 1005]);
    expect(column(held, 'loadCounts', 1)).toEqual([1000, 1001, 1002, 1003, 1004, 1005]);
  });

  it('know how often each signal changes', () => {
    const counts = changeCounts(inputs(2, 6));
    expect(counts.filter((count) => count > 0)).toEqual([5, 5, 5]);
  });

  it('come back from a recording as they were', () => {
    const file = join(folder, 'held.mcap');
    const held = inputs(3, 2500);
    writeHeld(file, held, contract, { title: 'Made up' });
    const back = readHeld(file, contract);
    expect([back.ticks, back.tickHz, back.layout.rows]).toEqual([2500, 1000, 3]);
    expect(Buffer.compare(back.bytes, held.bytes)).toBe(0);
  });
});

describe('classes of differences', () => {
  const order = { kind: 'outputs', scope: 'row', signal: 'supplyOrder', old: 'none', new: 'open' } as const;
  const classes: DifferenceClass[] = [
    order,
    { ...order, new: 'close' },
    { ...order, signal: 'returnOrder' },
    { ...order, scope: 'bank' },
    { kind: 'inner', signal: 'valveState[supply].gain', of: 'state' },
    { kind: 'stopped', side: 'new', message: 'unreachable', at: 'wasm-function[3]:0x10' },
    { kind: 'stopped', side: 'new', message: 'unreachable', at: 'wasm-function[3]:0x20' },
    { kind: 'stopped', side: 'old', message: 'unreachable', at: 'wasm-function[3]:0x10' },
  ];

  it('have keys of their own', () => {
    expect(new Set(classes.map(classKey)).size).toBe(classes.length);
    expect(classKey({ ...order })).toBe(classKey(order));
  });

  it('say what they are', () => {
    expect([0, 4, 5].map((index) => classText(classes[index] as DifferenceClass))).toEqual([
      'supplyOrder of a row: none → open',
      'inner state only: valveState[supply].gain',
      'the new side stops: unreachable, wasm-function[3]:0x10',
    ]);
    expect([0, 4, 5].map((index) => classSlug(classes[index] as DifferenceClass))).toEqual([
      'supply-order',
      'valve-state-supply-gain',
      'stop',
    ]);
  });
});

/** Shows it in the first tick in which some row's load is at least 2500 after the supply has been 3 or more in three ticks. */
function fakeTries(most = 10_000): Tries {
  const tries = {
    count: 0,
    get isSpent() {
      return tries.count >= most;
    },
    attempt(held: HeldInputs) {
      if (tries.isSpent || held.ticks === 0 || held.layout.rows === 0) return undefined;
      tries.count += 1;
      const supply = column(held, 'supplyMv', 0);
      const loads = upTo(held.layout.rows).map((index) => column(held, 'loadCounts', index + 1));
      const at = upTo(held.ticks).findIndex((tick) => {
        const ready = supply.slice(0, tick).filter((value) => value >= 3).length;
        return ready >= 3 && loads.some((values) => (values[tick] ?? 0) >= 2500);
      });
      return at < 0 ? undefined : firstTicks(held, at + 1);
    },
  };
  return tries;
}

describe('shrinking', () => {
  const shown = { class: { kind: 'inner', signal: 'loadN', of: 'probe' }, tick: 600, row: 2 } as const;

  it('finds the smallest there is where that can be known', () => {
    const shrunk = shrink(inputs(4, 800), { ...shown }, undefined, fakeTries());
    expect(shrunk).toMatchObject({
      isDone: true,
      before: { ticks: 800, rows: 4, changes: 5 * 799 },
      after: { ticks: 4, rows: 1, changes: 0 },
    });
    // Supply at its usual value, 399; the usual load, (1000 … 4799)’s middle, is enough as it is.
    expect(column(shrunk?.held as HeldInputs, 'supplyMv', 0)).toEqual([399, 399, 399, 399]);
  });

  it('moves a value no farther from the usual one than is needed', () => {
    // One row: 1000 … 2799, whose middle does not show it. 2500 is the least that does.
    const shrunk = shrink(inputs(1, 1800), { ...shown, row: 1 }, undefined, fakeTries());
    expect(shrunk?.after).toMatchObject({ ticks: 4, changes: 0 });
    expect(column(shrunk?.held as HeldInputs, 'loadCounts', 1)).toEqual([2500, 2500, 2500, 2500]);
  });

  it('does the same twice, and stops when its tries are used up', () => {
    const runs = [1, 2].map(() => shrink(inputs(4, 800), { ...shown }, undefined, fakeTries(15)));
    expect(runs[0]).toMatchObject({ tries: 15, isDone: false });
    expect(runs[0]).toEqual(runs[1]);
    expect(runs[0]?.after.ticks).toBeLessThan(800);
  });

  it('says so where nothing shows', () => {
    expect(shrink(inputs(1, 20), { ...shown, row: 1 }, undefined, fakeTries())).toBeUndefined();
  });
});
