import { correctOil } from '../../assembly/controller/drift';
import { Channel, Wish } from '../../assembly/controller/generated/enums';
import { ChannelState, coefficients, detector, MotionState, predictor, rowProbe } from '../../assembly/controller/generated/records';
import { compareMotion, correction, followAcceleration } from '../../assembly/controller/motion';
import { rowAt } from '../../assembly/controller/row-records';
import { freshBank } from './fresh-bank';

// At 1 kHz the signals are compared every 10 ticks. A sound row: pressure 0.95 of what its motion should cause, load 0.88 of inertia.
const SOUND_PRESSURE: f64 = 0.95;
const SOUND_LOAD: f64 = 0.88;
const COMPLIANCE_ML_PER_KPA: f32 = 0.02;
/** A row that bounces at 5 Hz with 0.1 m/s: inertia of 105 kg is 105·2π·5·0.1 = 330 N. */
const ANGLE_PER_TICK: f64 = 2 * Math.PI * 5 * 0.001;

/** What differs from a sound row: the accelerometer reads `reading` of the acceleration, and so on. */
let reading: f64 = 1;
let pressure: f64 = 1;
let load: f64 = 1;
let amplitudeMps: f64 = 0.1;
/** Radians by which the pressure lags its motion, and the load its inertia. */
let pressureLag: f64 = 0;
let loadLag: f64 = 0;
let tick: i32 = 0;

function motion(): MotionState {
  return rowAt(0).motion;
}

function channel(): ChannelState {
  return rowAt(0).channel(Channel.Acceleration);
}

function sound(): void {
  freshBank(1);
  reading = pressure = load = 1;
  amplitudeMps = 0.1;
  pressureLag = loadLag = 0;
  tick = 0;
  channel().valid = 1;
}

/** Pressure change per tick by a velocity, kPa: 4.909 cm² · 0.45 · v · 1 ms. */
function motionKpa(mps: f64, compliance: f64): f64 {
  return (0.220905 * mps) / compliance;
}

/** The row bounces, and corrections take effect. */
function ride(ticks: i32, isShown: bool = true): void {
  for (let count = 0; count < ticks; count++, tick++) {
    const angle = ANGLE_PER_TICK * <f64>tick;
    const scale = <f64>motion().scale;
    detector(0).smoothMps = <f32>(scale * reading * amplitudeMps * Math.sin(angle));
    const change = pressure * SOUND_PRESSURE * motionKpa(amplitudeMps * Math.sin(angle - pressureLag), COMPLIANCE_ML_PER_KPA);
    detector(0).residualKpa += <f32>change;
    const inertiaN = 330 * 10 * amplitudeMps;
    predictor(0).sensedInertiaN = <f32>(scale * reading * inertiaN * Math.cos(angle));
    rowProbe(0).loadRawN = <f32>(400 + load * SOUND_LOAD * inertiaN * Math.cos(angle - loadLag));
    rowProbe(0).compliance = motion().gasRatio * COMPLIANCE_ML_PER_KPA;
    compareMotion(rowAt(0), tick % 10 === 0, isShown, coefficients());
  }
}

/** The accelerometer reads this in one tick. */
function accelerate(mps2: f32): f32 {
  channel().value = mps2;
  return followAcceleration(rowAt(0), coefficients());
}

describe('followAcceleration', () => {
  beforeEach(sound);
  test('takes the mean of the first readings away, so that an offset is gone from the first one on', () => {
    expect(accelerate(9.81)).toBe(0);
    expect(accelerate(9.81)).toBe(0);
    sound();
    expect(accelerate(1)).toBe(0);
    // The mean of 1 and 3 is 2.
    expect(accelerate(3)).toBe(1);
  });
  // 2π·0.03·0.001 = 0.000188496, over 1.000188496: 0.00018846 per tick; 5306 readings are averaged before.
  test('then follows with 0.03 Hz', () => {
    motion().seedTicks = 5305;
    accelerate(1);
    expect(motion().slowMps2).toBeCloseTo(0.00018846, 7);
    expect(motion().seedTicks).toBe(5306);
    expect(accelerate(1)).toBeCloseTo(0.99962312, 6);
    expect(motion().seedTicks).toBe(5306);
  });
  test('multiplies by the scale', () => {
    motion().seedTicks = 5306;
    motion().scale = 2;
    expect(accelerate(1)).toBeCloseTo(1.99962308, 5);
  });
  test('is 0 without a valid reading, and the slow part stays', () => {
    accelerate(5);
    channel().valid = 0;
    expect(accelerate(100)).toBe(0);
    expect(motion().slowMps2).toBe(5);
    expect(motion().seedTicks).toBe(1);
  });
});

describe('correction', () => {
  test('begins below 0.87 and above 1.15', () => {
    expect(correction(0.871, 1)).toBe(1);
    expect(correction(0.869, 1)).toBe(0.869);
    expect(correction(1.149, 1)).toBe(1);
    expect(correction(1.151, 1)).toBe(1.151);
  });
  test('once begun, ends between 0.93 and 1.08', () => {
    expect(correction(0.929, 0.8)).toBe(0.929);
    expect(correction(0.931, 0.8)).toBe(1);
    expect(correction(1.081, 1.3)).toBe(1.081);
    expect(correction(1.079, 1.3)).toBe(1);
  });
});

describe('a sound row', () => {
  beforeEach(sound);
  test('is not corrected, and nothing is suspect', () => {
    ride(20000);
    expect(motion().pressure2 > 9).toBe(true, 'there is something to compare');
    expect(motion().slope).toBe(1);
    expect(motion().scale).toBe(1);
    expect(motion().gasRatio).toBe(1);
    expect(motion().isDoubtful).toBe(0);
    expect(motion().isLoadDoubtful).toBe(0);
  });
});

describe('an accelerometer of another scale', () => {
  beforeEach(sound);
  test('is corrected: half the acceleration', () => {
    reading = 0.5;
    ride(15000);
    expect(motion().scale).toBeCloseTo(2, 2);
    expect(motion().gasRatio).toBe(1);
    expect(motion().isDoubtful).toBe(0);
  });
  test('is corrected: half as much again', () => {
    reading = 1.5;
    ride(15000);
    expect(motion().scale).toBeCloseTo(0.66667, 2);
    expect(motion().gasRatio).toBe(1);
  });
  test('is corrected by 2.5 and 0.4 at most', () => {
    reading = 0.25;
    ride(15000);
    expect(motion().scale).toBe(2.5);
    sound();
    reading = 4;
    ride(15000);
    expect(motion().scale).toBeCloseTo(0.4, 6);
  });
  test('is no longer corrected once it reads right again', () => {
    reading = 0.5;
    ride(15000);
    reading = 1;
    ride(20000);
    expect(motion().scale).toBe(1);
    expect(motion().slope).toBe(1);
  });
});

describe('an accumulator with another amount of gas', () => {
  beforeEach(sound);
  test('with half of it, the pressure moves twice as far, the load as before', () => {
    pressure = 2;
    ride(15000);
    expect(motion().gasRatio).toBeCloseTo(0.5, 2);
    expect(motion().scale).toBe(1);
    expect(motion().isLoadDoubtful).toBe(0);
  });
  test('with twice of it, the pressure moves half as far', () => {
    pressure = 0.5;
    amplitudeMps = 0.2;
    ride(15000);
    expect(motion().gasRatio).toBeCloseTo(2, 1);
    expect(motion().scale).toBe(1);
  });
  test('is between 0.1 and 3', () => {
    pressure = 20;
    ride(15000);
    expect(motion().gasRatio).toBeCloseTo(0.1, 6);
    sound();
    pressure = 0.25;
    amplitudeMps = 0.4;
    ride(15000);
    expect(motion().gasRatio).toBe(3);
  });
  test('differs from a wrong scale in the load: nearer to the slope than to 1, √2 apart', () => {
    pressure = 2;
    load = 1.4;
    ride(15000);
    expect(motion().scale).toBe(1);
    expect(motion().gasRatio).toBeCloseTo(0.5, 2);
    sound();
    pressure = 2;
    load = 1.43;
    ride(15000);
    expect(motion().gasRatio).toBe(1);
    expect(motion().scale).toBeCloseTo(2, 2);
  });
});

describe('an accelerometer that has nothing in common with the pressure', () => {
  beforeEach(sound);
  test('is suspect, and trusted again once it has', () => {
    ride(5000);
    // cos 75° = 0.26 is below 0.33, cos 52° = 0.62 is not above 0.65, cos 45° = 0.71 is.
    pressureLag = (75 * Math.PI) / 180;
    ride(15000);
    expect(motion().isDoubtful).toBe(1);
    pressureLag = (52 * Math.PI) / 180;
    ride(15000);
    expect(motion().isDoubtful).toBe(1);
    pressureLag = (45 * Math.PI) / 180;
    ride(15000);
    expect(motion().isDoubtful).toBe(0);
  });
  test('is not suspect at a correlation of 0.42', () => {
    pressureLag = (65 * Math.PI) / 180;
    ride(15000);
    expect(motion().isDoubtful).toBe(0);
  });
  test('is suspect if it reads nothing, or the opposite', () => {
    reading = 0;
    ride(15000);
    expect(motion().isDoubtful).toBe(1);
    sound();
    reading = -1;
    ride(15000);
    expect(motion().isDoubtful).toBe(1);
  });
});

describe('a load that has nothing in common with the inertia', () => {
  beforeEach(sound);
  test('is suspect, and not used for a correction', () => {
    loadLag = (75 * Math.PI) / 180;
    pressure = 2;
    ride(15000);
    expect(motion().isLoadDoubtful).toBe(1);
    expect(motion().isDoubtful).toBe(0);
    expect(motion().scale).toBe(1);
    expect(motion().gasRatio).toBe(1);
  });
  test('is suspect if it does not move, and trusted again once it does', () => {
    load = 0;
    ride(15000);
    expect(motion().isLoadDoubtful).toBe(1);
    load = 1;
    ride(15000);
    expect(motion().isLoadDoubtful).toBe(0);
  });
  // The correlation is 0.33 after 2 s · ln 9.2 = 4.4 s. Of that with the pressure 0.6 is left; it is back at 0.65 after 2 s · ln(0.4/0.35).
  test('makes the accelerometer suspect first, until the pressure speaks for it', () => {
    ride(15000);
    load = 0;
    let doubts = 0;
    let doubtsOfBoth = 0;
    for (let count = 0; count < 8000; count++) {
      ride(1);
      if (motion().isDoubtful !== 0) doubts++;
      if (motion().isDoubtful !== 0 && motion().isLoadDoubtful !== 0) doubtsOfBoth++;
    }
    expect(doubts > 150 && doubts < 400).toBe(true);
    expect(doubtsOfBoth).toBe(0);
    expect(motion().isDoubtful).toBe(0);
    expect(motion().isLoadDoubtful).toBe(1);
    expect(motion().scale).toBe(1);
    expect(motion().gasRatio).toBe(1);
  });
  // Without its accelerometer the row moves more; the load shows it sooner than the pressure.
  test('is not suspect if the accelerometer has died, which is found within 3 s', () => {
    ride(15000);
    reading = 0;
    load = 3;
    let ticks = 0;
    let loadDoubts = 0;
    while (motion().isDoubtful === 0 && ticks < 10000) {
      ride(1);
      ticks++;
      loadDoubts += motion().isLoadDoubtful;
    }
    expect(ticks < 3000).toBe(true);
    ride(15000);
    expect(motion().isDoubtful).toBe(1);
    expect(loadDoubts).toBe(0);
  });
  test('is not suspect any more once the accelerometer is', () => {
    load = 0;
    ride(15000);
    expect(motion().isLoadDoubtful).toBe(1);
    reading = 0;
    ride(15000);
    expect(motion().isDoubtful).toBe(1);
    expect(motion().isLoadDoubtful).toBe(0);
  });
  test('says nothing if the accelerometer is suspect too', () => {
    reading = 0;
    load = 0;
    ride(15000);
    expect(motion().isDoubtful).toBe(1);
    expect(motion().isLoadDoubtful).toBe(0);
  });
});

describe('the comparison', () => {
  beforeEach(sound);
  test('concludes nothing on a smooth field, whatever the signals are: below 9 kPa²', () => {
    amplitudeMps = 0.03;
    reading = 0;
    pressure = 2;
    ride(20000);
    expect(motion().pressure2 > 1 && motion().pressure2 < 9).toBe(true);
    expect(motion().isDoubtful).toBe(0);
    expect(motion().slope).toBe(1);
    amplitudeMps = 0.1;
    ride(20000);
    expect(motion().pressure2 > 9).toBe(true);
    expect(motion().isDoubtful).toBe(1);
  });
  test('waits for half a second after a gap in the pressure: the band-passes settle', () => {
    ride(20000);
    const before = motion().pressure2;
    detector(0).residualKpa += 5000;
    ride(1, false);
    detector(0).residualKpa -= 5000;
    ride(499);
    expect(motion().pressure2).toBe(before);
    ride(10000);
    expect(motion().pressure2).toBeCloseTo(before, 1);
  });
  test('waits for half a second after an invalid acceleration', () => {
    ride(5000);
    const before = motion().motion2;
    channel().valid = 0;
    ride(100);
    channel().valid = 1;
    ride(499);
    expect(motion().motion2).toBe(before);
    ride(20);
    expect(motion().motion2 === before).toBe(false);
  });
  test('rests while a valve is stuck: its oil moves the pressure', () => {
    ride(5000);
    const before = motion().pressure2;
    rowAt(0).supply.stuck = 1;
    pressure = 3;
    ride(2000);
    expect(motion().pressure2).toBe(before);
  });
  test('does not take a step by oil for a dead accelerometer', () => {
    ride(5000);
    for (let tick = 0; tick < 30; tick++) {
      detector(0).residualKpa -= 20;
      ride(1);
    }
    ride(2000);
    expect(motion().isDoubtful).toBe(0);
  });
  test('learns nothing from oil that is metered wrongly, although it flows with the motion', () => {
    const pair = rowAt(0).pair;
    amplitudeMps = 0.2;
    for (let tick = 0; tick < 15000; tick++) {
      // The first half of each period of 200 ms: a pulse of 60 ms, then the wait for its judgement.
      const phase = tick % 200;
      pair.openWish = phase < 60 ? Wish.Raise : Wish.Hold;
      pair.learnWish = phase >= 60 && phase < 100 ? Wish.Raise : Wish.Hold;
      if (phase < 60) detector(0).residualKpa += 5;
      ride(1);
    }
    expect(motion().pressure2 > 9).toBe(true, 'there is something to compare');
    expect(motion().slope).toBe(1);
    expect(motion().isDoubtful).toBe(0);
  });
  test('does not take a correction of the metered oil for a change of the pressure', () => {
    amplitudeMps = 0;
    ride(1000);
    correctOil(rowAt(0), 500);
    ride(1000);
    expect(motion().pressure2).toBe(0);
  });
});
