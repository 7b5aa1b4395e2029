import { countDown, countUp, countUpLong } from '../../assembly/controller/time';

describe('countDown', () => {
  test('counts down to 0 and stays there', () => {
    expect(countDown(2)).toBe(1);
    expect(countDown(1)).toBe(0);
    expect(countDown(0)).toBe(0);
  });
  test('counts down from the largest 16-bit number', () => {
    expect(countDown(65535)).toBe(65534);
  });
});

describe('countUp', () => {
  test('stays at the largest 16-bit number', () => {
    expect(countUp(0)).toBe(1);
    expect(countUp(65534)).toBe(65535);
    expect(countUp(65535)).toBe(65535);
  });
});

describe('countUpLong', () => {
  test('stays at the largest 32-bit number', () => {
    expect(countUpLong(0)).toBe(1);
    expect(countUpLong(0xfffffffe)).toBe(0xffffffff);
    expect(countUpLong(0xffffffff)).toBe(0xffffffff);
  });
});
