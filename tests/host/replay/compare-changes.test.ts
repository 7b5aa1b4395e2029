import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { outputSignals } from '../../../host/replay/change.js';
import { ChangeComparer, type Comparison, comparisonVerdict } from '../../../host/replay/compare-changes.js';
import { changedStrokes } from '../../../host/replay/strokes.js';
import { parseChanges } from '../../support/changes.js';

const signals = outputSignals(describeContract());

function compare(expected: readonly string[], actual: readonly string[]): Comparison {
  const comparer = new ChangeComparer(parseChanges(...expected)[Symbol.iterator](), signals);
  for (const change of parseChanges(...actual)) comparer.push(change);
  return comparer.finish(1000).comparison;
}

const NONE = { count: 0, minTicks: 0, medianTicks: 0, p95Ticks: 0, maxTicks: 0 };
const NO_PULSES = { count: 0, shorter: NONE, longer: NONE, startEarlier: NONE, startLater: NONE };
const NO_STROKES = {
  ...{ added: 0, removed: 0, same: 0, earlier: NONE, later: NONE, otherDriveTime: 0 },
  pulses: { supply: NO_PULSES, return: NO_PULSES },
};
const one = (ticks: number) => ({ count: 1, minTicks: ticks, medianTicks: ticks, p95Ticks: ticks, maxTicks: ticks });
const PULSE = ['10 1 supplyOrder open', '12 1 supplyOrder none', '20 1 supplyOrder close', '22 1 supplyOrder none'];

describe('ChangeComparer', () => {
  it.each([
    [[], 0],
    [PULSE, 2],
    [['5 0 mode working', '5 1 mode working', '9 0 stateHash 01234567'], 0],
  ])('finds no difference in %j, with %d strokes', (changes, same) => {
    const found = compare(changes, changes);
    expect(found).toMatchObject({ first: undefined, differences: 0, signals: {}, stateOnly: false, timingOnly: false });
    expect([found.firstHashTick, found.strokes.same, changedStrokes(found.strokes)]).toEqual([undefined, same, 0]);
    expect(comparisonVerdict(found)).toBe('same');
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
    expect(found.strokes).toEqual({ ...NO_STROKES, removed: 1, same: 1 });
  });

  it('counts a moved stroke, with its shift', () => {
    const later = ['10 1 supplyOrder open', '12 1 supplyOrder none', '23 1 supplyOrder close', '25 1 supplyOrder none'];
    const pulse = { ...NO_PULSES, count: 1 };
    expect(compare(PULSE, later).strokes).toEqual({
      ...{ ...NO_STROKES, same: 1, later: one(3) },
      pulses: { supply: { ...pulse, longer: one(3) }, return: NO_PULSES },
    });
    expect(compare(later, PULSE).strokes).toEqual({
      ...{ ...NO_STROKES, same: 1, earlier: one(3) },
      pulses: { supply: { ...pulse, shorter: one(3) }, return: NO_PULSES },
    });
    expect(compare(PULSE, later).first).toMatchObject({ tick: 20, expected: 'close', actual: 'none' });
  });

  it('does not pair strokes of different directions, valves or rows', () => {
    const one = ['10 1 supplyOrder open'];
    for (const other of ['10 1 supplyOrder close', '10 1 returnOrder open', '10 2 supplyOrder open'])
      expect(compare(one, [other]).strokes, other).toEqual({ ...NO_STROKES, added: 1, removed: 1 });
  });

  it('tells a pulse that starts later from one that is longer', () => {
    const later = ['14 1 supplyOrder open', '16 1 supplyOrder none', '24 1 supplyOrder close', '26 1 supplyOrder none'];
    expect(compare(PULSE, later).strokes.pulses.supply).toEqual({ ...NO_PULSES, count: 1, startLater: one(4) });
    const both = ['14 1 supplyOrder open', '16 1 supplyOrder none', '23 1 supplyOrder close', '25 1 supplyOrder none'];
    expect(compare(PULSE, both).strokes.pulses.supply).toEqual({ ...NO_PULSES, count: 1, shorter: one(1), startLater: one(4) });
  });

  it('counts strokes whose coil is driven for another time, unless the run ends before that is known', () => {
    const longer = ['10 1 supplyOrder open', '13 1 supplyOrder none', '20 1 supplyOrder close'];
    expect(compare(PULSE, longer).strokes).toMatchObject({ same: 2, otherDriveTime: 1 });
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

  const closed = (tick: number, value: number): string => `${tick} 0 allClosed ${value}`;
  const later = (...more: string[]): string[] => [...PULSE.slice(0, 2), '23 1 supplyOrder close', '25 1 supplyOrder none', ...more];

  it.each([
    ['a later stroke', PULSE, later(), 'timingDiffers'],
    [
      'a later stroke, which a summary and the state follow',
      [...PULSE, closed(22, 1), '99 0 stateHash a'],
      later(closed(25, 1), '99 0 stateHash b'),
      'timingDiffers',
    ],
    ['a later stroke, with another summary in the end', [...PULSE, closed(22, 1)], later(), 'outputsDiffer'],
    ['a stroke less', PULSE, PULSE.slice(0, 2), 'outputsDiffer'],
    ['a later stroke and a stroke more', PULSE, later('40 1 supplyOrder close'), 'outputsDiffer'],
    ['a later stroke and another mode', PULSE, later('30 1 mode frozen'), 'outputsDiffer'],
    ['a later stroke and a fault', PULSE, later('30 0 faults railLow'), 'outputsDiffer'],
    ['a later stroke that is longer', PULSE, [...PULSE.slice(0, 2), '23 1 supplyOrder close', '26 1 supplyOrder none'], 'outputsDiffer'],
    ['a longer stroke', PULSE, [...PULSE.slice(0, 3), '23 1 supplyOrder none'], 'outputsDiffer'],
    [
      'opening and closing in the other order',
      ['10 1 supplyOrder close', '20 1 supplyOrder open'],
      ['10 1 supplyOrder open', '20 1 supplyOrder close'],
      'outputsDiffer',
    ],
    ['another state', ['99 0 stateHash a'], ['99 0 stateHash b'], 'stateDiffers'],
  ])('%s: the verdict', (_, expected, actual, verdict) => {
    expect(comparisonVerdict(compare(expected, actual))).toBe(verdict);
    expect(comparisonVerdict(compare(actual, expected))).toBe(verdict);
  });

  it('finds equal changes again after a gap on either side', () => {
    const rest = Array.from({ length: 50 }, (_, index) => `${100 + index} 3 mode m${index}`);
    expect(compare([...PULSE, ...rest], rest).differences).toBe(4);
    expect(compare(rest, [...PULSE, ...rest]).differences).toBe(4);
  });
});
