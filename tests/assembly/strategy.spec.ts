import { Wish } from '../../assembly/controller/generated/enums';
import { withinPressure } from '../../assembly/controller/strategy';

describe('withinPressure', () => {
  test('lets pressure out above the floor only', () => {
    expect(withinPressure(Wish.Lower, 1199, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Lower, 1200, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Lower, 1201, 15000, 1200)).toBe(Wish.Lower);
  });
  test('raises pressure below the rail only', () => {
    expect(withinPressure(Wish.Raise, 14999, 15000, 1200)).toBe(Wish.Raise);
    expect(withinPressure(Wish.Raise, 15000, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Raise, 15001, 15000, 1200)).toBe(Wish.Hold);
  });
  test('raises below the floor and lowers above the rail', () => {
    expect(withinPressure(Wish.Raise, 0, 15000, 1200)).toBe(Wish.Raise);
    expect(withinPressure(Wish.Lower, 16000, 15000, 1200)).toBe(Wish.Lower);
  });
  test('holds when it is to hold, or when a pressure is not a number', () => {
    expect(withinPressure(Wish.Hold, 5000, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Raise, NaN, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Lower, NaN, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Raise, 5000, NaN, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Lower, 5000, 15000, NaN)).toBe(Wish.Hold);
  });
});
