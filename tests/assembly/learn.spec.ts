import { Order, RowFault, Wish } from '../../assembly/controller/generated/enums';
import { pairState, parameters, valveState } from '../../assembly/controller/generated/records';
import { learnAfterPulse, learnGain, prepareLearning } from '../../assembly/controller/learn';
import { freshBank } from './fresh-bank';

/** A supply pulse of `openTicks` that began at 3000 kPa with 10 kPa a tick expected, to be read now. */
function pulsed(openTicks: u16): void {
  freshBank(1);
  pairState(0).learnWish = Wish.Raise;
  valveState(0).beforeKpa = 3000;
  valveState(0).stepKpaPerTick = 10;
  valveState(0).openTicks = openTicks;
}

function read(pressureKpa: f32, trouble: u32): f32 {
  learnAfterPulse(pairState(0), valveState(0), valveState(1), pressureKpa, trouble, parameters());
  return valveState(0).gain;
}

describe('learnGain', () => {
  beforeEach(() => freshBank(1));
  // One step of recursive least squares by hand: P 0.0004, x 100, lambda 0.98: P·x = 0.04, K = 0.04/(0.98 + 4) =
  // 0.00803213; gain 1 + K·(50 - 100) = 0.598394; P = (0.0004 - K·0.04)/0.98 = 8.0321e-5.
  test('goes towards what was measured by the least-squares weight', () => {
    const valve = valveState(0);
    learnGain(valve, 50, 100, parameters());
    expect(valve.gain).toBeCloseTo(0.598394, 5);
    expect(valve.covariance).toBeCloseTo(0.000080321, 8);
  });
  test('stays where it is when the pulse did as expected', () => {
    learnGain(valveState(0), 100, 100, parameters());
    expect(valveState(0).gain).toBe(1);
  });
  test('stays within gainMin and gainMax', () => {
    learnGain(valveState(0), -1e6, 100, parameters());
    expect(valveState(0).gain).toBeCloseTo(0.2, 6);
    freshBank(1);
    learnGain(valveState(0), 1e6, 100, parameters());
    expect(valveState(0).gain).toBe(4);
  });
  test('settles on the true gain after a dozen pulses', () => {
    for (let pulse = 0; pulse < 12; pulse++) learnGain(valveState(0), 62, 100, parameters());
    expect(valveState(0).gain).toBeCloseTo(0.62, 2);
  });
});

describe('learnAfterPulse', () => {
  test('reads a rise of 50 kPa where 100 kPa were expected', () => {
    pulsed(10);
    expect(read(3050, 0)).toBeCloseTo(0.598394, 5);
    expect(pairState(0).learnWish).toBe(Wish.Hold);
  });
  test('reads a fall for the return valve', () => {
    freshBank(1);
    pairState(0).learnWish = Wish.Lower;
    valveState(1).beforeKpa = 3000;
    valveState(1).stepKpaPerTick = 10;
    valveState(1).openTicks = 10;
    read(2950, 0);
    expect(valveState(1).gain).toBeCloseTo(0.598394, 5);
    expect(valveState(0).gain).toBe(1);
  });
  test('waits until the pressure has settled', () => {
    pulsed(10);
    pairState(0).settleTicks = 2;
    expect(read(3050, 0)).toBe(1);
    expect(read(3050, 0)).toBe(1);
    expect(read(3050, 0) < 0.9).toBe(true, 'two ticks later');
  });
  test('learns from a step on the least limit and not below: 50 kPa', () => {
    pulsed(5);
    expect(read(3025, 0) < 0.9).toBe(true, '5 ticks of 10 kPa');
    pulsed(4);
    expect(read(3020, 0)).toBe(1);
  });
  test('learns from a step on the most and not above: 20 times 50 kPa', () => {
    pulsed(100);
    expect(read(3500, 0) < 0.9).toBe(true, '100 ticks of 10 kPa');
    pulsed(101);
    expect(read(3505, 0)).toBe(1);
  });
  test('learns nothing from a pulse that another one follows', () => {
    pulsed(10);
    pairState(0).settleTicks = 2;
    pairState(0).openWish = Wish.Lower;
    expect(read(3050, 0)).toBe(1);
    expect(pairState(0).learnWish).toBe(Wish.Hold);
  });
  test('learns nothing while the pressure is in doubt, and does not care for the load', () => {
    pulsed(10);
    expect(read(3050, RowFault.PressureRate)).toBe(1);
    pulsed(10);
    expect(read(3050, RowFault.LoadOpen) < 0.9).toBe(true);
  });
  test('learns nothing when learning is off', () => {
    pulsed(10);
    parameters().gainLearning = 0;
    expect(read(3050, 0)).toBe(1);
  });
});

describe('prepareLearning', () => {
  beforeEach(() => freshBank(1));
  test('notes pressure and expected step for the valve that waits to open', () => {
    valveState(1).request = Order.Open;
    pairState(0).stepKpaPerTick = 7;
    prepareLearning(pairState(0), valveState(0), valveState(1), 2500);
    expect(valveState(1).beforeKpa).toBe(2500);
    expect(valveState(1).stepKpaPerTick).toBe(7);
    expect(valveState(0).beforeKpa).toBe(0);
  });
  test('notes nothing when no valve waits to open', () => {
    valveState(0).request = Order.Close;
    prepareLearning(pairState(0), valveState(0), valveState(1), 2500);
    expect(valveState(0).beforeKpa).toBe(0);
    expect(valveState(1).beforeKpa).toBe(0);
  });
});
