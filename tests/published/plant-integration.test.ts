import odex from 'odex';
import { describe, expect, it } from 'vitest';
import { INTEGRATED, NO_SOIL, type Numbers, PlantRig, type RigSetup, type State } from '../support/plant-rig.js';

/** Absolute tolerances of the reference: height, speed, stored oil, gas temperature, sensed load. */
const ABSOLUTE = [1e-13, 1e-12, 1e-16, 1e-9, 1e-8];
const RELATIVE = 1e-10;

/**
 * The chamber by its stored oil, m³ up to a constant, instead of its pressure: v = β·p − a/p − V_g, with compressed oil (β), free air
 * (a) and a gas of V_g = g·T/p, at most V0. The rate of the pressure jumps by a factor of a hundred or more where the bladder reaches
 * its shell, and an integration that steps over that creates oil; the rate of the volume does not jump.
 */
class Chamber {
  private readonly pressed: number;
  private readonly air: number;
  private readonly gas: number;
  private readonly shellM3: number;

  constructor(rig: PlantRig) {
    this.pressed = rig.get('derived', 'oilM3PerPa');
    this.air = rig.get('derived', 'airM3Pa');
    this.gas = rig.get('derived', 'gasJPerK');
    this.shellM3 = rig.get('derived', 'gasM3');
  }

  private gasM3(pressurePa: number, gasK: number): number {
    return Math.min(this.shellM3, (this.gas * gasK) / pressurePa);
  }

  isBottomed(pressurePa: number, gasK: number): boolean {
    return this.gasM3(pressurePa, gasK) === this.shellM3;
  }

  oilM3(pressurePa: number, gasK: number): number {
    return this.pressed * pressurePa - this.air / pressurePa - this.gasM3(pressurePa, gasK);
  }

  /** Positive root of β·p² − v·p − c = 0, without cancellation. */
  private root(oilM3: number, c: number): number {
    const size = Math.sqrt(oilM3 * oilM3 + 4 * this.pressed * c);
    return oilM3 > 0 ? (oilM3 + size) / (2 * this.pressed) : (2 * c) / (size - oilM3);
  }

  pressurePa(oilM3: number, gasK: number): number {
    const overGas = this.root(oilM3, this.air + this.gas * gasK);
    return this.isBottomed(overGas, gasK) ? this.root(oilM3 + this.shellM3, this.air) : overGas;
  }
}

/** The same row integrated by ODEX (Hairer, Nørsett, Wanner, Solving Ordinary Differential Equations I) to a tight tolerance. */
class Reference {
  private readonly trial: Float64Array;
  private readonly chamber: Chamber;
  private readonly solver = new odex.Solver(INTEGRATED.length);
  /** Height, speed, stored oil, gas temperature, sensed load. */
  private state: number[];

  constructor(private readonly rig: PlantRig) {
    this.trial = rig.cells('trial');
    this.chamber = new Chamber(rig);
    this.solver.relativeTolerance = RELATIVE;
    this.solver.absoluteTolerance = ABSOLUTE;
    this.solver.initialStepSize = 0.25;
    this.solver.maxSteps = 100_000;
    const y = rig.state();
    this.state = [y.heightM, y.speedMps, this.chamber.oilM3(y.chamberPa, y.gasK), y.gasK, y.sensedN];
  }

  /** Returns the state in the plant's terms. */
  private plantState([heightM = 0, speedMps = 0, oilM3 = 0, gasK = 0, sensedN = 0]: readonly number[]): State {
    return { heightM, speedMps, chamberPa: this.chamber.pressurePa(oilM3, gasK), gasK, sensedN };
  }

  now(): State {
    return this.plantState(this.state);
  }

  isBottomed(): boolean {
    const { chamberPa, gasK } = this.now();
    return this.chamber.isBottomed(chamberPa, gasK);
  }

  private ratesAt(fraction: number, state: readonly number[]): number[] {
    const { heightM, speedMps, chamberPa, gasK, sensedN } = this.plantState(state);
    this.trial.set([heightM, speedMps, chamberPa, gasK, sensedN]);
    this.rig.plant.exports.computeRates(0, fraction);
    const { rate } = this.rig;
    const travelM = heightM - rate('frameM');
    const d = (name: string): number => this.rig.get('derived', name);
    const ratio = d('ratio0') + travelM * (d('ratio1') + travelM * d('ratio2'));
    const piston = d('areaM2') * ratio * (rate('frameMps') - speedMps);
    return [
      rate('heightMps'),
      rate('speedMps2'),
      rate('supplyM3PerS') - rate('returnM3PerS') - piston,
      rate('gasKPerS'),
      rate('sensedNPerS'),
    ];
  }

  /** Integrates over the current step; time is a fraction of it. */
  step(): void {
    const { stepS } = this.rig;
    const ofShare = (fraction: number, state: number[]): number[] => this.ratesAt(fraction, state).map((rate) => rate * stepS);
    const { y, outcome } = this.solver.solve(ofShare, 0, this.state, 1);
    expect(outcome).toBe(0);
    this.state = y;
  }
}

interface Errors {
  readonly wheelRmsN: number;
  readonly wheelMaxN: number;
  readonly heightRmsM: number;
  readonly pressureRmsPa: number;
  /** Share of steps in which the bladder of the reference was at its shell. */
  readonly bottomedShare: number;
}

/** Strokes of 3 ms: the supply valve is open for 12 ms, then the return valve for 18 ms, four times per second. */
function pulse(rig: PlantRig, timeMs: number): void {
  const phase = timeMs % 250;
  rig.order('supply', phase < 3 ? 1 : phase >= 12 && phase < 15 ? 2 : 0);
  rig.order('return', phase >= 120 && phase < 123 ? 1 : phase >= 138 && phase < 141 ? 2 : 0);
}

/** Runs plant and reference side by side, and compares their wheel loads at the start of each step. */
function compare(setup: RigSetup, seconds: number, pulses = true): Errors {
  const rig = new PlantRig(setup);
  const reference = new Reference(rig);
  const sums = { wheel: 0, max: 0, height: 0, pressure: 0, bottomed: 0, steps: 0 };
  const within = (): void => {
    const y = rig.state();
    const other = reference.now();
    const error = (rig.ratesFor(y).wheelN ?? Number.NaN) - (rig.ratesFor(other).wheelN ?? Number.NaN);
    sums.wheel += error ** 2;
    sums.max = Math.max(sums.max, Math.abs(error));
    sums.height += (y.heightM - other.heightM) ** 2;
    sums.pressure += (y.chamberPa - other.chamberPa) ** 2;
    sums.bottomed += reference.isBottomed() ? 1 : 0;
    sums.steps += 1;
    reference.step();
  };
  for (let tick = 0; tick < seconds * 1000; tick++) {
    if (pulses) pulse(rig, tick);
    rig.tick(within);
  }
  const rms = (sum: number): number => Math.sqrt(sum / sums.steps);
  return {
    wheelRmsN: rms(sums.wheel),
    wheelMaxN: sums.max,
    heightRmsM: rms(sums.height),
    pressureRmsPa: rms(sums.pressure),
    bottomedShare: sums.bottomed / sums.steps,
  };
}

const ROUGH: Numbers = { roughnessCm3: 1024, stoneEveryM: 0, soilNoiseRatio: 0.08 };
const ON_LUGS: Numbers = { lugHeightMm: 0.8 };

describe('the integration of the plant', () => {
  it.each([1, 2, 3, 4, 5, 6])('is within 0.05 N rms of ODEX at the wheel over 5 s of rough ground with pulses (seed %i)', (seed) => {
    const errors = compare({ seed, startKpa: 4500, field: ROUGH, machine: ON_LUGS }, 5);
    expect(errors.bottomedShare).toBe(0);
    expect(errors.wheelRmsN).toBeGreaterThan(0.0005);
    expect(errors.wheelRmsN).toBeLessThan(0.05);
    expect(errors.wheelMaxN).toBeLessThan(1);
    expect(errors.heightRmsM).toBeLessThan(1e-6);
    expect(errors.pressureRmsPa).toBeLessThan(20);
  });

  // A stone starts and ends with a kink in the ground and makes the row lift off: steps across that are of first order.
  it.each([2, 4, 5, 6])('is within 0.5 N rms of ODEX with a stone every 15 m (seed %i)', (seed) => {
    const errors = compare({ seed, startKpa: 4500, field: { ...ROUGH, stoneEveryM: 15 }, machine: ON_LUGS }, 5);
    expect(errors.wheelRmsN).toBeGreaterThan(0.005);
    expect(errors.wheelRmsN).toBeLessThan(0.5);
  });

  it.each([1, 2, 3, 4])('is within 0.01 N rms of ODEX without an accumulator (seed %i)', (seed) => {
    const errors = compare({ seed, startKpa: 4500, field: ROUGH, machine: { ...ON_LUGS, accumulatorMl: 0 } }, 5, false);
    expect(errors.wheelRmsN).toBeGreaterThan(1e-6);
    expect(errors.wheelRmsN).toBeLessThan(0.01);
  });

  /** Accumulators that bottom now and then: one charged to the working pressure, and the default one at low pressure. */
  const BOTTOMED: readonly { readonly title: string; readonly setup: RigSetup; readonly pulses: boolean }[] = [
    {
      title: 'charged to 46.5 bar',
      setup: { startKpa: 4500, field: ROUGH, machine: { ...ON_LUGS, prechargeAbsoluteKpa: 4650 } },
      pulses: true,
    },
    { title: 'of the default', setup: { startKpa: 1100, field: { ...ROUGH, ...NO_SOIL }, machine: ON_LUGS }, pulses: false },
  ];
  const cases = BOTTOMED.flatMap((one) => [1, 2, 3, 4].map((seed) => ({ ...one, seed })));

  it.each(cases)(
    'is within 1 N rms of ODEX with an accumulator $title that bottoms now and then (seed $seed)',
    ({ setup, pulses, seed }) => {
      const { bottomedShare, wheelRmsN } = compare({ ...setup, seed }, 5, pulses);
      expect(bottomedShare).toBeGreaterThan(0.01);
      expect(bottomedShare).toBeLessThan(0.8);
      expect(wheelRmsN).toBeLessThan(1);
    },
  );
});

describe('a step half as long', () => {
  /** A row over a sine of 3 Hz without lift-off, and without nonsmooth forces: rebound damping, soil, stops. */
  const smooth = (steps: number): number => {
    const machine = { rodAreaCm2: 0, lugHeightMm: 5, lugPitchM: 1 };
    const errors = compare({ startKpa: 4500, steps, machine, field: { soilMinN: 0, soilMaxN: 0 } }, 2, false);
    return errors.wheelRmsN;
  };

  it('has a sixteenth of the error in a smooth problem, as a fourth-order method should', () => {
    const errors = [1, 2, 4].map(smooth);
    for (const [index, error] of errors.slice(1).entries()) {
      const ratio = (errors[index] ?? Number.NaN) / error;
      expect(ratio).toBeGreaterThan(13);
      expect(ratio).toBeLessThan(19);
    }
  });
});
