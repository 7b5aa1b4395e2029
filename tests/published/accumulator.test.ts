import { describe, expect, it } from 'vitest';
import type { ParameterValues } from '../../host/contract/contract.js';
import { Bench } from '../support/bench.js';

const KPA_PER_COUNT = 7.62939453125;
const countsAt = (kpa: number): number => Math.round((kpa + 3125) / KPA_PER_COUNT);

/** Returns the actuator's compliance at a pressure, mL/bar, and that pressure rounded to counts, kPa gauge. */
function complianceAt(kpa: number, values: ParameterValues = {}): { mlPerBar: number; kpa: number } {
  const bench = new Bench(1, values).row(1, { pressureCounts: countsAt(kpa) }).tick();
  return { mlPerBar: bench.probe('compliance') * 100, kpa: bench.probe('pressureRawKpa') };
}

describe('compliance of the actuator', () => {
  it('is 1.3 mL/bar at 45 bar for the default machine', () => {
    // Closed form: V0·p0/(n·p²) + V/β = 320·12/(1.4·46.013²) + 60/12000 = 1.2955 + 0.005 mL/bar, p in bar absolute.
    expect(complianceAt(4500).mlPerBar).toBeCloseTo(1.3005, 1);
    expect(complianceAt(4500).mlPerBar).toBeGreaterThan(1.295);
    expect(complianceAt(4500).mlPerBar).toBeLessThan(1.305);
  });

  it('gives a spring rate of 3.75 kN/m, or 0.17 bar/mm, at the row', () => {
    // 4.909 cm²·0.45 = 2.209 cm²: 0.2209 mL per mm of row travel, and 22.09 N/bar.
    const barPerMm = 0.2209 / complianceAt(4500).mlPerBar;
    expect(barPerMm).toBeCloseTo(0.17, 2);
    expect(22.09 * barPerMm).toBeCloseTo(3.75, 1);
  });

  // Gas spring k = n·p·A²/V with n 1.4, 100 bar absolute, 5 cm² and 0.1 L: 35.0 kN/m (closed form).
  it('is that of a gas spring of 35.0 kN/m at precharge', () => {
    const { mlPerBar } = complianceAt(9906, { accumulatorMl: 100, prechargeAbsoluteKpa: 10000, chamberOilMl: 1, bulkModulusMpa: 3000 });
    // k = A²/C: (5e-4 m²)² over mL/bar = 1e-11 m³/Pa.
    expect(2.5e-7 / (mlPerBar * 1e-11) / 1000).toBeCloseTo(35.0, 0);
  });

  // Usable volume V0·[(p0/p1)^(1/n) - (p0/p2)^(1/n)], absolute, calculated in double precision, n = 1.
  it.each([
    { prechargeBar: 90, fromBar: 100, toBar: 200, litre: 0.44823069435909657 },
    { prechargeBar: 50, fromBar: 60, toBar: 150, litre: 0.4982947239863701 },
    { prechargeBar: 40, fromBar: 50, toBar: 120, litre: 0.465057130635665 },
  ])('integrated from $fromBar to $toBar bar gauge is the usable volume of the accumulator', ({ prechargeBar, fromBar, toBar, litre }) => {
    const values = { accumulatorMl: 1000, prechargeAbsoluteKpa: 100 * prechargeBar + 101.325, gasExponent: 1, chamberOilMl: 1 };
    const bench = new Bench(1, values);
    const [first, last] = [countsAt(100 * fromBar), countsAt(100 * toBar)];
    let ml = 0;
    for (let counts = first; counts < last; counts++) {
      const compliance = (at: number): number => bench.row(1, { pressureCounts: at }).tick(3).probe('compliance');
      ml += 0.5 * (compliance(counts) + compliance(counts + 1)) * KPA_PER_COUNT;
    }
    // Rounding to counts shifts the two pressures by up to 0.04 bar: 0.5 mL at most.
    expect(Math.abs(ml / 1000 - litre)).toBeLessThan(0.001);
  });
});
