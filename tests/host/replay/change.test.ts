import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { ChangeDetector, hashText, outputSignals } from '../../../host/replay/change.js';

const signals = outputSignals(describeContract());

describe('ChangeDetector', () => {
  // BankOutput: faults u32, mode u8, allClosed u8, powerMayBeCut u8, spare u8. RowOutput: faults u32, mode u8, supplyOrder u8, returnOrder u8, spare u8.
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
    bytes.set([0x21, 0, 0, 0, 4, 1, 1], 0);
    bytes.set([0x02, 0x80, 0, 0, 3, 0, 2], 16);
    expect(detect(detector, 1)).toEqual([
      '1 0 faults railShort+targetInvalid',
      '1 0 mode working',
      '1 2 faults loadOpen+zeroNoisy',
      '1 2 mode working',
      '1 2 returnOrder close',
      '1 0 allClosed 1',
      '1 0 powerMayBeCut 1',
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
    bytes[7] = 7;
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
