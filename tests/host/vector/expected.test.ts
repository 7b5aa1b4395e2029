import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { outputSignals } from '../../../host/replay/change.js';
import { changedSignals, digestFile, digestText, printExpected, readExpected } from '../../../host/vector/expected.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const signals = outputSignals(describeContract());
const folder = temporaryFolder();

let files = 0;
function fileWith(text: string): string {
  const file = join(folder, `${++files}.csv`);
  writeFileSync(file, text);
  return file;
}

describe('expected.csv', () => {
  const HEADER = 'tick,row,signal,value\n';

  it('reads back what was written, with no row for the bank', () => {
    const some = [
      { tick: 0, row: 0, signal: 'mode', value: 'starting' },
      { tick: 0, row: 12, signal: 'supplyOrder', value: 'close' },
      { tick: 7, row: 0, signal: 'allClosed', value: '1' },
      { tick: 7, row: 0, signal: 'stateHash', value: '0000abcd' },
    ];
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
    ['a tick that is not a number', `${HEADER}x,,mode,idle\n`, '2:1: tick is "x"; it must be an integer of at least 0.'],
    ['a negative tick', `${HEADER}-1,,mode,idle\n`, '2:1: tick is "-1"; it must be an integer of at least 0.'],
    ['a fractional tick', `${HEADER}1.5,,mode,idle\n`, '2:1: tick is "1.5"; it must be an integer of at least 0.'],
    ['row 0', `${HEADER}10,0,mode,idle\n`, '2:4: row is "0"; it must be between 1 and 12, or empty for the bank.'],
    ['a row beyond the last', `${HEADER}10,13,mode,idle\n`, '2:4: row is "13"; it must be between 1 and 12, or empty for the bank.'],
    ['an unknown signal', `${HEADER}10,12,mood,idle\n`, '2:7: signal is "mood"; it must be one of faults, mode, supplyOrder, returnOrder.'],
    [
      'a row signal for the bank',
      `${HEADER}10,,supplyOrder,open\n`,
      '2:5: signal is "supplyOrder"; it must be one of faults, mode, allClosed, powerMayBeCut, stateHash.',
    ],
    ['a tick before the previous one', `${HEADER}5,,mode,idle\n4,,mode,working\n`, '3:1: tick is 4; it must be at least 5.'],
  ])('refuses %s with line and column', (_, text, message) => {
    const file = fileWith(text);
    expect(refusalOf(() => [...readExpected(file, 12, signals)]).message).toBe(`${file}:${message}`);
  });

  it('names a missing file', () => {
    expect(() => [...readExpected(join(folder, 'absent.csv'), 1, signals)]).toThrow('absent.csv: no such file.');
  });

  it('has the same digest as text and as a file', () => {
    // FIPS 180-4, example "abc".
    const sha = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';
    expect(digestText('abc').hash).toBe(sha);
    expect(digestFile(fileWith('abc')).hash).toBe(sha);
    const text = `${HEADER}1,,mode,idle\n2,1,supplyOrder,open\n3,,mode,working\n`;
    expect(digestFile(fileWith(text))).toEqual(digestText(text));
  });

  it('has a digest for each signal that changes with its lines alone', () => {
    const before = digestText(`${HEADER}1,,mode,idle\n2,1,supplyOrder,open\n`).digests;
    const after = digestText(`${HEADER}1,,mode,idle\n3,1,supplyOrder,open\n4,1,returnOrder,open\n`).digests;
    expect(changedSignals(before, after)).toEqual(['returnOrder', 'supplyOrder']);
    expect(changedSignals(before, before)).toEqual([]);
  });
});
