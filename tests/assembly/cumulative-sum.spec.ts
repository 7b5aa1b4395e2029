import { addEvidence } from '../../assembly/controller/detector';
import { DetectorState, detector } from '../../assembly/controller/generated/records';
import { freshBank } from './fresh-bank';

/*
 * Average run length of the two-sided cumulative sum, in units of the noise's standard deviation, allowance 0.5: Montgomery,
 * Introduction to Statistical Quality Control, table of the tabular cusum's ARL (from memory): limit 4 gives 168 steps without
 * a shift and 8.38 with a shift of 1; limit 5 gives 465 and 10.4.
 */

/** A normal number (Box and Muller 1958, Ann. Math. Stat. 29:610-611). */
function normal(): f64 {
  return Math.sqrt(-2 * Math.log(1 - Math.random())) * Math.cos(2 * Math.PI * Math.random());
}

function steps(detector: DetectorState, limit: f32, shift: f64): f64 {
  detector.cusumUpKpa = 0;
  detector.cusumDownKpa = 0;
  let count = 0;
  while (detector.cusumUpKpa <= limit && detector.cusumDownKpa <= limit) {
    addEvidence(detector, <f32>(normal() + shift), 0.5, 0.5);
    count += 1;
  }
  return count;
}

function averageSteps(limit: f32, shift: f64): f64 {
  freshBank(1);
  Math.seedRandom(20250401);
  let sum: f64 = 0;
  for (let run = 0; run < 4000; run++) sum += steps(detector(0), limit, shift);
  return sum / 4000;
}

describe('the cumulative sum', () => {
  // The standard error of 4000 runs is 1/63 of an average without shift: bands of three of them.
  test('runs for 168 steps on average until a false alarm at limit 4, and 465 at limit 5', () => {
    expect(abs<f64>(averageSteps(4, 0) - 168) < 8).toBe(true, 'limit 4');
    expect(abs<f64>(averageSteps(5, 0) - 465) < 22).toBe(true, 'limit 5');
  });
  test('finds a shift of one standard deviation after 8.38 steps at limit 4, and 10.4 at limit 5', () => {
    expect(abs<f64>(averageSteps(4, 1) - 8.38) < 0.25).toBe(true, 'limit 4');
    expect(abs<f64>(averageSteps(5, 1) - 10.4) < 0.3).toBe(true, 'limit 5');
  });
});
