import { coefficients } from '../../assembly/controller/generated/records';
import { complianceAt, complianceBetween, flowAt, pulseTicks, stepPerTick } from '../../assembly/controller/pulse';
import { freshBank } from './fresh-bank';

/** Precharge 1200 kPa absolute, with a share of the nominal gas. */
function compliance(kpa: f32, gasRatio: f32 = 1): f32 {
  return complianceAt(kpa, 1200, gasRatio * coefficients().gasMlKpa, coefficients().oilMlPerKpa);
}

function between(fromKpa: f32, toKpa: f32): f32 {
  return complianceBetween(fromKpa, toKpa, 1200, coefficients().gasMlKpa, coefficients().oilMlPerKpa);
}

describe('complianceAt', () => {
  beforeEach(() => freshBank(1));
  // Oil 60 mL/1.2e6 kPa = 5e-5 mL/kPa. Gas V0·p0/(n·p²) with p = 4500 + 101.325 kPa:
  // 320·1200/1.4/4601.325² = 0.012955 mL/kPa. Together 1.30 mL/bar, the default machine's value at 45 bar.
  test('is oil plus gas above precharge', () => {
    expect(compliance(4500)).toBeCloseTo(0.013005, 6);
  });
  test('is that of half the gas if half of it is lost', () => {
    // 0.00005 + 0.012955/2
    expect(compliance(4500, 0.5)).toBeCloseTo(0.0065275, 6);
  });
  // 320·1200/1.4/1200² = 0.190476 mL/kPa.
  test('is that of precharge below it', () => {
    expect(compliance(1098.675)).toBeCloseTo(0.190526, 6);
    expect(compliance(500)).toBeCloseTo(0.190526, 6);
    expect(compliance(0)).toBeCloseTo(0.190526, 6);
  });
  test('is that of precharge if the pressure is NaN', () => {
    expect(compliance(NaN)).toBeCloseTo(0.190526, 6);
  });
});

describe('complianceBetween', () => {
  beforeEach(() => freshBank(1));
  // 320·1200/1.4 = 274,286 mL·kPa over 3601.325·4601.325 kPa² is 0.0165521 mL/kPa.
  test('is the mean over the interval, in either direction', () => {
    expect(between(3500, 4500)).toBeCloseTo(0.0166021, 6);
    expect(between(4500, 3500)).toBeCloseTo(0.0166021, 6);
  });
  test('is that of the pressure if the interval is empty', () => {
    expect(between(4500, 4500)).toBe(compliance(4500));
  });
  // 274,286/(1200·1400) = 0.163265.
  test('counts from precharge on', () => {
    expect(between(898.675, 1298.675)).toBeCloseTo(0.163315, 5);
    expect(between(0, 1000)).toBeCloseTo(0.190526, 5);
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
  // minPulse 3 ticks, maxPulse 1000 ticks.
  test('is 0 if the shortest pulse would go more than twice as far', () => {
    expect(pulseTicks(14.9, 10, coefficients())).toBe(0);
    expect(pulseTicks(15, 10, coefficients())).toBe(3);
  });
  test('is the quotient between the shortest and the longest pulse', () => {
    expect(pulseTicks(30, 10, coefficients())).toBe(3);
    expect(pulseTicks(34, 10, coefficients())).toBe(3);
    expect(pulseTicks(36, 10, coefficients())).toBe(4);
    expect(pulseTicks(1000, 10, coefficients())).toBe(100);
    expect(pulseTicks(10000, 10, coefficients())).toBe(1000);
    expect(pulseTicks(10010, 10, coefficients())).toBe(1000);
    expect(pulseTicks(1e30, 1e-30, coefficients())).toBe(1000);
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
