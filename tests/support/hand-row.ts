import type { ParameterValues } from '../../host/contract/contract.js';
import { Bench, loadCode, pressureCode, type Stroke } from './bench.js';

const VALVES = ['supply', 'return'] as const;
const RAIL_KPA = 15000;
const RETURN_KPA = 200;
const ATMOSPHERE_KPA = 101.325;

/** 8 L/min at 10,000 kPa, in mL/(ms·√kPa). */
const FLOW = 8 / 60 / 100;
/** Down force per pressure: 4.909 cm² times the linkage's 0.45, N/kPa. */
const AREA_N_PER_KPA = 0.4909 * 0.45;
/** 5 Hz at 1 kHz: 0.0314159/1.0314159. */
const LAG_WEIGHT = 0.030459;
const OPEN = 1;
const CLOSE = 2;

/** Oil 60 mL/1.2e6 kPa, gas 320 mL · 1200 kPa/1.4 over the square of the absolute pressure, mL/kPa. */
const complianceAt = (kpa: number): number => 0.00005 + (320 * 1200) / 1.4 / (kpa + ATMOSPHERE_KPA) ** 2;

/**
 * A bank of one row that is just what the default parameters say: flow by the orifice, compliance of oil and gas, a load that
 * follows the pressure behind a sensor of 5 Hz. Valves move when their stroke is over, unless they are told not to. Nothing shakes
 * it, so that what is seen is the controller's doing.
 */
export class HandRow {
  readonly bench: Bench;
  pressureKpa = 3500;
  /** Added to the pressure in each tick. */
  leakKpaPerTick = 0;
  /** Load besides the actuator's, N: at 3500 kPa the wheels carry 450 N. */
  soilN = 450 - 3500 * AREA_N_PER_KPA;
  private readonly isOpen = { supply: false, return: false };
  /** How many of the next strokes do not move their valve, by `supply close` and the like. */
  readonly missing: Record<string, number> = {};
  private readonly last = { supply: 0, return: 0 };
  private sensedN: number;

  constructor(values: ParameterValues = {}) {
    // What the bench switches off because nothing answers the valves there is on here, where a row does.
    const usual = { strategy: 2, missedStrokeDetection: 1, accelerationFitted: 1, liftS: 0 };
    this.bench = new Bench(1, { ...usual, ...values });
    this.sensedN = this.wheelN;
    this.tick(3000);
  }

  get wheelN(): number {
    return this.soilN + AREA_N_PER_KPA * this.pressureKpa;
  }

  /** Ticks on; the codes of pressure and load follow the row, unless `write` says otherwise afterwards. */
  tick(times = 1, write: (bench: Bench) => unknown = () => {}): this {
    for (let time = 0; time < times; time++) {
      for (const valve of VALVES) this.move(valve);
      this.flow();
      this.sensedN += LAG_WEIGHT * (this.wheelN - this.sensedN);
      this.bench.row(1, { loadCounts: loadCode(this.sensedN), pressureCounts: pressureCode(this.pressureKpa) });
      write(this.bench);
      this.bench.tick();
    }
    return this;
  }

  /** A stroke that is over has moved its valve. */
  private move(valve: Stroke['valve']): void {
    const order = this.bench.records.get('rowOutput', 0, `${valve}Order`);
    const before = this.last[valve];
    this.last[valve] = order;
    if (order === before || before === 0) return;
    const name = `${valve} ${before === OPEN ? 'open' : 'close'}`;
    const missing = this.missing[name] ?? 0;
    if (missing > 0) this.missing[name] = missing - 1;
    else this.isOpen[valve] = before !== CLOSE;
  }

  private flow(): void {
    const compliance = complianceAt(this.pressureKpa);
    this.pressureKpa += this.leakKpaPerTick;
    if (this.isOpen.supply) this.pressureKpa += (FLOW * Math.sqrt(Math.max(0, RAIL_KPA - this.pressureKpa))) / compliance;
    if (this.isOpen.return) this.pressureKpa -= (FLOW * Math.sqrt(Math.max(0, this.pressureKpa - RETURN_KPA))) / compliance;
  }

  /** Strokes since a tick, with their ticks counted from it: `0 supply open`. */
  strokesSince(tick: number): string[] {
    return this.bench.strokes.filter((one) => one.tick >= tick).map((one) => `${one.tick - tick} ${one.valve} ${one.order}`);
  }
}
