import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { hashFile } from '../../../host/common/hash.js';
import { InputError } from '../../../host/common/input-error.js';
import { describeContract } from '../../../host/contract/contract.js';
import { type Change, ChangeDetector, hashText, outputSignals } from '../../../host/replay/change.js';
import { ChangeComparer, type Comparison } from '../../../host/replay/compare-changes.js';
import { digestText, printExpected, readExpected } from '../../../host/vector/expected.js';

const signals = outputSignals(describeContract());
const folder = mkdtempSync(join(tmpdir(), 'latchbench-compare-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** Changes written as `tick row signal value`, row 0 for the bank. */
const changes = (...texts: string[]): Change[] =>
  texts.map((text) => {
    const [tick = '', row = '', signal = '', value = ''] = text.split(' ');
    return { tick: Number(tick), row: Number(row), signal, value };
  });

function compare(expected: readonly string[], actual: readonly string[]): Comparison {
  const comparer = new ChangeComparer(changes(...expected)[Symbol.iterator](), signals);
  for (const change of changes(...actual)) comparer.push(change);
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

describe('ChangeDetector', () => {
  // BankOutput: faults u32, mode u8, allClosed u8, spare u16. RowOutput: faults u32, mode u8, supplyOrder u8, returnOrder u8, spare u8.
  const output = (): Uint8Array => new Uint8Array(8 + 2 * 8);
  const detect = (detector: ChangeDetector, tick: number): string[] => {
    const found: string[] = [];
    detector.detect(tick, ({ tick: at, row, signal, value }) => found.push(`${at} ${row} ${signal} ${value}`));
    return found;
  };

  it('reports each change once, in words, bank first and summary last', () => {
    const bytes = output();
    const detector = new ChangeDetector(bytes, signals);
    expect(detect(detector, 0)).toEqual([]);
    bytes.set([0x21, 0, 0, 0, 4, 1], 0);
    bytes.set([0x02, 0x80, 0, 0, 3, 0, 2], 16);
    expect(detect(detector, 1)).toEqual([
      '1 0 faults railShort+targetInvalid',
      '1 0 mode working',
      '1 2 faults loadOpen+zeroNoisy',
      '1 2 mode working',
      '1 2 returnOrder close',
      '1 0 allClosed 1',
    ]);
    expect(detect(detector, 2)).toEqual([]);
    bytes.set([0, 0, 0, 0], 0);
    expect(detect(detector, 3)).toEqual(['3 0 faults none']);
  });

  it('shows a number without a word as a number', () => {
    const bytes = output();
    const detector = new ChangeDetector(bytes, signals);
    bytes[4] = 99;
    expect(detect(detector, 0)).toEqual(['0 0 mode 99']);
  });

  it('ignores spare bytes', () => {
    const bytes = output();
    const detector = new ChangeDetector(bytes, signals);
    bytes.set([7, 7], 6);
    bytes[15] = 7;
    expect(detect(detector, 0)).toEqual([]);
  });
});

describe('hashText', () => {
  it.each([
    [0, '00000000'],
    [0xabc, '00000abc'],
    [0xffffffff, 'ffffffff'],
  ])('writes %d as eight digits', (hash, text) => {
    expect(hashText(hash)).toBe(text);
  });
});

let files = 0;
function fileWith(text: string): string {
  const file = join(folder, `${++files}.csv`);
  writeFileSync(file, text);
  return file;
}

function readingError(text: string): string {
  const file = fileWith(text);
  try {
    for (const _ of readExpected(file, 12, signals));
  } catch (error) {
    if (error instanceof InputError) return error.message.replace(`${file}:`, '');
    throw error;
  }
  return 'read without an error';
}

describe('expected.csv', () => {
  const HEADER = 'tick,row,signal,value\n';

  it('reads back what was written, bank rows without a number', () => {
    const some = changes('0 0 mode starting', '0 12 supplyOrder close', '7 0 allClosed 1', '7 0 stateHash 0000abcd');
    const text = printExpected(some);
    expect(text).toBe(`${HEADER}0,,mode,starting\n0,12,supplyOrder,close\n7,,allClosed,1\n7,,stateHash,0000abcd\n`);
    expect([...readExpected(fileWith(text), 12, signals)]).toEqual(some);
  });

  it('reads a file longer than one block', () => {
    const many = Array.from({ length: 10_000 }, (_, tick) => ({
      tick,
      row: 3,
      signal: 'supplyOrder',
      value: tick % 2 === 0 ? 'open' : 'none',
    }));
    expect([...readExpected(fileWith(printExpected(many)), 12, signals)]).toEqual(many);
  });

  it.each([
    ['an empty file', '', '1:1: the file is empty; it must start with tick,row,signal,value.'],
    ['another header', 'tick,row,value\n', '1:1: the header is "tick,row,value"; it must be tick,row,signal,value.'],
    ['Windows line ends', 'tick,row,signal,value\r\n', '1:1: the header is "tick,row,signal,value\\r"; it must be tick,row,signal,value.'],
    ['too few cells', `${HEADER}1,,mode\n`, '2:1: the line must have four cells: tick,row,signal,value.'],
    ['too many cells', `${HEADER}1,,mode,idle,\n`, '2:1: the line must have four cells: tick,row,signal,value.'],
    ['an empty line', `${HEADER}1,,mode,idle\n\n2,,mode,working\n`, '3:1: the line must have four cells: tick,row,signal,value.'],
    ['a tick that is no number', `${HEADER}x,,mode,idle\n`, '2:1: tick is "x"; it must be an integer of at least 0.'],
    ['a negative tick', `${HEADER}-1,,mode,idle\n`, '2:1: tick is "-1"; it must be an integer of at least 0.'],
    ['a broken tick', `${HEADER}1.5,,mode,idle\n`, '2:1: tick is "1.5"; it must be an integer of at least 0.'],
    ['row 0', `${HEADER}10,0,mode,idle\n`, '2:4: row is "0"; it must be between 1 and 12, or empty for the bank.'],
    ['a row beyond the last', `${HEADER}10,13,mode,idle\n`, '2:4: row is "13"; it must be between 1 and 12, or empty for the bank.'],
    [
      'a signal that is none',
      `${HEADER}10,12,mood,idle\n`,
      '2:7: signal is "mood"; it must be one of faults, mode, supplyOrder, returnOrder.',
    ],
    [
      'a signal of a row for the bank',
      `${HEADER}10,,supplyOrder,open\n`,
      '2:5: signal is "supplyOrder"; it must be one of faults, mode, allClosed, stateHash.',
    ],
    ['a tick before the last one', `${HEADER}5,,mode,idle\n4,,mode,working\n`, '3:1: tick is 4; it must be at least 5.'],
  ])('refuses %s and says where', (_, text, message) => {
    expect(readingError(text)).toContain(message);
  });

  it('names a missing file', () => {
    expect(() => [...readExpected(join(folder, 'absent.csv'), 1, signals)]).toThrow('absent.csv: no such file.');
  });

  it('hashes text and file with SHA-256', () => {
    // FIPS 180-4, example “abc”
    const sha = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';
    expect(digestText('abc').hash).toBe(sha);
    expect(hashFile(fileWith('abc'))).toBe(sha);
  });
});
