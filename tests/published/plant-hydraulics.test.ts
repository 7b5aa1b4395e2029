import { describe, expect, it } from 'vitest';
import { ATMOSPHERE_PA, type Numbers, PlantRig, type RigSetup } from '../support/plant-rig.js';
import { BULK_MODULUS, USABLE_VOLUME, VISCOSITY_46 } from './figures/plant-oil.js';

/**
 * Flow of a sharp-edged orifice of 0.8 mm at 100 bar, L/min: Q = Cd·A·√(2·Δp/ρ), Cd 0.62, ρ 870 kg/m³ (form: Merritt, *Hydraulic
 * Control Systems*, 1967).
 */
const ORIFICE_LPM = 60000 * 0.62 * (Math.PI / 4) * 0.8e-3 ** 2 * Math.sqrt((2 * 10e6) / 870);

/** A chamber of constant volume: its piston has next to no area, and its valves are plain orifices without leaks. */
const FIXED_CHAMBER: Numbers = {
  capAreaCm2: 1e-9,
  valveFlowLpm: ORIFICE_LPM,
  valveFlowDropKpa: 10000,
  passageMm: 0,
  valveLeakMlPerMin: 0,
  returnKpa: 0,
  airRatio: 0,
};
const NO_ACCUMULATOR: Numbers = { accumulatorMl: 0 };
/** Next to no oil, and gas without heat exchange. */
const GAS_ALONE: Numbers = { chamberOilMl: 1e-6, gasThermalS: 1e12 };

const fixedChamber = (machine: Numbers, setup: Omit<RigSetup, 'machine'> = {}): PlantRig =>
  new PlantRig({ ...setup, machine: { ...FIXED_CHAMBER, ...machine } });

const gaugePa = (rig: PlantRig): number => rig.get('rowState', 'chamberPa') - ATMOSPHERE_PA;
const takenMl = (rig: PlantRig): number => 1e6 * (rig.get('rowState', 'oilM3') - rig.get('rowState', 'returnedM3'));

/** Value of one series where the other, rising, passes a value; linear between two ticks. */
function whereReached(rising: readonly number[], value: number, series: readonly number[]): number {
  const at = rising.findIndex((one) => one >= value);
  const [before = Number.NaN, after = Number.NaN] = [rising[at - 1], rising[at]];
  const [from = Number.NaN, to = Number.NaN] = [series[at - 1], series[at]];
  return from + ((to - from) * (value - before)) / (after - before);
}

describe('a chamber that empties through an orifice', () => {
  // √p falls linearly: T = 2·C·√p0/K. 0.8 mm, Cd 0.62, ρ 870, 0.2 L, 1.2 GPa, 15 MPa: 86.399 ms (closed form).
  const EMPTY_S = 0.086399;
  const emptying = (tickHz: number): PlantRig =>
    fixedChamber({ ...NO_ACCUMULATOR, chamberOilMl: 200, bulkModulusMpa: 1200 }, { tickHz, startKpa: 15000 }).openings(0, 1);

  it('is empty after the time of the closed form', () => {
    const rig = emptying(2000);
    const roots = Array.from({ length: 160 }, () => Math.sqrt(Math.max(0, gaugePa(rig.tick()))));
    const [first = 0, last = 0] = [roots[0], roots[159]];
    // Extrapolates the line of √p to zero.
    const emptyS = 0.0005 + (0.0795 * first) / (first - last);
    expect(emptyS * 1000).toBeCloseTo(86.399, 3);
  });

  it('has a quarter of its pressure after half of that time', () => {
    // Ticks of T/100, so that the fiftieth ends at half the time.
    expect(gaugePa(emptying(100 / EMPTY_S).run(50)) / 1000).toBeCloseTo(15000 / 4, 0);
  });

  it('follows the parabola down to a fiftieth of its pressure', () => {
    const rig = emptying(2000);
    for (let tick = 1; tick < 148; tick++) {
      const exact = 15e6 * (1 - (tick * 0.0005) / EMPTY_S) ** 2;
      expect(Math.abs(gaugePa(rig.tick()) - exact)).toBeLessThan(200);
    }
  });
});

/** An accumulator at its precharge, rail on, supply valve open. */
function filling(litre: number, prechargeBar: number, exponent: number, railBar: number, valveFlowLpm = ORIFICE_LPM): PlantRig {
  const prechargePa = 1e5 * prechargeBar + ATMOSPHERE_PA;
  const gas = { accumulatorMl: 1000 * litre, prechargeAbsoluteKpa: prechargePa / 1000, gasExponent: exponent };
  const machine = { ...GAS_ALONE, ...gas, valveFlowLpm, railNominalKpa: 100 * railBar, reliefKpa: 1e6 };
  // Slightly above precharge, where the bladder has just left the shell.
  return fixedChamber(machine, { startKpa: (1.000001 * prechargePa - ATMOSPHERE_PA) / 1000 }).openings(1, 0);
}

describe('an accumulator', () => {
  it('fills from 60 to 120 bar through an orifice at 180 bar in the time of the closed form', () => {
    // 0.1 L, precharge 50 bar, exponent 1.25: 0.79945 s (quadrature; the differential equation by scipy's Radau agrees).
    const rig = filling(0.1, 50, 1.25, 180);
    const pressures: number[] = [];
    for (let tick = 0; tick < 1100; tick++) pressures.push(gaugePa(rig.tick()));
    const ticks = pressures.map((_, index) => index + 1);
    const seconds = (whereReached(pressures, 12e6, ticks) - whereReached(pressures, 6e6, ticks)) / 1000;
    expect(seconds).toBeCloseTo(0.79945, 4);
  });

  it.each(USABLE_VOLUME)('takes $litre L from $fromBar to $toBar bar at an exponent of $exponent', (figure) => {
    const rig = filling(1, figure.prechargeBar, figure.exponent, 2 * figure.toBar, 40);
    const pressures: number[] = [];
    const taken: number[] = [];
    while ((pressures.at(-1) ?? 0) < 1e5 * figure.toBar) {
      pressures.push(gaugePa(rig.tick()));
      taken.push(takenMl(rig));
    }
    const ml = whereReached(pressures, 1e5 * figure.toBar, taken) - whereReached(pressures, 1e5 * figure.fromBar, taken);
    expect(ml / 1000).toBeCloseTo(figure.litre, 5);
  });

  it('of 2.774 L supplies 1 L between 200 and 100 bar with a precharge of 90 bar', () => {
    // Worked example of a published text: exponent 1.4, V0 = 2.774 L.
    const rig = filling(2.774, 90, 1.4, 400, 60);
    rig.setState({ chamberPa: 1e7 + ATMOSPHERE_PA, gasK: 293.15 * (101.01325 / 91.01325) ** (0.4 / 1.4) });
    while (gaugePa(rig) < 2e7) rig.tick();
    rig.openings(0, 1);
    const pressures: number[] = [];
    const given: number[] = [];
    while (gaugePa(rig) > 1e7) {
      pressures.push(-gaugePa(rig));
      given.push(takenMl(rig));
      rig.tick();
    }
    pressures.push(-gaugePa(rig));
    given.push(takenMl(rig));
    const litre = (whereReached(pressures, -2e7 + 1, given) - whereReached(pressures, -1e7, given)) / 1000;
    expect(litre).toBeGreaterThan(0.999);
    expect(litre).toBeLessThan(1.001);
  });

  it('loses 29 % of a fast pressure change as its gas returns to ambient temperature', () => {
    // 1 − 1/1.4 of a small change (adiabatic over isothermal stiffness of an ideal gas), with the time constant of the gas.
    const rig = fixedChamber({ chamberOilMl: 1e-6, gasThermalS: 6, gasExponent: 1.4, valveFlowLpm: 20 }, { startKpa: 4500 });
    rig.openings(1, 0);
    while (gaugePa(rig) < 4.55e6) rig.tick();
    rig.openings(0, 0);
    const fast = gaugePa(rig) - 4.5e6;
    expect(fast).toBeLessThan(0.1e6);
    const leftOf = (later: PlantRig): number => (gaugePa(later) - 4.5e6) / fast;
    const afterTime = 1 - leftOf(rig.run(6000));
    const afterAll = 1 - leftOf(rig.run(60000));
    expect(afterAll).toBeGreaterThan(0.28);
    expect(afterAll).toBeLessThan(0.29);
    // 63.2 % of it within the time constant.
    expect(afterTime / afterAll).toBeCloseTo(0.632, 2);
  });

  it.each([
    { limit: 'isothermal', gasThermalS: 1e-3, exponent: 1 },
    { limit: 'adiabatic', gasThermalS: 1e12, exponent: 1.4 },
  ])('is $limit if its gas has a time constant of $gasThermalS s', ({ gasThermalS, exponent }) => {
    // p·V^n is constant, from 45 bar; 1 L at 12 bar absolute.
    const gas = { accumulatorMl: 1000, prechargeAbsoluteKpa: 1200, gasExponent: 1.4, gasThermalS, chamberOilMl: 1e-6 };
    const rig = fixedChamber(gas, { startKpa: 4500 }).openings(1, 0);
    const startMl = (1000 * 1200) / (4500 + ATMOSPHERE_PA / 1000);
    const pressures: number[] = [];
    const taken: number[] = [];
    while ((pressures.at(-1) ?? 0) < 9e6) {
      pressures.push(gaugePa(rig.tick()));
      taken.push(takenMl(rig));
    }
    const ratio = (4.5e6 + ATMOSPHERE_PA) / (9e6 + ATMOSPHERE_PA);
    const exact = startMl * (1 - ratio ** (1 / exponent));
    expect(Math.abs(whereReached(pressures, 9e6, taken) / exact - 1)).toBeLessThan(0.001);
  });
});

describe('an accumulator that loses gas', () => {
  const GAMMA = 1.4;
  const gasK = (rig: PlantRig): number => rig.get('rowState', 'gasK');
  const absolutePa = (rig: PlantRig): number => rig.get('rowState', 'chamberPa');
  /** 1 L at 12 bar absolute, pressed to 45 bar gauge, valves closed. */
  const charged = (faults: Numbers, gasThermalS: number, machine: Numbers = {}): PlantRig =>
    fixedChamber(
      { ...GAS_ALONE, accumulatorMl: 1000, prechargeAbsoluteKpa: 1200, gasExponent: GAMMA, gasThermalS, ...machine },
      { startKpa: 4500, faults },
    );
  const START_PA = 4.5e6 + ATMOSPHERE_PA;

  // What stays expands without heat exchange to the volume of all: p ∝ m^γ, T ∝ m^(γ − 1) (ideal gas, vented vessel; closed form).
  it.each([0.9, 0.5, 0.05])('at once, down to a share of %f, expands what is left as an isentrope', (share) => {
    const rig = charged({ gasLeftRatio: share }, 1e12).tick();
    expect(absolutePa(rig) / START_PA / share ** GAMMA).toBeCloseTo(1, 4);
    expect(gasK(rig) / 293.15 / share ** (GAMMA - 1)).toBeCloseTo(1, 4);
  });

  it('has its share of the pressure as soon as the gas is warm again', () => {
    const rig = charged({ gasLeftRatio: 0.5 }, 0.05).run(2000);
    expect(gasK(rig)).toBeCloseTo(293.15, 3);
    expect(absolutePa(rig) / START_PA).toBeCloseTo(0.5, 4);
  });

  it('loses it linearly over the given time, then nothing more', () => {
    const rig = charged({ gasLeftRatio: 0.6, gasLossS: 2 }, 1e-3);
    const sharesAfter = [500, 500, 1000, 1000].map((ticks) => absolutePa(rig.run(ticks)) / START_PA);
    for (const [index, share] of [0.9, 0.8, 0.6, 0.6].entries()) expect(sharesAfter[index]).toBeCloseTo(share, 3);
  });

  it('through a leak loses a share of what is left per hour', () => {
    // 2 per hour for 0.1 h: e^(−0.2).
    const rig = charged({}, 1e-3, { gasLeakRatioPerH: 2 }).run(360_000);
    expect(absolutePa(rig) / START_PA).toBeCloseTo(Math.exp(-0.2), 3);
  });

  it('with its bladder at the shell keeps the pressure of the oil', () => {
    const rig = charged({ gasLeftRatio: 0.5 }, 1e12, { prechargeAbsoluteKpa: 15000, chamberOilMl: 60 }).run(10);
    expect(absolutePa(rig) / START_PA).toBeCloseTo(1, 3);
  });

  it('leaves the other rows as they are', () => {
    const rig = new PlantRig({ rows: 2 }).set('injectedFaults', { gasLeftRatio: 0.5 }, 1).tick();
    const nominal = rig.get('derived', 'gasJPerK');
    expect([0, 1].map((row) => rig.get('rowState', 'gasJPerK', row) / nominal)).toEqual([1, 0.5]);
  });

  it('may have had another charge in each row from the start, which it keeps', () => {
    const rig = new PlantRig({ rows: 48, machine: { gasSpreadRatio: 0.1 } });
    const shares = (): number[] =>
      Array.from({ length: 48 }, (_, row) => rig.get('rowState', 'gasJPerK', row) / rig.get('derived', 'gasJPerK'));
    const first = shares();
    const mean = first.reduce((sum, share) => sum + share, 0) / 48;
    const deviation = Math.sqrt(first.reduce((sum, share) => sum + (share - mean) ** 2, 0) / 48);
    // 0.1 within 10 %, and 1 within 0.0144, both one sigma.
    expect(Math.abs(mean - 1)).toBeLessThan(0.045);
    expect(Math.abs(deviation - 0.1)).toBeLessThan(0.03);
    rig.run(10);
    expect(shares()).toEqual(first);
    rig.set('injectedFaults', { gasLeftRatio: 0.5 }, 7).tick();
    expect(shares()[7]).toBeCloseTo(0.5 * (first[7] ?? 0), 12);
  });

  it('is integrated to within 0.01 N at the wheel with 2 % of its gas, as with steps a 32nd as long', () => {
    const wheelN = (steps: number): number => {
      const rig = new PlantRig({ steps, startKpa: 4500, field: { roughnessCm3: 1024 }, faults: { gasLeftRatio: 0.02 } }).tick();
      return rig.setState({ chamberPa: START_PA }).run(1000).rate('wheelN');
    };
    expect(wheelN(2)).toBeGreaterThan(100);
    expect(Math.abs(wheelN(2) - wheelN(64))).toBeLessThan(0.01);
  });
});

describe('the flow of a valve', () => {
  const flowsOf = (machine: Numbers, setup: Omit<RigSetup, 'machine'> = {}): { supply: number; back: number } => {
    // 150 bar of the rail and 0 bar of the return line: the same drop for both valves at 75 bar.
    const rig = fixedChamber({ ...NO_ACCUMULATOR, ...machine }, { startKpa: 7500, ...setup }).openings(1, 1);
    const { supplyM3PerS = Number.NaN, returnM3PerS = Number.NaN } = rig.ratesFor();
    return { supply: supplyM3PerS * 60000, back: returnM3PerS * 60000 };
  };
  const nominal = flowsOf({}).supply;

  it('is the same for both at the same drop, unless returnFlowRatio differs from 1', () => {
    expect(flowsOf({}).back / nominal).toBeCloseTo(1, 12);
    expect(flowsOf({ returnFlowRatio: 0.8 }).supply).toBe(nominal);
    expect(flowsOf({ returnFlowRatio: 0.8 }).back / nominal).toBeCloseTo(0.8, 12);
  });

  it('changes by flowRatioPerC for each degree from 40 °C, besides what the viscosity does', () => {
    // passageMm is 0: hardly any viscous drop.
    expect(flowsOf({ flowRatioPerC: 0.002 }).supply).toBe(nominal);
    expect(flowsOf({ flowRatioPerC: 0.002 }, { drive: { oilC: 90 } }).supply / nominal).toBeCloseTo(1.1, 12);
    expect(flowsOf({ flowRatioPerC: 0.002 }, { drive: { oilC: -10 } }).back / nominal).toBeCloseTo(0.9, 12);
  });

  it('may change in one valve of a row', () => {
    const { supply, back } = flowsOf({}, { faults: { returnFlowRatio: 0.6 } });
    expect([supply / nominal, back / nominal]).toEqual([expect.closeTo(1, 12), expect.closeTo(0.6, 12)]);
    expect(flowsOf({}, { faults: { supplyFlowRatio: 1.2 } }).supply / nominal).toBeCloseTo(1.2, 12);
  });
});

describe('oil with free air', () => {
  /** Effective modulus, MPa: volume of the oil times pressure rate over flow. */
  function modulusMpa(airRatio: number, gaugeBar: number): number {
    const machine = { ...NO_ACCUMULATOR, chamberOilMl: 100, bulkModulusMpa: 1500, airRatio };
    const r = fixedChamber(machine, { startKpa: 100 * gaugeBar })
      .openings(1, 0)
      .ratesFor();
    return (100e-6 * (r.chamberPaPerS ?? 0)) / (r.supplyM3PerS ?? 0) / 1e6;
  }

  // In the table α is a share of oil and air together; the plant has its air in addition to the oil: up to α more volume.
  it.each(BULK_MODULUS)(
    'of $airRatio at $gaugeBar bar has a modulus of $megapascal MPa within its share of air',
    ({ airRatio, gaugeBar, megapascal }) => {
      const ratio = modulusMpa(airRatio, gaugeBar) / megapascal;
      expect(ratio).toBeGreaterThan(1 - 1e-9);
      expect(ratio).toBeLessThan(1 / (1 - airRatio) + 1e-9);
    },
  );

  // With air per oil, α/(1 − α), and the volume of the table, which includes the bubbles, only the compression of the oil is left.
  it.each(BULK_MODULUS)(
    'of $airRatio at $gaugeBar bar, as air per oil, has a modulus of $megapascal MPa',
    ({ airRatio, gaugeBar, megapascal }) => {
      const perOil = airRatio / (1 - airRatio);
      const bubbles = (perOil * ATMOSPHERE_PA) / (1e5 * gaugeBar + ATMOSPHERE_PA);
      const ratio = (modulusMpa(perOil, gaugeBar) * (1 + bubbles)) / megapascal;
      expect(ratio).toBeGreaterThan(0.999);
      expect(ratio).toBeLessThan(1.001);
    },
  );
});

describe('viscosity', () => {
  const viscosityAt = (celsius: number, at40: number, at100: number): number =>
    1e6 *
    new PlantRig({ machine: { viscosityAt40: at40, viscosityAt100: at100 }, drive: { oilC: celsius } }).get('plant', 'viscosityM2PerS');

  it.each(VISCOSITY_46)('at $celsius °C is $mm2PerS mm²/s, as in ASTM D341', ({ celsius, mm2PerS }) => {
    expect(viscosityAt(celsius, 46, 6.8) / mm2PerS).toBeCloseTo(1, 9);
  });

  it('of an oil of 32 and 5.4 mm²/s at 40 and 100 °C is 8.5 at 80 °C', () => {
    // Worked example of ASTM D341 from a published text; 8.533 in double precision.
    expect(viscosityAt(80, 32, 5.4)).toBeCloseTo(8.533, 3);
  });

  it('follows the oil temperature while the plant runs', () => {
    const rig = new PlantRig({ drive: { oilC: 40 } }).run(10);
    rig.set('drive', { oilC: 0 }).run(1);
    expect(rig.get('plant', 'viscosityM2PerS') * 1e6).toBeCloseTo(577.321, 3);
  });
});

describe('oil', () => {
  /** Volume swept by the piston from level travel, m³: the integral of the ratio's parabola. */
  function sweptM3(rig: PlantRig, travelM: number): number {
    const d = (name: string): number => rig.get('derived', name);
    return -d('areaM2') * travelM * (d('ratio0') + travelM * (d('ratio1') / 2 + (travelM * d('ratio2')) / 3));
  }

  /** A run over rough ground with pulses of both valves: oil lost, oil that flowed through, mL, and number of steps at the shell. */
  function accountOf(setup: RigSetup): { lostMl: number; throughMl: number; bottomed: number } {
    const rig = new PlantRig({ field: { roughnessCm3: 1024, stoneEveryM: 8, soilNoiseRatio: 0.08 }, ...setup });
    const d = (name: string): number => rig.get('derived', name);
    let [first, last, bottomed] = [Number.NaN, Number.NaN, 0];
    // At the start of a step, state and frame are of the same time. The gas is at most as large as its shell.
    const sample = (): void => {
      const { frameM = Number.NaN } = rig.ratesFor();
      const { heightM, chamberPa, gasK } = rig.state();
      const gas = Math.min((rig.get('rowState', 'gasJPerK') * gasK) / chamberPa, d('gasM3'));
      const compressed = d('oilM3PerPa') * chamberPa - d('airM3Pa') / chamberPa;
      last = 1e6 * (sweptM3(rig, heightM - frameM) - gas + compressed) - takenMl(rig);
      if (Number.isNaN(first)) first = last;
      if (gas === d('gasM3')) bottomed += 1;
    };
    for (let tick = 0; tick < 5000; tick++) {
      const phase = tick % 250;
      rig.order('supply', phase < 3 ? 1 : phase >= 12 && phase < 15 ? 2 : 0);
      rig.order('return', phase >= 120 && phase < 123 ? 1 : phase >= 138 && phase < 141 ? 2 : 0);
      rig.tick(sample);
    }
    const throughMl = 1e6 * (rig.get('rowState', 'oilM3') + rig.get('rowState', 'returnedM3'));
    return { lostMl: last - first, throughMl, bottomed };
  }

  it.each([1, 2, 3])('is conserved: what flowed in and not out is under the piston, beside the gas or compressed (seed %i)', (seed) => {
    const { lostMl, throughMl, bottomed } = accountOf({ seed, startKpa: 4500 });
    expect(bottomed).toBe(0);
    expect(throughMl).toBeGreaterThan(20);
    expect(throughMl).toBeLessThan(500);
    expect(Math.abs(lostMl) / throughMl).toBeLessThan(1e-8);
  });

  it('is conserved while the accumulator loses gas', () => {
    const loss = { gasLeftRatio: 0.5, gasLossS: 4 };
    const { lostMl, throughMl } = accountOf({ startKpa: 4500, faults: loss });
    expect(throughMl).toBeGreaterThan(20);
    expect(Math.abs(lostMl) / throughMl).toBeLessThan(1e-8);
  });

  const AT_ITS_SHELL = { startKpa: 4500, machine: { prechargeAbsoluteKpa: 4650 } };

  it.each([1, 2, 3])('is conserved when the bladder fills its shell now and then (seed %i)', (seed) => {
    const { lostMl, throughMl, bottomed } = accountOf({ ...AT_ITS_SHELL, seed });
    expect(bottomed).toBeGreaterThan(20);
    expect(bottomed).toBeLessThan(9000);
    expect(throughMl).toBeGreaterThan(20);
    expect(Math.abs(lostMl) / throughMl).toBeLessThan(0.001);
  });
});
