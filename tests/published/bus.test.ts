import { crc32 } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { FAULTS } from '../../shared/faults.js';
import { Bench } from '../support/bench.js';

describe('ground speed as on an ISO 11783 bus', () => {
  /** A bank whose lug notch shows the decoded speed: with a pitch of 1 m, 1 m/s is 1 Hz. */
  const bench = (): Bench => new Bench(1, { lugNotch: 1, lugPitchM: 1 });

  // Ground-based speed message of the test suite of an open ISO 11783 stack: bytes 1 and 2 are 0F 27, 9.999 m/s.
  it('the bytes 0F 27 are 9.999 m/s', () => {
    const one = bench();
    const { at } = one.records.locate('bankInput', 0, 'groundSpeedMmPerS');
    new Uint8Array(one.runner.input.buffer).set([0x0f, 0x27], at);
    expect(one.tick().bankProbe('notchHz')).toBeCloseTo(9.999, 5);
  });

  it.each([
    ['94 26', [0x94, 0x26], 9.876],
    ['E8 03', [0xe8, 0x03], 1],
  ])('the bytes %s are %j m/s', (_, bytes, metrePerSecond) => {
    const one = bench();
    const { at } = one.records.locate('bankInput', 0, 'groundSpeedMmPerS');
    new Uint8Array(one.runner.input.buffer).set(bytes, at);
    expect(one.tick().bankProbe('notchHz')).toBeCloseTo(metrePerSecond, 5);
  });

  // Ranges of a 16-bit value (SAE J1939-71, table 1, as in the same suite): 0 to FAFF valid, FBxx specific, FC00 to FDFF
  // reserved, FExx error, FFxx not available.
  it.each([
    [0x0000, 'valid'],
    [0xfaff, 'valid'],
    [0xfb00, 'invalid'],
    [0xfbff, 'invalid'],
    [0xfc00, 'invalid'],
    [0xfdff, 'invalid'],
    [0xfe00, 'invalid'],
    [0xfeff, 'invalid'],
    [0xff00, 'invalid'],
    [0xffff, 'invalid'],
  ])('raw %i is %s', (groundSpeedMmPerS, meaning) => {
    expect(bench().bank({ groundSpeedMmPerS }).tick(100).faults()).toEqual(meaning === 'valid' ? [] : ['speedInvalid']);
  });
});

describe('failure mode identifiers', () => {
  it('fit the 5 bits of SAE J1939-73', () => {
    for (const { name, fmi } of FAULTS) expect(Number.isInteger(fmi) && fmi >= 0 && fmi <= 31, name).toBe(true);
  });

  // Meanings from memory of SAE J1939-73, appendix A: 1 far too low, 2 erratic, intermittent or incorrect, 3 voltage high, 4 voltage low, 10 changes too
  // fast, 12 bad component, 13 out of calibration, 18 somewhat too low, 19 received data in error.
  it.each([
    [1, /Critical$/],
    [2, /(Range|Noisy|^loadImplausible|^accelerationImplausible|Wrong)$/],
    [3, /Open$/],
    [4, /Short$/],
    [10, /Rate$/],
    [12, /Frozen$/],
    [13, /^(zeroImplausible|parameterRefused)$/],
    [18, /Low$/],
    [19, /Invalid$/],
  ])('%i belongs to faults named %s and to no others', (fmi, name) => {
    expect(FAULTS.filter((one) => one.fmi === fmi).length).toBeGreaterThan(0);
    for (const one of FAULTS) expect(name.test(one.name), `${one.name}, FMI ${one.fmi}`).toBe(one.fmi === fmi);
  });
});

describe('the checksum of state hashes and recordings', () => {
  // Catalogue check value of CRC-32 (ISO-HDLC).
  it('is CRC-32: 123456789 gives CBF43926, at once or in parts', () => {
    expect(crc32('123456789')).toBe(0xcbf43926);
    expect(crc32('6789', crc32('12345'))).toBe(0xcbf43926);
  });
});
