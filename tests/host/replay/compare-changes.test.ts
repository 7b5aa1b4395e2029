import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { outputSignals } from '../../../host/replay/change.js';
import { ChangeComparer, type Comparison } from '../../../host/replay/compare-changes.js';
import { parseChanges } from '../../support/changes.js';

const signals = outputSignals(describeContract());

function compare(expected: readonly string[], actual: readonly string[]): Comparison {
  const comparer = new ChangeComparer(parseChanges(...expected)[Symbol.iterator](), signals);
  for (const change of parseChanges(...actual)) comparer.push(change);
  return comparer.finish();
}

const NO_SHIFT = { count: 0, minTicks: 0, maxTicks: 0 };
const NO_STROKES = { added: 0, removed: 0, earlier: NO_SHIFT, later: NO_SHIFT };
const PULSE = ['10 1 supplyOrder open', '12 1 supplyOrder none', '20 1 supplyOrder close', '22 1 supplyOrder none'];

describe('ChangeComparer', () => {
  it.each([[[]], [PULSE], [['5 0 mode working', '5 1 mode working', '9 0 stateHash 01234567']]])('finds no difference in %j', (same) => {
    expect(compare(same, same)).toEqual({
      first: undefined,
      differences: 0,
      signals: {},
      stateOnly: false,
      firstHashTick: undefined,
      strokes: NO_STROKES,
    });
  });

  it('counts an added stroke, and reports the value before it', () => {
    const found = compare(['2 1 supplyOrder none'], ['2 1 supplyOrder none', ...PULSE.slice(0, 2)]);
    expect(found.first).toEqual({ tick: 10, row: 1, signal: 'supplyOrder', expected: 'none', actual: 'open' });
    expect(found.strokes).toEqual({ ...NO_STROKES, added: 1 });
    expect(found.differences).toBe(2);
    expect(found.signals).toEqual({ supplyOrder: 2 });
  });

  it('counts a removed stroke, at the end too', () => {
    const found = compare(PULSE, PULSE.slice(0, 2));
    expect(found.first).toEqual({ tick: 20, row: 1, signal: 'supplyOrder', expected: 'close', actual: 'none' });
    expect(found.strokes).toEqual({ ...NO_STROKES, removed: 1 });
  });

  it('counts a moved stroke, with its shift', () => {
    const later = ['10 1 supplyOrder open', '12 1 supplyOrder none', '23 1 supplyOrder close', '25 1 supplyOrder none'];
    const shift = { count: 1, minTicks: 3, maxTicks: 3 };
    expect(compare(PULSE, later).strokes).toEqual({ ...NO_STROKES, later: shift });
    expect(compare(later, PULSE).strokes).toEqual({ ...NO_STROKES, earlier: shift });
    expect(compare(PULSE, later).first).toMatchObject({ tick: 20, expected: 'close', actual: 'none' });
  });

  it('does not pair strokes of different directions, valves or rows', () => {
    const one = ['10 1 supplyOrder open'];
    for (const other of ['10 1 supplyOrder close', '10 1 returnOrder open', '10 2 supplyOrder open'])
      expect(compare(one, [other]).strokes, other).toEqual({ ...NO_STROKES, added: 1, removed: 1 });
  });

  it('counts different values in the same tick as one difference', () => {
    const found = compare(['7 0 mode working'], ['7 0 mode idle']);
    expect(found).toMatchObject({ differences: 1, first: { tick: 7, row: 0, signal: 'mode', expected: 'working', actual: 'idle' } });
    expect(found.stateOnly).toBe(false);
  });

  it('reports when only the state differs, and the first hash that does', () => {
    const found = compare(
      ['999 0 stateHash aaaaaaaa', '1999 0 stateHash bbbbbbbb', '2999 0 stateHash cccccccc'],
      ['999 0 stateHash aaaaaaaa', '1999 0 stateHash b0000000', '2999 0 stateHash c0000000'],
    );
    expect(found).toMatchObject({ stateOnly: true, differences: 2, firstHashTick: 1999, signals: { stateHash: 2 } });
    expect(found.first).toEqual({ tick: 1999, row: 0, signal: 'stateHash', expected: 'bbbbbbbb', actual: 'b0000000' });
  });

  it('prefers a difference of an output to an earlier one of a hash, and keeps it after later ones', () => {
    const found = compare(
      ['999 0 stateHash aaaaaaaa', '1500 1 mode working', '1999 0 stateHash bbbbbbbb'],
      ['999 0 stateHash a0000000', '1500 1 mode holding', '1999 0 stateHash b0000000'],
    );
    expect(found.first).toMatchObject({ tick: 1500, signal: 'mode' });
    expect(found).toMatchObject({ firstHashTick: 999, stateOnly: false, differences: 3 });
  });

  it('orders the changes of a tick: bank, rows, summary', () => {
    const bank = '5 0 mode working';
    const first = '5 1 returnOrder open';
    const second = '5 2 supplyOrder open';
    const sum = '5 0 allClosed 0';
    expect(compare([], [bank, first, second, sum]).first).toMatchObject({ row: 0, signal: 'mode' });
    expect(compare([bank, first, second, sum], [bank, second, sum]).first).toMatchObject({ row: 1, signal: 'returnOrder' });
    expect(compare([bank, sum], [bank, second, sum])).toMatchObject({ differences: 1, first: { row: 2 } });
    expect(compare([second, sum], [second])).toMatchObject({ differences: 1, first: { signal: 'allClosed' } });
  });

  it('finds equal changes again after a gap on either side', () => {
    const rest = Array.from({ length: 50 }, (_, index) => `${100 + index} 3 mode m${index}`);
    expect(compare([...PULSE, ...rest], rest).differences).toBe(4);
    expect(compare(rest, [...PULSE, ...rest]).differences).toBe(4);
  });
});
