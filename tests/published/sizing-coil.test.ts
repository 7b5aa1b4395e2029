import { describe, expect, it } from 'vitest';
import { COPPER_PER_K, copperOhm, currentA, energyMj, pullInV, reachMs, windingMj } from '../../host/sizing/coil.js';
import {
  chargedV,
  harnessSize,
  machineStrokes,
  otherCoils,
  segmentsMm2,
  sourcePeakA,
  worstCoils,
  worstStarCoils,
} from '../../host/sizing/harness.js';
import { capacitanceLeft, closingSize, faradFor, strokesFrom } from '../../host/sizing/reservoir.js';
import { sizesOf } from '../../host/sizing/sizes.js';
import type { SizingInput } from '../../host/sizing/sizing-input.js';
import { bankV, type Feed, strokeEnd } from '../../host/sizing/stroke-circuit.js';
import { ampacityA, awgMm, awgMm2, gaugeFor, ohmPerM } from '../../host/sizing/wire.js';
import { sized } from '../support/sized.js';
import { GAUGES } from './figures/wire-gauge.js';

describe('a coil of 4 Ω and 8 mH on 12 V', () => {
  const COIL = { ohm: 4, mh: 8 };

  // Closed forms, calculated in double precision.
  it('carries 1.8964 A after 2 ms and reaches 2 A after 2.1972 ms', () => {
    expect(currentA(12, 2, COIL)).toBeCloseTo(1.8964, 4);
    expect(reachMs(2, 12, COIL, 100)).toBeCloseTo(2.1972, 4);
    expect(reachMs(3, 12, COIL, 100)).toBe(100);
  });

  it('takes 81.744 mJ in 4 ms, of which 26.916 mJ are in the field at the end', () => {
    expect(energyMj(12, 4, COIL)).toBeCloseTo(81.744, 3);
    // ½ · 8 mH · (2.5940 A)².
    expect(energyMj(12, 4, COIL) - windingMj(12, 4, COIL)).toBeCloseTo(26.916, 2);
  });
});

describe('the default coil', () => {
  it('has a pull-in voltage of 5.64 V at 20 °C', () => {
    // By hand: 2 ms less 0.35 of 2 ms leave 1.3 ms; 1.31 A · 2.2 Ω / (1 − e^(−1.3·2.2/4)) = 2.882/0.51081.
    expect(pullInV(20, sized())).toBeCloseTo(5.642, 3);
  });

  it('has 1.2555 times its resistance at 85 °C and 0.7642 times at −40 °C', () => {
    // 1 + 0.00393·65 and 1 − 0.00393·60 (copper's coefficient used to convert ASTM B258 tables).
    expect(copperOhm(1, 85)).toBeCloseTo(1.25545, 9);
    expect(copperOhm(1, -40)).toBeCloseTo(0.7642, 9);
  });
});

/** A source of 1 V that nothing pulls down. */
const FIRM: Feed = { volts: 1, ohm: 0, watt: 0, farad: Number.POSITIVE_INFINITY };

describe('wires', () => {
  it.each(GAUGES)('of gauge $awg have $mm mm, $mm2 mm² and $ohmPerKm Ω/km', ({ awg, mm, mm2, ohmPerKm, ohmPerKft75 }) => {
    expect(awgMm(awg)).toBeCloseTo(mm, 4);
    expect(awgMm2(awg)).toBeCloseTo(mm2, 4);
    expect(1000 * ohmPerM(mm2, 20)).toBeCloseTo(ohmPerKm, 2);
    // 1000 ft are 304.8 m exactly.
    expect(304.8 * ohmPerM(awgMm2(awg), 75)).toBeCloseTo(ohmPerKft75, 3);
    // The thinnest gauge of at least its area is itself; for 0.1 % more it is the next thicker one.
    expect(gaugeFor(awgMm2(awg))).toBe(awg);
    expect(gaugeFor(1.001 * awgMm2(awg))).toBe(awg - 1);
  });

  // Three conductors in a conduit in 30 °C, insulation for 60 °C: NEC table 310.16, from memory. Thicker wires have more surface than the
  // constant thermal resistance gives them, so they are rated too low.
  it.each([
    [14, 20, 0.95, 1.05],
    [12, 25, 0.95, 1.05],
    [10, 30, 0.95, 1.06],
    [8, 40, 0.95, 1.05],
    [6, 55, 0.9, 1],
    [4, 70, 0.9, 1],
    [2, 95, 0.8, 1],
    [0, 125, 0.8, 1],
  ])('of gauge %d carry the %d A of a table of ampacities, from %f to %f times', (awg, ampere, min, max) => {
    expect(ampacityA(awg, 30, 60) / ampere).toBeGreaterThan(min);
    expect(ampacityA(awg, 30, 60) / ampere).toBeLessThan(max);
  });

  it('carry nothing in surroundings as hot as their limit', () => {
    expect(ampacityA(12, 105, 105)).toBe(0);
    expect(ampacityA(12, 120, 105)).toBe(0);
  });

  it('have 1.21615 times the resistance at 75 °C', () => {
    expect(1 + 55 * COPPER_PER_K).toBeCloseTo(0.76396 / 0.62818, 4);
    expect(copperOhm(1, 75)).toBeCloseTo(1.21615, 9);
  });

  it('in a chain of two rows with 1 Ω and coils of 2 Ω that have settled leave 4/11 of the voltage at the last, with a total of 5/11 S', () => {
    // By hand from the end: 1 V and 0.5 A, 1.5 V; 0.5 + 0.75 = 1.25 A, 2.75 V. After 100 time constants coils are plain resistors.
    const wire = { ohm: 1, coils: 1 };
    const end = strokeEnd([[wire, wire]], FIRM, { ohm: 2, mh: 1 }, 50);
    expect((end.stretchA[0]?.[1] ?? 0) * 2).toBeCloseTo(4 / 11, 12);
    expect(end.coilsA).toBeCloseTo(5 / 11, 12);
  });

  it('in a star of 1 and 2 Ω with coils of 2 Ω that have settled leave half of the voltage at the last, with a total of 7/12 S', () => {
    // By hand: 1/(1 + 2·0.5); 0.5/1.5 + 0.5/2.
    const end = strokeEnd([[{ ohm: 1, coils: 1 }], [{ ohm: 2, coils: 1 }]], FIRM, { ohm: 2, mh: 1 }, 50);
    expect((end.stretchA[1]?.[0] ?? 0) * 2).toBeCloseTo(0.5, 12);
    expect(end.coilsA).toBeCloseTo(7 / 12, 12);
  });

  it('of one coil add their resistance to that of the coil', () => {
    // Closed form: i = U/(R + r)·(1 − e^(−t·(R + r)/L)), 12 V, 4 and 2 Ω, 8 mH, 3 ms: 2·(1 − e^−2.25) = 1.789202 A. Coils as conductances
    // of (1 − e^(−t·R/L))/R = 0.194217 S would carry 12·0.194217/(1 + 2·0.194217) = 1.678571 A, 6 % less.
    const end = strokeEnd([[{ ohm: 2, coils: 1 }]], { ...FIRM, volts: 12 }, { ohm: 4, mh: 8 }, 3);
    expect(end.coilsA).toBeCloseTo(1.789202, 4);
  });

  it('of two rows follow the two time constants of their ladder', () => {
    // By hand: coils of 2 Ω and 4 mH at the nodes of a chain of 1 and 1 Ω on 12 V. L·i' = U − M·i with M = [[3, 1], [1, 4]], whose
    // eigenvalues are (7 ± √5)/2, 4.618034 and 2.381966 Ω, with the eigenvectors (1, 1.618034) and (1.618034, −1). The steady current
    // M⁻¹·U = (3, 2)·12/11 is split along them, and each part approaches it with its own time constant.
    const decays = [4.618034, 2.381966].map((ohm) => Math.exp((-2 * ohm) / 4)) as [number, number];
    const [first, second] = [(3 * 12) / 11, (2 * 12) / 11];
    const golden = 1.618034;
    const along = (first + golden * second) / (1 + golden ** 2);
    const across = (golden * first - second) / (1 + golden ** 2);
    const expected = [
      along * (1 - decays[0]) + golden * across * (1 - decays[1]),
      golden * along * (1 - decays[0]) - across * (1 - decays[1]),
    ];
    const wire = { ohm: 1, coils: 1 };
    const end = strokeEnd([[wire, wire]], { ...FIRM, volts: 12 }, { ohm: 2, mh: 4 }, 2);
    expect(end.stretchA[0]).toEqual([expect.closeTo(expected[0] ?? 0, 3), expect.closeTo(expected[1] ?? 0, 3)]);
  });

  it('of a capacitor discharge it as a damped circuit of R, L and C', () => {
    // Closed form, overdamped: 1 mF at 12 V through 6 Ω and 4 mH: s² + 1500·s + 250 000 = 0, s = −750 ± 559.017 = −190.983, −1309.017 1/s.
    // i = 12/(L·1118.034)·(e^(s1·t) − e^(s2·t)), u = (12/1118.034)·(1309.017·e^(s1·t) − 190.983·e^(s2·t)), t = 2 ms.
    const [slow, fast] = [Math.exp(-0.381966), Math.exp(-2.618034)];
    const end = strokeEnd([[{ ohm: 1, coils: 1 }]], { volts: 12, ohm: 1, watt: 0, farad: 1e-3 }, { ohm: 4, mh: 4 }, 2);
    expect(end.coilsA).toBeCloseTo((12 / (0.004 * 1118.034)) * (slow - fast), 3);
    expect(end.storedV).toBeCloseTo((12 / 1118.034) * (1309.017 * slow - 190.983 * fast), 3);
  });

  it('carry the worst-case strokes in the last rows, two in each', () => {
    expect(worstCoils(4, 1)).toEqual([0, 0, 0, 1]);
    expect(worstCoils(4, 4)).toEqual([0, 0, 2, 2]);
    expect(worstCoils(4, 5)).toEqual([0, 1, 2, 2]);
    expect(worstCoils(2, 9)).toEqual([2, 2]);
    // In a star a row and those nearest to the bank.
    expect(worstStarCoils(5, 3, 5)).toEqual([2, 1, 0, 2, 0]);
    expect(worstStarCoils(4, 0, 3)).toEqual([2, 1, 0, 0]);
    expect(worstStarCoils(2, 1, 1)).toEqual([0, 1]);
  });

  it('load the common feed with what the longer arm has no rows for, nearest to the bank', () => {
    expect(otherCoils(3, 0)).toEqual([0, 0, 0]);
    expect(otherCoils(3, 3)).toEqual([2, 1, 0]);
  });

  it('of two arms with four coils each share the feed: 0.980 of the pull-in voltage with coils as conductances, 0.941 as R and L', () => {
    // Four rows, 0.2 Ω of common resistance, no reservoir; 12 AWG at 85 °C has 0.0065417 Ω/m: 39.250 mΩ to the first and 9.970 mΩ to the
    // second row, both conductors. A coil of 2.762 Ω and 4 mH: 0.271054 S after 2 ms. An arm by hand from its end: 0.542107 S, 0.539193 S
    // before its wire, 1.081300 S at the first row, 1.037277 S at the bank. Twice that on 9 V behind 0.2 Ω with 4 W of electronics: (1 +
    // 0.2·2.074554)·U² − 9·U + 0.8 = 0, U = 6.270 V; · 0.959287 · 0.994625 = 5.983 V over 6.107 V.
    expect((bankV(9, 0.2, 4, 2.074554) * 0.959287 * 0.994625) / pullInV(85, sized())).toBeCloseTo(0.98, 3);
    const input = sized({ rowCount: 4, harnessArms: 2, strokesAtOnce: 8, harnessOhm: 0.2, reservoirUf: 0 });
    expect(harnessSize(input).voltageRatio).toBeCloseTo(0.941, 3);
    // More strokes than coils change nothing.
    expect(harnessSize({ ...input, strokesAtOnce: 96 })).toEqual(harnessSize(input));
  });

  it('lose as much with 96 strokes allowed as with the two of every row, in a star and from a reservoir too', () => {
    for (const starWired of [0, 1]) {
      const input = sized({ rowCount: 3, starWired, strokesAtOnce: 6, reservoirUf: 47000 });
      const [some, many] = [input, { ...input, strokesAtOnce: 96 }].map(sizesOf);
      expect([many?.harness, many?.duty, many?.reservoir]).toEqual([some?.harness, some?.duty, some?.reservoir]);
    }
  });

  it('feed a constant power at the larger of the two possible voltages', () => {
    // 12 V behind 1 Ω and 32 W: U² − 12·U + 32 = 0, 8 V or 4 V; the maximum is 36 W at 6 V; no load: 12 V; 0.5 S alone: 8 V.
    expect(bankV(12, 1, 32, 0)).toBeCloseTo(8, 12);
    expect(bankV(12, 1, 36, 0)).toBeCloseTo(6, 12);
    expect(bankV(12, 1, 36.1, 0)).toBe(0);
    expect(bankV(12, 1, 0, 0)).toBe(12);
    expect(bankV(12, 1, 0, 0.5)).toBeCloseTo(8, 12);
  });

  it('of a chain have the area for the total drop, with a thinner last segment', () => {
    // By hand: two rows, two coils at once, negligible inductance: 2 coils of 10 Ω on 10 V in the last row draw 2 A. Length 5 m, drop
    // 0.5 V: 2 · 0.017241 · 2 A · 5 m / 0.5 V = 0.68964 mm²: 18 AWG has 0.82305, 19 has 0.65271. One coil less, half: 0.34482, 21 AWG.
    const machine = {
      coilOhm: 10,
      coilMh: 0.1,
      rowCount: 2,
      harnessArms: 1,
      leadM: 4,
      rowSpacingM: 1,
      strokesAtOnce: 2,
    };
    const load = { feedV: 10, coilA: 1, lastRowMinV: 9.5 };
    const areas = segmentsMm2(load, 20, sized(machine));
    expect(areas).toEqual([expect.closeTo(0.68964, 5), expect.closeTo(0.68964, 5)]);
    expect(areas.map(gaugeFor)).toEqual([18, 18]);
    const one = segmentsMm2(load, 20, sized({ ...machine, strokesAtOnce: 1 }));
    expect(one[0]).toBeCloseTo(0.34482, 5);
    expect(one.map(gaugeFor)).toEqual([21, 21]);
    // The fitted wires carry what the coils draw in the end.
    const { segments } = harnessSize(sized({ ...machine, supplyMinV: 10, harnessOhm: 0, electronicsW: 0, reservoirUf: 0 }));
    for (const { fittedA } of segments) expect(fittedA).toBeCloseTo(2 * ((segments[1]?.farEndV ?? 0) / copperOhm(10, 85)), 6);
    expect((segments[0]?.farEndV ?? 0) - (segments[1]?.farEndV ?? 0)).toBeCloseTo(segments[1]?.fittedDropV ?? 0, 9);
  });
});

describe('a reservoir', () => {
  it('of 4700 µF at 12 V drops by 2.9048 V in a stroke of 144 mJ', () => {
    // ½·C·(12² − U²) = 144 mJ (closed form): a stroke that takes 1 mJ/V².
    expect(1e6 * faradFor(1, 0.001, 12, 12 - 2.9048)).toBeCloseTo(4700, 0);
    expect(strokesFrom(4700e-6, 0.001, 12, 12 - 2.905, 9)).toBe(1);
    expect(strokesFrom(4700e-6, 0.001, 12, 12 - 2.9047, 9)).toBe(0);
  });

  it('makes two strokes down to half of its voltage if each takes half of the remaining energy', () => {
    // By hand: C = 4·h, so U² halves each time: 12, 8.49, 6 V.
    expect(faradFor(2, 0.001, 12, 6)).toBeCloseTo(0.004, 12);
    expect(strokesFrom(0.004, 0.001, 12, 6, 9)).toBe(2);
    expect(strokesFrom(0.004, 0.001, 12, 6.01, 9)).toBe(1);
  });

  it('is charged to less by the drop over its charging resistor at the mean current', () => {
    // By hand: 12 V, a coil of 10 Ω and 0.1 mH takes (2 − 0.01)/10 = 0.199 mJ/V² in 2 ms; 10 rows of 300 pulses a minute make 100
    // strokes per second, so the coils act like 19.9 mS: 12/(1 + 5·0.0199).
    const coil = { coilOhm: 10, coilMh: 0.1, rowCount: 10, dutyPulsesPerMin: 300 };
    const input = sized({ ...coil, supplyMinV: 12, harnessOhm: 0, electronicsW: 0, chargeOhm: 5 });
    expect(chargedV(20, input)).toBeCloseTo(12 / 1.0995, 6);
  });

  it('keeps the stroke current away from the source', () => {
    // By hand: 2 coils of 0.1 S on 12 V, plus 12 W of electronics at 12 V. With a large reservoir only 1 A and the mean current remain.
    const coil = { coilOhm: 10, coilMh: 0.1, strokesAtOnce: 2, rowCount: 1, leadM: 0, dutyPulsesPerMin: 0 };
    const input = sized({ ...coil, supplyMinV: 12, harnessOhm: 0, electronicsW: 12, capacitorEsrOhm: 0, chargeOhm: 5 });
    const peakA = (of: SizingInput): number => sourcePeakA(machineStrokes(20, of), of);
    expect(peakA(input)).toBeCloseTo(3.4, 6);
    expect(peakA({ ...input, reservoirUf: 1e6 })).toBeCloseTo(1, 2);
  });

  it('shares its other load out to the strokes by the turns of the queue', () => {
    // By hand: 3 rows and 96 strokes at once close in one turn of 2 ms, so 30 W take 60 mJ, 20 mJ a stroke; with one at once 60 mJ.
    const input = sized({ rowCount: 3, reservoirUf: 47000, coilOhm: 10, coilMh: 0.1, capacitorEsrOhm: 0 });
    const feed = { celsius: 20, chargedV: 10, pullInV: 10, ratio: 1, siemens: 0 };
    const strokeMj = (strokesAtOnce: number, reservoirLoadW: number): number =>
      closingSize(feed, { ...input, strokesAtOnce, reservoirLoadW }).strokeMj;
    expect(strokeMj(96, 30) - strokeMj(96, 0)).toBeCloseTo(20, 9);
    expect(strokeMj(1, 30) - strokeMj(1, 0)).toBeCloseTo(60, 9);
  });

  it('makes no stroke without voltage to spare', () => {
    expect(faradFor(1, 0.001, 6, 6)).toBe(Number.POSITIVE_INFINITY);
    expect(strokesFrom(1, 0.001, 6, 6, 9)).toBe(0);
  });

  it('keeps 0.448 of its capacitance when old and cold, 0.64 when old and warm', () => {
    // 0.8 · 0.8 · 0.7: 20 % tolerance and 20 % over its life are common practice, no source; 30 % in the cold likewise.
    expect(capacitanceLeft(-40, sized())).toBeCloseTo(0.448, 12);
    expect(capacitanceLeft(85, sized())).toBeCloseTo(0.64, 12);
  });
});
