import { Channel, Check } from '../../assembly/controller/generated/enums';
import { channelSetting, channelState, coefficients } from '../../assembly/controller/generated/records';
import { checkChannel, isFirstValue, rangeCheck, takeValue, toUnit } from '../../assembly/controller/sense';
import { freshBank } from './fresh-bank';

// Load channel by default: 4096 codes. short 0.05 → 204.8, open 0.95 → 3891.2, range 0.08 → 327.68 and 0.92 → 3768.32,
// each rounded. Rate: 250 N/ms over 5000 N/(0.8·4096) = 1.52588 N a code → 163.84, rounded up to 164.

function check(counts: u16): u32 {
  return checkChannel(channelState(0, 0), counts, channelSetting(Channel.Load), coefficients());
}

/** The conditions after `ticks` more ticks with codes that change by 1, back and forth. */
function checkQuietly(ticks: i32): u32 {
  let conditions: u32 = 0;
  for (let tick = 0; tick < ticks; tick++) conditions = check(<u16>(2000 + (tick & 1)));
  return conditions;
}

describe('rangeCheck', () => {
  beforeEach(() => freshBank(1));
  test('names at most one of short, range and open, below, on and above each limit', () => {
    const load = channelSetting(Channel.Load);
    expect(rangeCheck(0, load)).toBe(Check.Short);
    expect(rangeCheck(204, load)).toBe(Check.Short);
    expect(rangeCheck(205, load)).toBe(Check.Range, 'on the limit of a short');
    expect(rangeCheck(327, load)).toBe(Check.Range);
    expect(rangeCheck(328, load)).toBe(0, 'lowest good code');
    expect(rangeCheck(3768, load)).toBe(0, 'highest good code');
    expect(rangeCheck(3769, load)).toBe(Check.Range);
    expect(rangeCheck(3891, load)).toBe(Check.Range, 'on the limit of an open circuit');
    expect(rangeCheck(3892, load)).toBe(Check.Open);
    expect(rangeCheck(65535, load)).toBe(Check.Open);
  });
});

function take(counts: u16, conditions: u32, faults: u32): void {
  channelState(0, 0).counts = counts;
  takeValue(channelState(0, 0), conditions, faults, channelSetting(Channel.Load));
}

describe('checkChannel', () => {
  beforeEach(() => freshBank(1));
  test('takes the first code for no jump, wherever it stands', () => {
    expect(check(3700)).toBe(0);
  });
  test('takes the largest believable change for no jump, up and down', () => {
    check(2000);
    expect(check(2164)).toBe(0, 'up');
    expect(check(2000)).toBe(0, 'down');
  });
  test('takes one code more for a jump, up and down', () => {
    check(2000);
    expect(check(2165)).toBe(Check.Rate, 'up');
    freshBank(1);
    check(2165);
    expect(check(2000)).toBe(Check.Rate, 'down');
  });
  test('suspects a channel for rateHoldTicks, the jump’s own tick among them', () => {
    check(2500);
    expect(check(2000)).toBe(Check.Rate);
    expect(checkQuietly(19)).toBe(Check.Rate, 'the twentieth tick');
    expect(check(2000)).toBe(0, 'the twenty-first');
  });
  test('calls a code frozen after frozenTicks without a change, and not before', () => {
    check(2000);
    let early: u32 = 0;
    for (let tick = 0; tick < 30; tick++) early |= check(2000);
    expect(early).toBe(0);
    expect(check(2000)).toBe(Check.Frozen);
    expect(check(2001)).toBe(0, 'one code is movement enough');
  });
  test('never calls a code frozen when the check is off', () => {
    let found: u32 = 0;
    coefficients().frozenTicks = 0;
    for (let tick = 0; tick < 70000; tick++) found |= checkChannel(channelState(0, 0), 2000, channelSetting(Channel.Load), coefficients());
    expect(found).toBe(0);
  });
  test('judges a jump against the last code inside the range', () => {
    check(2000);
    expect(check(0)).toBe(Check.Short, 'going out of range is that fault’s affair');
    expect(check(0)).toBe(Check.Short);
  });
  test('takes the end of a short or an open circuit for a jump: a wire may be loose', () => {
    check(2000);
    check(4095);
    expect(check(2000)).toBe(Check.Rate, 'back in range');
    for (let tick = 0; tick < 20; tick++) check(2000);
    check(0);
    expect(check(4095)).toBe(Check.Open | Check.Rate, 'from short to open');
  });
  test('reports what speaks against a code together', () => {
    check(2500);
    check(2000);
    for (let tick = 0; tick < 10; tick++) check(4095);
    expect(check(4095)).toBe(Check.Open | Check.Rate);
  });
});

describe('toUnit', () => {
  beforeEach(() => freshBank(1));
  test('is a straight line through 10 and 90 % of the sensor supply', () => {
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
  test('takes a value with nothing against it and keeps it while something is', () => {
    const channel = channelState(0, 0);
    take(300, 0, 0);
    expect(channel.value).toBe(300);
    expect(channel.valid).toBe(1);
    take(301, Check.Rate, 0);
    expect(channel.value).toBe(300);
    expect(channel.valid).toBe(0);
  });
  test('takes values again while a fault recovers, but not for good', () => {
    take(300, Check.Open, Check.Open);
    take(302, 0, Check.Open);
    expect(channelState(0, 0).value).toBe(302);
    expect(channelState(0, 0).valid).toBe(0);
    take(303, 0, 0);
    expect(channelState(0, 0).valid).toBe(1);
  });
  test('calls only the first value after doubtful ones fresh', () => {
    take(300, Check.Open, 0);
    expect(isFirstValue(channelState(0, 0))).toBe(false);
    take(301, 0, 0);
    expect(isFirstValue(channelState(0, 0))).toBe(true);
    take(302, 0, 0);
    expect(isFirstValue(channelState(0, 0))).toBe(false);
  });
});
