import { Channel, Check } from '../../assembly/controller/generated/enums';
import { channelSetting, channelState, coefficients } from '../../assembly/controller/generated/records';
import { checkChannel, frozenCheck, isFirstValue, isLongSame, rangeCheck, takeValue, toUnit } from '../../assembly/controller/sense';
import { freshBank } from './fresh-bank';

// Load channel by default: 4096 counts. short 0.05 → 204.8, open 0.95 → 3891.2, range 0.08 → 327.68 and 0.92 → 3768.32,
// each rounded. Rate: 250 N/ms over 5000 N/(0.8·4096) = 1.52588 N per count → 163.84, rounded up to 164.

function check(counts: u16): u32 {
  return checkChannel(channelState(0, Channel.Load), counts, channelSetting(Channel.Load), coefficients());
}

/** The failed checks after `ticks` more ticks with counts that alternate by 1. */
function checkQuietly(ticks: i32): u32 {
  let conditions: u32 = 0;
  for (let tick = 0; tick < ticks; tick++) conditions = check(<u16>(2000 + (tick & 1)));
  return conditions;
}

describe('rangeCheck', () => {
  beforeEach(() => freshBank(1));
  test('fails at most one of short, range and open: below, at and above each limit', () => {
    const load = channelSetting(Channel.Load);
    expect(rangeCheck(0, load)).toBe(Check.Short);
    expect(rangeCheck(204, load)).toBe(Check.Short);
    expect(rangeCheck(205, load)).toBe(Check.Range, 'at the limit of a short');
    expect(rangeCheck(327, load)).toBe(Check.Range);
    expect(rangeCheck(328, load)).toBe(0, 'lowest counts in range');
    expect(rangeCheck(3768, load)).toBe(0, 'highest counts in range');
    expect(rangeCheck(3769, load)).toBe(Check.Range);
    expect(rangeCheck(3891, load)).toBe(Check.Range, 'at the limit of an open circuit');
    expect(rangeCheck(3892, load)).toBe(Check.Open);
    expect(rangeCheck(65535, load)).toBe(Check.Open);
  });
});

function take(counts: u16, conditions: u32, faults: u32): void {
  channelState(0, Channel.Load).counts = counts;
  takeValue(channelState(0, Channel.Load), conditions, faults, channelSetting(Channel.Load));
}

describe('checkChannel', () => {
  beforeEach(() => freshBank(1));
  test('does not fail at the first counts, whatever they are', () => {
    expect(check(3700)).toBe(0);
  });
  test('accepts the largest plausible change, up and down', () => {
    check(2000);
    expect(check(2164)).toBe(0, 'up');
    expect(check(2000)).toBe(0, 'down');
  });
  test('detects one count more as a jump, up and down', () => {
    check(2000);
    expect(check(2165)).toBe(Check.Rate, 'up');
    freshBank(1);
    check(2165);
    expect(check(2000)).toBe(Check.Rate, 'down');
  });
  test("fails for rateHoldTicks, including the jump's tick", () => {
    check(2500);
    expect(check(2000)).toBe(Check.Rate);
    expect(checkQuietly(19)).toBe(Check.Rate, 'the twentieth tick');
    expect(check(2000)).toBe(0, 'the twenty-first');
  });
  test('measures a jump from the last counts in range', () => {
    check(2000);
    expect(check(0)).toBe(Check.Short, 'leaving the range is not a jump');
    expect(check(0)).toBe(Check.Short);
  });
  test('detects the end of a short or an open circuit as a jump: a wire may be loose', () => {
    check(2000);
    check(4095);
    expect(check(2000)).toBe(Check.Rate, 'back in range');
    for (let tick = 0; tick < 20; tick++) check(2000);
    check(0);
    expect(check(4095)).toBe(Check.Open | Check.Rate, 'from short to open');
  });
  test('reports several failed checks together', () => {
    check(2500);
    check(2000);
    for (let tick = 0; tick < 10; tick++) check(4095);
    expect(check(4095)).toBe(Check.Open | Check.Rate);
  });
});

/** The result after `ticks` ticks with these counts, the pressure at `kpa`. Load by default: 300 kPa, or metered oil of 50 N / 0.2209 N/kPa = 226.3 kPa. */
function freeze(ticks: i32, counts: u16, kpa: f32, meteredKpa: f32, mayRest: bool): u32 {
  let result: u32 = 0;
  for (let tick = 0; tick < ticks; tick++) {
    check(counts);
    const channel = channelState(0, Channel.Load);
    const isSame = isLongSame(channel, kpa, meteredKpa, coefficients());
    result = isSame ? frozenCheck(channel, kpa, meteredKpa, mayRest, channelSetting(Channel.Load), coefficients()) : 0;
  }
  return result;
}

describe('frozenCheck', () => {
  beforeEach(() => {
    freshBank(1);
    freeze(1, 2000, 4000, 0, false);
  });
  test('accepts constant counts for ever while nothing related moves', () => {
    expect(freeze(70000, 2000, 4300, 226, false)).toBe(0);
    expect(freeze(1000, 2000, 3700, -226, false)).toBe(0);
  });
  test('fails after frozenTicks without a change, not before, if a related signal has moved, up or down', () => {
    expect(freeze(149, 2000, 4301, 0, false)).toBe(0);
    expect(freeze(1, 2000, 4301, 0, false)).toBe(Check.Frozen);
    expect(freeze(1, 2001, 3699, 0, false)).toBe(0, 'one count is enough');
    expect(freeze(150, 2001, 3398, 0, false)).toBe(Check.Frozen, 'down');
    expect(freeze(1, 2000, 4000, 0, false)).toBe(0);
    expect(freeze(150, 2000, 4000, -227, false)).toBe(Check.Frozen, 'metered oil');
  });
  test('keeps to it when the related signal moves back', () => {
    freeze(150, 2000, 4301, 0, false);
    expect(freeze(1, 2000, 4000, 0, false)).toBe(Check.Frozen);
  });
  test('fails after ten times as long if the sensor may rest', () => {
    expect(freeze(1499, 2000, 4301, 0, true)).toBe(0);
    expect(freeze(1, 2000, 4301, 0, true)).toBe(Check.Frozen);
  });
  test('never fails if the check is off', () => {
    coefficients().frozenTicks = 0;
    expect(freeze(70000, 2000, 9000, 0, false)).toBe(0);
  });
});

describe('toUnit', () => {
  beforeEach(() => freshBank(1));
  test('is linear', () => {
    const load = channelSetting(Channel.Load);
    load.unitPerCount = 0.5;
    load.unitAtZero = -10;
    expect(toUnit(0, load)).toBe(-10);
    expect(toUnit(100, load)).toBe(40);
    expect(toUnit(65535, load)).toBe(32757.5);
  });
});

describe('takeValue', () => {
  beforeEach(() => {
    freshBank(1);
    channelSetting(Channel.Load).unitPerCount = 1;
    channelSetting(Channel.Load).unitAtZero = 0;
  });
  test('takes a value if no check fails, and keeps it while one does', () => {
    const channel = channelState(0, Channel.Load);
    take(300, 0, 0);
    expect(channel.value).toBe(300);
    expect(channel.valid).toBe(1);
    take(301, Check.Rate, 0);
    expect(channel.value).toBe(300);
    expect(channel.valid).toBe(0);
  });
  test('takes values while a fault recovers, but not as valid', () => {
    take(300, Check.Open, Check.Open);
    take(302, 0, Check.Open);
    expect(channelState(0, Channel.Load).value).toBe(302);
    expect(channelState(0, Channel.Load).valid).toBe(0);
    take(303, 0, 0);
    expect(channelState(0, Channel.Load).valid).toBe(1);
  });
  test('isFirstValue is true only in the tick of the first value after invalid ones', () => {
    take(300, Check.Open, 0);
    expect(isFirstValue(channelState(0, Channel.Load))).toBe(false);
    take(301, 0, 0);
    expect(isFirstValue(channelState(0, Channel.Load))).toBe(true);
    take(302, 0, 0);
    expect(isFirstValue(channelState(0, Channel.Load))).toBe(false);
  });
});
