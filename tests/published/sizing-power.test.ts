import { describe, expect, it } from 'vitest';
import { dutySize, strokesPerS, strokeW } from '../../host/sizing/duty.js';
import { cylinderLengthM, forceRange, leverRatio, neededKpa, newtonPerBar } from '../../host/sizing/geometry.js';
import { heatSize, reboundNs2PerM2 } from '../../host/sizing/heat.js';
import { hectaresPerHour, lifeSize } from '../../host/sizing/life.js';
import { hydraulicW, openAtOnce, rowLpm } from '../../host/sizing/oil-use.js';
import { breakEvenPulsesPerMin, compareProportional, proportionalA } from '../../host/sizing/proportional.js';
import { naturalHz } from '../../host/sizing/resonance.js';
import { perCount, sensorSize } from '../../host/sizing/sensors.js';
import { ROAD_CLASSES } from '../../shared/field.js';
import { UNITS } from '../../shared/units.js';
import { sized } from '../support/sized.js';

describe('unit conversions', () => {
  it('are exact', () => {
    expect(newtonPerBar(1, 1)).toBe(10);
    expect(hydraulicW(60, 1)).toBe(1);
    expect(hectaresPerHour(10, 1)).toBeCloseTo(3.6, 12);
    expect(strokesPerS(30)).toBe(1);
    expect(UNITS.hectare).toMatchObject({ si: 'm²', siFactor: 10000 });
    expect(UNITS.squareMillimetre).toMatchObject({ si: 'm²', siFactor: 1e-6 });
    expect(UNITS.kelvinPerWatt.siFactor).toBe(1);
  });
});

describe('the rule that 24 latching rows need about the power of one proportional row', () => {
  // Common practice, no source. Both bases at 8 Ω and 0.57 A, strokes of 50 mJ, by hand: 2.5992 W and 12 V · 0.57 A = 6.84 W over
  // 24 rows, two strokes per pulse: 2.5992·60/(48·0.05) = 64.98 and 171.0 pulses per minute.
  it.each([
    { basis: 'I²R', watt: 8 * 0.57 ** 2, pulses: 64.98 },
    { basis: 'V·I', watt: 12 * 0.57, pulses: 171 },
  ])('holds up to $pulses pulses per minute on the basis of $basis', ({ watt, pulses }) => {
    expect(breakEvenPulsesPerMin(watt, 24, 50)).toBeCloseTo(pulses, 9);
    expect(24 * strokeW(pulses, 50)).toBeCloseTo(watt, 9);
  });

  it('holds for the default machine up to 51.5 pulses per minute on I²R and 150 on V·I', () => {
    // By hand: 44.83 bar of 110 need 0.2 + 0.9·0.40754 = 0.56679 A: 2.5700 and 13.2·0.56679 = 7.4816 W. A stroke: 13.2²/2.2 · [2 −
    // 1.81818·(1 − e^(−1.1))] ms = 62.33 mJ. W·60 000/(48·62.33): 51.54 and 150.0.
    const input = sized();
    const force = forceRange(input);
    const found = compareProportional(input, force, dutySize(input).rowW, 62.333);
    expect(proportionalA(4482.9, input)).toBeCloseTo(0.56678, 4);
    expect(found.breakEvenI2rPulsesPerMin).toBeCloseTo(51.54, 1);
    expect(found.breakEvenViPulsesPerMin).toBeCloseTo(150.0, 1);
    // 110 pulses per minute are 0.22856 W per row: 11.24 rows on I²R, 32.7 on V·I.
    expect(found.latchingRowsPerI2rRow).toBeCloseTo(11.24, 2);
    expect(found.latchingRowsPerViRow).toBeCloseTo(32.73, 1);
  });
});

describe('power of strokes and oil', () => {
  it('is 1 W for 600 pulses per minute of two strokes of 50 mJ', () => {
    expect(strokeW(600, 50)).toBeCloseTo(1, 12);
    expect(strokeW(109, 50)).toBeCloseTo(0.18167, 5);
  });

  it('is 105 W for 0.42 L/min at 150 bar', () => {
    expect(hydraulicW(0.42, 15000)).toBe(105);
  });

  it('is 0.42 L/min at the default duty, as in a prototype of the plant on class D at 3 m/s', () => {
    // By hand: 55 pulses per minute of 56 ms are 0.05133 of the time at 8·√1.052 = 8.20 L/min: 0.421 L/min, plus 2 mL/min of leakage.
    const input = sized();
    expect(rowLpm(input, forceRange(input))).toBeCloseTo(0.423, 3);
  });

  it("follows Poisson's law in the number of open valves", () => {
    // By hand: 55/min · 0.06 s = 0.055 per row; 22 rows: 1.21, plus 3 times its root 1.1: 4.51. At most the number of rows.
    const duty = sized({ dutyPulsesPerMin: 110, dutyOpenMs: 60 });
    expect(openAtOnce(22, duty).mean).toBeCloseTo(1.21, 12);
    expect(openAtOnce(22, duty).peak).toBeCloseTo(4.51, 12);
    expect(openAtOnce(1, duty)).toEqual({ mean: expect.closeTo(0.055, 12), peak: expect.closeTo(0.055 + 3 * 0.2345, 3) });
    expect(openAtOnce(3, sized({ dutyPulsesPerMin: 2000, dutyOpenMs: 5000 }))).toEqual({ mean: 3, peak: 3 });
  });

  it('makes the default 24 rows wait at most 12 ms and uses 4.4 % of the queue', () => {
    // 2 ms · (1 + ⌊23/4⌋) = 12 ms; 24 · 220/60 · 2 ms / 4.
    expect(dutySize(sized()).closeWaitMs).toBe(12);
    expect(dutySize(sized()).queueUtilisation).toBeCloseTo(0.044, 12);
    // 48 rows wait at most 24 ms; a prototype of the controller had 23 ms.
    expect(dutySize(sized({ rowCount: 48 })).closeWaitMs).toBe(24);
  });
});

describe('geometry', () => {
  it('has a lever ratio of 0.45 and 22.09 N/bar at level travel', () => {
    // By hand: 0.18 · 0.3 / √(0.24² + 0.18²) / 0.4; 10 · 4.909 · 0.45.
    expect(leverRatio(0, sized())).toBeCloseTo(0.45, 12);
    expect(newtonPerBar(4.909, 0.45)).toBeCloseTo(22.0905, 10);
    expect(cylinderLengthM(0, sized())).toBeCloseTo(0.3, 12);
  });

  it('has cylinder lengths of 0.2127 and 0.3774 m at the stops', () => {
    // By hand: sin φ = ±0.45, cos φ = 0.893029; rear 0.06 − 0.267909 = −0.207909; up 0.18 ∓ 0.135.
    expect(cylinderLengthM(0.18, sized())).toBeCloseTo(0.21272, 5);
    expect(cylinderLengthM(-0.18, sized())).toBeCloseTo(0.377427, 6);
    expect(forceRange(sized()).cylinderStrokeNeededMm).toBeCloseTo(164.7, 1);
  });

  it('needs 44.8 bar for 450 N in soil of 750 N', () => {
    // By hand: 450 + 750 + 220 + 600 − 105·9.80665 = 990.30 N over 22.0905 N/bar.
    expect(neededKpa(450, 750, sized())).toBeCloseTo(4482.9, 1);
    // The rail's 150 bar: 3313.6 N less the lift spring's 600 N.
    expect(forceRange(sized()).downForceMaxN).toBeCloseTo(2713.6, 1);
  });
});

describe('sensors', () => {
  it('of 0 to 250 bar at 10 to 90 % have 0.0763 bar per count of 4096', () => {
    // 12 bits over 5 V: 1.2207 mV; 4 V are 250 bar (ratiometric convention, common practice, no source).
    expect(perCount(0, 250, 4096)).toBeCloseTo(0.0763, 4);
  });

  it('of −500 to 4500 N have 1.526 N per count, and rounding adds to their noise', () => {
    // By hand: √(5² + (1.52588/√12)²) = √(25 + 0.19403).
    const sensors = sensorSize(sized(), forceRange(sized()));
    expect(sensors.loadNPerCount).toBeCloseTo(1.52588, 5);
    expect(sensors.loadNoiseN).toBeCloseTo(5.01937, 4);
  });

  it('have to measure the mean plus three standard deviations: 3432 N for 1200 N with a ratio of 0.62', () => {
    // The abstract of a no-till study has 0.40, 0.41, 0.62 and 0.71 at 6, 8, 10 and 12 km/h.
    expect(sensorSize(sized(), forceRange(sized())).loadPeakN).toBeCloseTo(3432, 9);
  });
});

describe('heat, life and resonance', () => {
  it('have a rebound damping of 2177 N/(m/s)² by default', () => {
    // By hand: A 1.35e-4 m², Cd·Ao 0.62 · 1.13097e-6 m²; 1.35e-4 · 435 · (192.526)².
    expect(reboundNs2PerM2(sized())).toBeCloseTo(2176.7, 0);
  });

  // Ranges of a prototype of the plant over 2 to 5 m/s, an engineering estimate: C 0.6–3, D 2–10, E 9–48 W. Its rows follow the ground
  // with lugs and stones, which the closed form ignores: hence from half the minimum to the maximum.
  it.each([
    ['C', 0.6, 3],
    ['D', 2, 10],
    ['E', 9, 48],
  ] as const)('give a row on class %s about %f to %f W of heat', (name, min, max) => {
    const watt = (speedTypicalMps: number): number =>
      heatSize(sized({ speedTypicalMps, roughnessTypicalCm3: ROAD_CLASSES[name] })).reboundW;
    expect(watt(3.5)).toBeGreaterThan(min / 2);
    expect(watt(3.5)).toBeLessThan(max);
  });

  it('have 668 thousand strokes per valve on 2000 ha with 24 rows at 3 m/s', () => {
    // By hand: 24 · 0.762 m = 18.288 m, 19.751 ha/h, 101.26 h; 110 strokes per minute of one valve.
    const life = lifeSize(sized());
    expect(life.plantingHoursPerYear).toBeCloseTo(101.26, 2);
    expect(life.strokesPerYear).toBeCloseTo(668_320, -2);
    expect(life.lifeYears).toBeCloseTo(29.93, 2);
  });

  it('have 4.109 Hz for 120 kg on 80 kN/m', () => {
    // √(80000/120)/2π.
    expect(naturalHz(80000, 120)).toBeCloseTo(4.10936, 4);
  });
});
