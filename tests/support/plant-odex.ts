import odex from 'odex';
import { expect } from 'vitest';
import { INTEGRATED, NO_SOIL, type Numbers, PlantRig, type RigSetup, type State } from './plant-rig.js';

/** Absolute tolerances of the reference: height, speed, stored oil, gas temperature, sensed load. */
const ABSOLUTE = [1e-13, 1e-12, 1e-16, 1e-9, 1e-8];
const RELATIVE = 1e-10;

/**
 * The chamber by its stored oil, m³ up to a constant, instead of its pressure: v = β·p − a/p − V_g, with compressed oil (β), free air
 * (a) and a gas of V_g = g·T/p, at most V0. The rate of the pressure jumps by a factor of a hundred or more where the bladder reaches
 * its shell, and an integration that steps over that creates oil; the rate of the volume does not jump.
 */
class Chamber {
  private readonly compressed: number;
  private readonly air: number;
  private readonly gas: number;
  private readonly shellM3: number;

  constructor(rig: PlantRig) {
    this.compressed = rig.get('derived', 'oilM3PerPa');
    this.air = rig.get('derived', 'airM3Pa');
    this.gas = rig.get('rowState', 'gasJPerK');
    this.shellM3 = rig.get('derived', 'gasM3');
  }

  private gasM3(pressurePa: number, gasK: number): number {
    return Math.min(this.shellM3, (this.gas * gasK) / pressurePa);
  }

  isBottomed(pressurePa: number, gasK: number): boolean {
    return this.gasM3(pressurePa, gasK) === this.shellM3;
  }

  oilM3(pressurePa: number, gasK: number): number {
    return this.compressed * pressurePa - this.air / pressurePa - this.gasM3(pressurePa, gasK);
  }

  /** Positive root of β·p² − v·p − c = 0, without cancellation. */
  private root(oilM3: number, c: number): number {
    const size = Math.sqrt(oilM3 * oilM3 + 4 * this.compressed * c);
    return oilM3 > 0 ? (oilM3 + size) / (2 * this.compressed) : (2 * c) / (size - oilM3);
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

/** Differences between the plant and the reference. */
export interface Errors {
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
export function compareWithOdex(setup: RigSetup, seconds: number, pulses = true): Errors {
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

/** Setups of the comparison: 5 s of rough ground. */
const ON_ROUGH_GROUND: RigSetup = { startKpa: 4500, field: ROUGH, machine: ON_LUGS };
const WITH_STONES: RigSetup = { ...ON_ROUGH_GROUND, field: { ...ROUGH, stoneEveryM: 15 } };
const IN_WINGS: RigSetup = { ...WITH_STONES, machine: { ...ON_LUGS, bounceHz: 1.8, frameWaveM: 1, wheelRadiusMm: 200 } };
const WITHOUT_ACCUMULATOR: RigSetup = { ...ON_ROUGH_GROUND, machine: { ...ON_LUGS, accumulatorMl: 0 } };
/** Accumulators that bottom now and then: one charged to the working pressure, and the default one at low pressure. */
export const BOTTOMED: readonly { readonly title: string; readonly setup: RigSetup; readonly pulses: boolean }[] = [
  { title: 'charged to 46.5 bar', setup: { ...ON_ROUGH_GROUND, machine: { ...ON_LUGS, prechargeAbsoluteKpa: 4650 } }, pulses: true },
  { title: 'of the default', setup: { startKpa: 1100, field: { ...ROUGH, ...NO_SOIL }, machine: ON_LUGS }, pulses: false },
];

/** Each comparison, with its limits. N rms and N at the wheel. */
export const CHECKS = {
  onRoughGround(seed: number): void {
    const errors = compareWithOdex({ ...ON_ROUGH_GROUND, seed }, 5);
    expect(errors.bottomedShare).toBe(0);
    expect(errors.wheelRmsN).toBeGreaterThan(0.0005);
    expect(errors.wheelRmsN).toBeLessThan(0.05);
    expect(errors.wheelMaxN).toBeLessThan(1);
    expect(errors.heightRmsM).toBeLessThan(1e-6);
    expect(errors.pressureRmsPa).toBeLessThan(20);
  },
  // A stone starts and ends with a kink in the ground and makes the row lift off: steps across that are of first order.
  withStones(seed: number): void {
    const { wheelRmsN } = compareWithOdex({ ...WITH_STONES, seed }, 5);
    expect(wheelRmsN).toBeGreaterThan(0.005);
    expect(wheelRmsN).toBeLessThan(0.5);
  },
  inWings(seed: number): void {
    const { wheelRmsN } = compareWithOdex({ ...IN_WINGS, seed }, 5);
    expect(wheelRmsN).toBeGreaterThan(0.0005);
    expect(wheelRmsN).toBeLessThan(0.5);
  },
  withoutAccumulator(seed: number): void {
    const { wheelRmsN } = compareWithOdex({ ...WITHOUT_ACCUMULATOR, seed }, 5, false);
    expect(wheelRmsN).toBeGreaterThan(1e-6);
    expect(wheelRmsN).toBeLessThan(0.01);
  },
  bottomed({ setup, pulses }: (typeof BOTTOMED)[number], seed: number): void {
    const { bottomedShare, wheelRmsN } = compareWithOdex({ ...setup, seed }, 5, pulses);
    expect(bottomedShare).toBeGreaterThan(0.01);
    expect(bottomedShare).toBeLessThan(0.8);
    expect(wheelRmsN).toBeLessThan(1);
  },
};
