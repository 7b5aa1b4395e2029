import { describe, expect, it } from 'vitest';
import { effectiveBulkMpa } from '../../host/sizing/bulk-modulus.js';
import { complianceMlPerBar } from '../../host/sizing/compliance.js';
import {
  accumulatorSize,
  gasSpringNPerM,
  prechargeAt,
  stiffPressures,
  usableVolume,
  volumeFor,
  volumeForSwing,
} from '../../host/sizing/gas.js';
import { forceRange } from '../../host/sizing/geometry.js';
import { boreMps, frictionFactor, hoseDropKpa, reynolds } from '../../host/sizing/hose.js';
import { pathLpm } from '../../host/sizing/oil-path.js';
import { oilSize } from '../../host/sizing/oil-use.js';
import type { SizingInput } from '../../host/sizing/sizing-input.js';
import { slewBarPerS } from '../../host/sizing/slew.js';
import { orificeLpm, orificeMm, valveLpm } from '../../host/sizing/valve-flow.js';
import { viscosityAt } from '../../host/sizing/viscosity.js';
import { sized } from '../support/sized.js';
import { ORIFICE_FLOW } from './figures/orifice-flow.js';
import { BULK_MODULUS, USABLE_VOLUME, VISCOSITY_46 } from './figures/plant-oil.js';

const ATMOSPHERE_BAR = 1.01325;

/** Shared hoses and a row hose without a noticeable drop, on a pump and a return line that hold their pressure. */
const WIDE_SHARED = { supplyHoseMm: 60, returnHoseMm: 60, railDroopKpaPerLpm: 0, returnRiseKpaPerLpm: 0 };
const WIDE = { ...WIDE_SHARED, rowHoseMm: 30 };

describe('accumulators in sizing', () => {
  it.each(USABLE_VOLUME)(
    'of 1 L have a usable volume of $litre L between $fromBar and $toBar bar at an exponent of $exponent',
    (figure) => {
      const [p0, p1, p2] = [figure.prechargeBar, figure.fromBar, figure.toBar].map((bar) => bar + ATMOSPHERE_BAR) as [
        number,
        number,
        number,
      ];
      expect(usableVolume(1, p0, p1, p2, figure.exponent)).toBeCloseTo(figure.litre, 11);
    },
  );

  it('of 2.774 L and 90 bar have a usable volume of 1 L between 200 and 100 bar, as in a published worked example', () => {
    expect(volumeFor(1, 91.01325, 101.01325, 201.01325, 1.4)).toBeCloseTo(2.774, 3);
  });

  it('are a gas spring of 35.0 kN/m at 100 bar absolute, 5 cm², 0.1 L and n = 1.4', () => {
    // Closed form n·p·A²/V: 1.4 · 1e7 Pa · (5e-4 m²)² / 1e-4 m³.
    expect(gasSpringNPerM(1.4, 10000, 5, 100)).toBeCloseTo(35000, 6);
  });

  it('have a precharge proportional to absolute temperature', () => {
    // Gay-Lussac's law by hand: 1200 kPa · 343.15 K / 293.15 K, and · 253.15 / 293.15.
    expect(prechargeAt(1200, 70)).toBeCloseTo(1404.673, 3);
    expect(prechargeAt(1200, -20)).toBeCloseTo(1036.261, 3);
    expect(prechargeAt(1200, 20)).toBe(1200);
  });

  it('add 3.45 N/K at the typical pressure of the default machine', () => {
    // Gay-Lussac's law by hand: 45.842 bar absolute over 293.15 K, times 22.0905 N/bar.
    const input = sized();
    expect(accumulatorSize(input, forceRange(input)).gasDriftNPerK).toBeCloseTo(3.4545, 3);
  });

  it('are compressed 8.35 times from precharge to the highest working pressure of the default machine', () => {
    // By hand: 99.151 + 1.013 = 100.165 bar absolute over 12 bar. Limits are 4 for bladders and 4 to 8 for diaphragms (a manufacturer's
    // selection guide), 10 for pistons (from memory).
    const input = sized();
    expect(accumulatorSize(input, forceRange(input)).gasRatio).toBeCloseTo(8.347, 3);
  });

  it('need 120 mL for an isothermal swing of 20 bar around 50 bar', () => {
    // By hand, n = 1: 10 mL over 40 to 60 bar about 50: V·(50/40 − 50/60) = V/2.4, so V = 24 mL at 50 bar, 120 mL at 10 bar.
    expect(volumeForSwing(10, 5000, 2000, 1000, 1)).toBeCloseTo(120, 9);
  });
});

describe('compliance in sizing', () => {
  it.each(BULK_MODULUS)('has a bulk modulus of $megapascal MPa with air of $airRatio at $gaugeBar bar', (figure) => {
    expect(effectiveBulkMpa(1500, figure.airRatio, 100 * figure.gaugeBar)).toBeCloseTo(figure.megapascal, 5);
  });

  // The same formula with adiabatic bubbles, n = 1.4; calculated in double precision.
  it.each([
    [0.005, 1, 86.58278599],
    [0.005, 50, 1409.618378],
    [0.01, 10, 538.8561475],
    [0.02, 200, 1463.832643],
    [0.05, 5, 55.77239083],
  ])('has with adiabatic air of %f at %f bar a bulk modulus of %f MPa', (airRatio, gaugeBar, megapascal) => {
    expect(effectiveBulkMpa(1500, airRatio, 100 * gaugeBar, 1.4)).toBeCloseTo(megapascal, 5);
  });

  it('is 1.30 mL/bar at 45 bar for the default machine', () => {
    // By hand: gas 320·12/(1.4·46.01325²) = 1.2955 and oil 60/12000 = 0.005 mL/bar; the air adds less than 0.001.
    expect(complianceMlPerBar(4500, sized())).toBeGreaterThan(1.3004);
    expect(complianceMlPerBar(4500, sized())).toBeLessThan(1.3015);
    expect(complianceMlPerBar(4500, sized({ airRatio: 0 }))).toBeCloseTo(1.3005, 3);
  });

  it('slews by +105 and with equal valves by −67 bar/s there, as a prototype of the plant did', () => {
    // Our own engineering estimate. By hand: 8·√1.05 and 8·√0.43 L/min over 1.30 mL/bar; the passage reduces it a little.
    expect(slewBarPerS(4500, 40, 'up', 0, sized(WIDE))).toBeCloseTo(105, -0.5);
    expect(slewBarPerS(4500, 40, 'down', 0, sized({ ...WIDE, returnFlowRatio: 1 }))).toBeCloseTo(67, -0.5);
  });
});

describe('flow in sizing', () => {
  it.each(ORIFICE_FLOW)('through $diameterMm mm at $dropBar bar is $litrePerMinute L/min', (figure) => {
    expect(orificeLpm(figure.diameterMm, 100 * figure.dropBar, 870)).toBeCloseTo(figure.litrePerMinute, 9);
    expect(orificeMm(figure.litrePerMinute, 100 * figure.dropBar, 870)).toBeCloseTo(figure.diameterMm, 9);
  });

  it('through 1 mm at 100 bar is 4.3655 L/min with the coefficient 0.611 of free streamlines', () => {
    // π/(π + 2) = 0.6110 (Rabie, eq. 2.36 to 2.39, citing Merritt 1967).
    expect(orificeLpm(1, 10000, 870, 0.611)).toBeCloseTo(4.365537403, 8);
  });

  it('of 8 L/min at 100 bar takes 1.344 mm', () => {
    // Area is proportional to the square of the diameter; 1.5 mm pass 9.967143 L/min: 1.5·√(8/9.967143).
    expect(orificeMm(8, 10000, 870)).toBeCloseTo(1.34386, 4);
  });

  it('of a valve is nominal at 40 °C, and without a passage grows with the root of the drop at any temperature', () => {
    expect(valveLpm(10000, 40, sized())).toBeCloseTo(8, 12);
    for (const celsius of [-40, 40, 100]) expect(valveLpm(2500, celsius, sized({ passageMm: 0, flowRatioPerC: 0 }))).toBeCloseTo(4, 12);
  });

  it('of a valve that is mostly passage grows with the drop and falls with viscosity', () => {
    // A passage so long that 5 % of the drop are left for the orifice, which is negligible with cold oil.
    const valve = sized({ passageMm: 50, valveFlowLpm: 0.5, flowRatioPerC: 0 });
    expect(valveLpm(2, -30, valve) / valveLpm(1, -30, valve)).toBeCloseTo(2, 4);
    const thinner = viscosityAt(-30, valve) / viscosityAt(-20, valve);
    expect(valveLpm(1, -20, valve) / valveLpm(1, -30, valve)).toBeCloseTo(thinner, 4);
  });
});

describe('flow through hoses and valve', () => {
  const VALVE = { passageMm: 0, flowRatioPerC: 0 };

  it('of a valve changes by flowRatioPerC beyond viscosity, as in the plant, and never below zero', () => {
    // By hand: 4 L/min at a quarter of the nominal drop; 55 K below 40 °C at 0.1 %/K leave 0.945 of it.
    expect(valveLpm(2500, -15, sized({ passageMm: 0, flowRatioPerC: 0.001 }))).toBeCloseTo(3.78, 9);
    expect(valveLpm(2500, 120, sized({ passageMm: 0, flowRatioPerC: -0.02 }))).toBe(0);
  });

  it('of cold oil is what valve and row hose in series let through: 6.636 L/min up, 3.373 L/min down', () => {
    // By hand: the row hose, 1.5 m of 8 mm at 2516.26 mm²/s, takes 128·μ·l/(π·d⁴) = 544.39 kPa per L/min; the valve 10 000/8² = 156.25
    // kPa per (L/min)². 156.25·Q² + 544.39·Q = 15 000 − 4500: Q = 6.6386. Down with 0.85 of the flow: 216.26·Q² + 544.39·Q = 4300: 3.3744.
    // The shared hoses of 60 mm take the rest.
    const cold = sized({ ...WIDE_SHARED, ...VALVE });
    expect(pathLpm(4500, -15, 'up', 0, cold)).toBeCloseTo(6.6386, 2);
    expect(pathLpm(4500, -15, 'down', 0, cold)).toBeCloseTo(3.3744, 2);
  });

  it('shares the supply hose and the pump with what other rows draw', () => {
    // By hand: the supply hose of 16 mm takes 0.22684 MPa per L/min of cold oil; 20 L/min besides take 45.37 bar of the 105.
    const cold = { ...WIDE, ...VALVE, supplyHoseMm: 16 };
    const alone = pathLpm(4500, -15, 'up', 0, sized({ ...cold, railNominalKpa: 15000 - 4536.8 }));
    expect(pathLpm(4500, -15, 'up', 20, sized(cold))).toBeCloseTo(alone, 2);
    // And the fans share the pump: 24 · 1.2 L/min at 10 kPa per L/min are 288 kPa.
    const droop = { ...WIDE, ...VALVE, railDroopKpaPerLpm: 10 };
    const without = pathLpm(4500, 40, 'up', 0, sized({ ...droop, fanLpm: 0, railNominalKpa: 15000 - 288 }));
    expect(pathLpm(4500, 40, 'up', 0, sized({ ...droop, fanLpm: 1.2 }))).toBeCloseTo(without, 9);
  });

  it('is zero against the pressure', () => {
    expect(pathLpm(15000, 40, 'up', 0, sized())).toBe(0);
    expect(pathLpm(100, 40, 'down', 0, sized())).toBe(0);
  });

  it('leaves a rail margin of −14 bar at −15 °C with straight hoses in laminar flow, without fans on the pump', () => {
    // An independent calculation of a machine with 110 pulses of 56 ms a minute: 4.562 valves of 4.949 L/min and 4.8 L/min of others are
    // 27.38 L/min. 128·μ·l·Q/(π·d⁴) = 128 · 2.18914 Pa·s · 10 m · 4.5626e-4 m³/s/(π · (0.016 m)⁴) = 62.10 bar; the droop takes 2.74 bar;
    // 150 − 62.10 − 2.74 − 99.15 = −13.99 bar.
    const job = { dutyPulsesPerMin: 110, dutyOpenMs: 56, flowRatioPerC: 0 };
    const marginOf = (input: SizingInput): number => oilSize(input, forceRange(input)).railMarginKpa / 100;
    expect(marginOf(sized({ ...job, fanLpm: 0 }))).toBeCloseTo(-13.99, 2);
    // With the fans, 28.8 L/min: 2.88 bar less.
    expect(marginOf(sized({ ...job, fanLpm: 1.2 }))).toBeCloseTo(-16.87, 2);
  });

  it('returns at the peak what the return valves let through, open for as long as it takes', () => {
    // By hand without leaks or others: 24 rows, 60 pulses of 100 ms a minute are 0.05 · 24 = 1.2 supply valves. A return valve with half of
    // their flow is open twice as long: 2.4, and 2.4 + 3·√2.4 = 7.0476 at the peak, of half the flow.
    const input = sized({ dutyPulsesPerMin: 60, dutyOpenMs: 100, cleanerLpm: 0, fertiliserLpm: 0 });
    const force = forceRange(input);
    const ratio = valveLpm(15000 - force.workTypicalKpa, 40, input) / valveLpm(force.workTypicalKpa - 200, 40, input) / 2;
    const { warm } = oilSize({ ...input, returnFlowRatio: ratio }, force);
    expect(warm.returnOpenLpm / warm.openLpm).toBeCloseTo(0.5, 12);
    expect(warm.returnLpm / warm.returnOpenLpm).toBeCloseTo(7.0476, 4);
    expect(warm.supplyLpm / warm.openLpm).toBeCloseTo(1.2 + 3 * Math.sqrt(1.2), 9);
  });
});

describe('a chamber without an accumulator', () => {
  it('follows the logarithm of its volume, not the straight line of its bulk modulus', () => {
    // Closed form without air: p = B·ln(V0/V); 6 of 60 mL into 1200 MPa: 1200·ln(1/0.9) = 126.433 MPa above 4.6 MPa; a line has 120.
    const { min, max } = stiffPressures(4600, 12, sized({ airRatio: 0 }));
    expect(max).toBeCloseTo(4600 + 126_432.6, 0);
    expect(min).toBe(0);
  });

  it('falls to where its free air takes the place of the oil', () => {
    // By hand: 0.99·e^(−4.499/1200) + 1.01325/4600 = 0.98652 at the start; 1.1 times that is 1.08517, of which liquid is 0.99008 and air
    // the rest at 1.01325 kPa/0.09509.
    expect(stiffPressures(4600, 12, sized({ airRatio: 0.01 })).min).toBeCloseTo(10.66, 1);
  });
});

describe('viscosity in sizing', () => {
  it.each(VISCOSITY_46)('of a VG 46 oil follows the line of ASTM D341: %j', (figure) => {
    const [celsius, viscosity] = Object.values(figure) as [number, number];
    expect(viscosityAt(celsius, { viscosityAt40: 46, viscosityAt100: 6.8 }) / viscosity).toBeCloseTo(1, 6);
  });

  it('of an oil with 32 and 5.4 mm²/s is 8.5 mm²/s at 80 °C, as in a published worked example', () => {
    expect(viscosityAt(80, { viscosityAt40: 32, viscosityAt100: 5.4 })).toBeCloseTo(8.533, 3);
  });

  // ISO 3448: the grade is the viscosity at 40 °C, ± 10 %; from memory.
  it.each([
    [32, 28.8, 35.2],
    [46, 41.4, 50.6],
    [68, 61.2, 74.8],
  ])('at 40 °C is that of its grade VG %f, from %f to %f mm²/s', (grade, min, max) => {
    const at40 = viscosityAt(40, { viscosityAt40: grade, viscosityAt100: grade / 6 });
    expect(at40).toBeGreaterThan(min);
    expect(at40).toBeLessThan(max);
    expect(at40).toBeCloseTo(grade, 9);
  });
});

describe('hoses', () => {
  it('follow Hagen–Poiseuille in laminar flow', () => {
    // 128·μ·l·Q/(π·d⁴) by hand: 128 · 0.04002 Pa·s · 10 m · (10/60000) m³/s / (π · (0.016 m)⁴) = 41 468 Pa.
    expect(hoseDropKpa(10, 16, 10, 46, 870)).toBeCloseTo(41.468, 2);
  });

  it('have a friction factor of 0.0316 at Re 10 000 and 0.064 at Re 1000', () => {
    // Blasius 0.3164/Re^0.25 (from memory), and 64/Re.
    expect(frictionFactor(10000)).toBeCloseTo(0.03164, 6);
    expect(frictionFactor(1000)).toBe(0.064);
  });

  it('carry 15 L/min through 12.616 mm at 2 m/s, which is Re 548 at 46 mm²/s', () => {
    // By hand: 15/60000 m³/s over 1.25e-4 m² = 2 m/s; d = √(4·1.25e-4/π) = 12.6157 mm; 2 · 0.0126157 / 46e-6 = 548.5.
    expect(boreMps(15, 12.6157)).toBeCloseTo(2, 4);
    expect(reynolds(15, 12.6157, 46)).toBeCloseTo(548.5, 1);
  });

  it('follow the power 7/4 of the flow in turbulent flow', () => {
    // Blasius: v²·v^(−1/4).
    expect(hoseDropKpa(200, 16, 10, 11, 870) / hoseDropKpa(100, 16, 10, 11, 870)).toBeCloseTo(2 ** 1.75, 9);
  });
});
