import { normal, Purpose, uniform } from './noise.js';

/*
 * A row just good enough to answer the controller: one pressure behind two valves, a load that follows it, a slow soil,
 * a rough ground, a lagging sensor. It composes inputs for vectors and claims nothing about a machine; values are the
 * default machine's. Orifice flow and compliance as in the controller's own docstrings.
 */

export interface Ground {
  /** Standard deviation of the load that the ground's unevenness makes, N, and how fast it changes, Hz. */
  readonly roughN: number;
  readonly roughHz: number;
  /** Opener force swings between these, N, from one soil patch to the next. */
  readonly soilN: readonly [number, number];
  readonly patchS: number;
}

export const QUIET: Ground = { roughN: 15, roughHz: 4, soilN: [700, 800], patchS: 4 };
export const FIELD: Ground = { roughN: 90, roughHz: 5, soilN: [450, 1050], patchS: 2.5 };
export const ROUGH: Ground = { roughN: 220, roughHz: 8, soilN: [300, 1200], patchS: 1.5 };

/** Share of the flow, rail and lift as they are in this tick. */
export interface Surroundings {
  readonly isLifted: boolean;
  readonly railKpa: number;
  readonly flowRatio: number;
}

const WEIGHT_LESS_LIFT_N = 430;
const AREA_N_PER_KPA = 4.909 * 0.1 * 0.45;
const GAS_ML_KPA = (320 * 1200) / 1.4;
const OIL_ML_PER_KPA = 60 / 1.2e6;
const FLOW = 8 / 60 / 100;
const ATMOSPHERE_KPA = 101.325;
const RETURN_KPA = 200;
const SENSOR_HZ = 5;
const LOAD_NOISE_N = 5;
const PRESSURE_NOISE_KPA = 15;

/** Position of a latching valve as its strokes leave it; it moves at the end of the stroke. */
function moved(isOpen: boolean, lastOrder: number, order: number): boolean {
  const hasEnded = lastOrder !== 0 && order === 0;
  return hasEnded ? lastOrder === 1 : isOpen;
}

export class RowStandIn {
  pressureKpa: number;
  private sensedN = 0;
  private roughN = 0;
  private orders = [0, 0];

  /** @param isOpen true positions of supply and return valve at the start */
  constructor(
    private readonly seed: number,
    private readonly row: number,
    private readonly tickS: number,
    private readonly ground: Ground,
    private readonly isOpen: [boolean, boolean] = [false, false],
    startKpa = 3500,
  ) {
    this.pressureKpa = startKpa;
  }

  /** Moves on by one tick under the coils' currents of the tick before. */
  step(tick: number, supplyOrder: number, returnOrder: number, around: Surroundings): void {
    this.isOpen[0] = moved(this.isOpen[0], this.orders[0] ?? 0, supplyOrder);
    this.isOpen[1] = moved(this.isOpen[1], this.orders[1] ?? 0, returnOrder);
    this.orders = [supplyOrder, returnOrder];
    const absoluteKpa = Math.max(this.pressureKpa, 100) + ATMOSPHERE_KPA;
    const compliance = OIL_ML_PER_KPA + (absoluteKpa > 1200 ? GAS_ML_KPA / (absoluteKpa * absoluteKpa) : 0);
    const flow = (dropKpa: number): number => Math.sign(dropKpa) * FLOW * Math.sqrt(Math.abs(dropKpa)) * around.flowRatio;
    const inMl = this.isOpen[0] ? flow(around.railKpa - this.pressureKpa) : 0;
    const outMl = this.isOpen[1] ? flow(this.pressureKpa - RETURN_KPA) : 0;
    this.pressureKpa += ((inMl - outMl) * this.tickS * 1000) / compliance;
    this.senseLoad(tick, around.isLifted);
  }

  private senseLoad(tick: number, isLifted: boolean): void {
    const { roughN, roughHz, soilN, patchS } = this.ground;
    const weight = 2 * Math.PI * roughHz * this.tickS;
    const spread = roughN * Math.sqrt(2 / weight);
    this.roughN += weight * (spread * normal(this.seed, this.row, Purpose.Ground, tick) - this.roughN);
    const patch = Math.floor((tick * this.tickS) / patchS);
    const soil = soilN[0] + (soilN[1] - soilN[0]) * uniform(this.seed, this.row, Purpose.Soil, patch);
    const standing = WEIGHT_LESS_LIFT_N + AREA_N_PER_KPA * this.pressureKpa - soil + this.roughN;
    const trueN = isLifted ? 0 : Math.max(0, standing);
    this.sensedN += 2 * Math.PI * SENSOR_HZ * this.tickS * (trueN - this.sensedN);
  }

  /** What the sensors show in this tick, with noise. */
  read(tick: number): { loadN: number; pressureKpa: number } {
    const jitter = this.roughN * 0.5;
    return {
      loadN: this.sensedN + LOAD_NOISE_N * normal(this.seed, this.row, Purpose.Load, tick),
      pressureKpa: this.pressureKpa + jitter + PRESSURE_NOISE_KPA * normal(this.seed, this.row, Purpose.Pressure, tick),
    };
  }
}

/** A capacitor that feeds the coils and is charged from the supply through a resistor. */
export class ReservoirStandIn {
  private volts: number;

  constructor(
    private readonly farads: number,
    private readonly tickS: number,
    startV: number,
  ) {
    this.volts = startV;
  }

  /** @returns voltage, V, after a tick with this many coils driven */
  step(supplyV: number, coils: number): number {
    if (this.farads === 0) return supplyV;
    const strokeW = 0.05 / 0.002;
    const drawn = coils * strokeW * this.tickS;
    const energy = Math.max(0, 0.5 * this.farads * this.volts * this.volts - drawn);
    const left = Math.sqrt((2 * energy) / this.farads);
    this.volts = left + ((supplyV - left) * this.tickS) / (5 * this.farads);
    return this.volts;
  }
}
