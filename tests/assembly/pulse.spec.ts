import { coefficients } from '../../assembly/controller/generated/records';
import { complianceAt, flowAt, pulseTicks, stepPerTick } from '../../assembly/controller/pulse';
import { freshBank } from './fresh-bank';

describe('complianceAt', () => {
  beforeEach(() => freshBank(1));
  // Oil 60 mL/1.2e6 kPa = 5e-5 mL/kPa. Gas V0·p0/(n·p²) with p = 4500 + 101.325 kPa:
  // 320·1200/1.4/4601.325² = 0.012955 mL/kPa. Together 1.30 mL/bar, the default machine's value at 45 bar.
  test('is oil plus gas above precharge', () => {
    expect(complianceAt(4500, 1200, coefficients())).toBeCloseTo(0.013005, 6);
  });
  test('is oil alone at and below precharge', () => {
    expect(complianceAt(1098, 1200, coefficients())).toBeCloseTo(0.00005, 8);
    expect(complianceAt(0, 1200, coefficients())).toBeCloseTo(0.00005, 8);
    expect(complianceAt(1100, 1200, coefficients()) > 0.19).toBe(true, 'just above, the gas takes nearly 0.19 mL/kPa');
  });
  test('is oil alone if the pressure is NaN', () => {
    expect(complianceAt(NaN, 1200, coefficients())).toBeCloseTo(0.00005, 8);
  });
});

describe('flowAt', () => {
  beforeEach(() => freshBank(1));
  // 8 L/min = 0.133333 mL/ms at 10,000 kPa; half of it at a quarter of the drop.
  test('is proportional to the root of the pressure drop', () => {
    expect(flowAt(10000, 1, coefficients())).toBeCloseTo(0.1333333, 6);
    expect(flowAt(2500, 1, coefficients())).toBeCloseTo(0.0666667, 6);
    expect(flowAt(10000, 0.75, coefficients())).toBeCloseTo(0.1, 6);
  });
  test('is 0 for a drop that is negative, 0 or NaN', () => {
    expect(flowAt(0, 1, coefficients())).toBe(0);
    expect(flowAt(-10000, 1, coefficients())).toBe(0);
    expect(flowAt(NaN, 1, coefficients())).toBe(0);
  });
});

describe('stepPerTick', () => {
  beforeEach(() => freshBank(1));
  // The default machine at 45 bar from a 150 bar rail: 8 L/min·sqrt(10500/10000)/60 = 0.136626 mL/ms over
  // 0.013005 mL/kPa is 10.506 kPa/ms, the slew of 105 bar/s.
  test('is flow times tick over compliance', () => {
    expect(stepPerTick(0.136626, 0.013005, coefficients())).toBeCloseTo(10.5057, 3);
  });
});

describe('pulseTicks', () => {
  beforeEach(() => freshBank(1));
  // minPulse 3 ticks, maxPulse 400 ticks.
  test('is 0 if the shortest pulse would go more than twice as far', () => {
    expect(pulseTicks(14.9, 10, coefficients())).toBe(0);
    expect(pulseTicks(15, 10, coefficients())).toBe(3);
  });
  test('is the quotient between the shortest and the longest pulse', () => {
    expect(pulseTicks(30, 10, coefficients())).toBe(3);
    expect(pulseTicks(34, 10, coefficients())).toBe(3);
    expect(pulseTicks(36, 10, coefficients())).toBe(4);
    expect(pulseTicks(1000, 10, coefficients())).toBe(100);
    expect(pulseTicks(4000, 10, coefficients())).toBe(400);
    expect(pulseTicks(4010, 10, coefficients())).toBe(400);
    expect(pulseTicks(1e30, 1e-30, coefficients())).toBe(400);
  });
  test('is 0 for a step or a change that is 0, negative or NaN', () => {
    expect(pulseTicks(100, 0, coefficients())).toBe(0);
    expect(pulseTicks(100, -1, coefficients())).toBe(0);
    expect(pulseTicks(0, 10, coefficients())).toBe(0);
    expect(pulseTicks(-100, 10, coefficients())).toBe(0);
    expect(pulseTicks(NaN, 10, coefficients())).toBe(0);
    expect(pulseTicks(100, NaN, coefficients())).toBe(0);
  });
});
