import type { ParameterValues } from '../../host/contract/contract.js';
import { Bench, loadCountsAt, pressureCountsAt, type Stroke } from './bench.js';

const VALVES = ['supply', 'return'] as const;
const RAIL_KPA = 15000;
const RETURN_KPA = 200;
const ATMOSPHERE_KPA = 101.325;

/** 8 L/min at 10,000 kPa, in mL/(ms·√kPa). */
const FLOW = 8 / 60 / 100;
/** Down force per pressure, N/kPa: 4.909 cm² times the linkage's 0.45. */
const AREA_N_PER_KPA = 0.4909 * 0.45;
/** 5 Hz at 1 kHz: 0.0314159/1.0314159. */
const LAG_WEIGHT = 0.030459;
const OPEN = 1;
const CLOSE = 2;

/** mL/kPa: oil 60 mL/1.2e6 kPa, gas 320 mL · 1200 kPa/1.4 over the square of the absolute pressure. */
const complianceAt = (kpa: number): number => 0.00005 + (320 * 1200) / 1.4 / (kpa + ATMOSPHERE_KPA) ** 2;

/**
 * A bank of one row that matches the default parameters exactly: orifice flow, compliance of oil and gas, a load that follows the
 * pressure through a 5 Hz sensor. Valves move at the end of their stroke, unless it is set to be missed. There is no disturbance, so
 * that everything that happens is caused by the controller.
 */
export class HandRow {
  readonly bench: Bench;
  pressureKpa = 3500;
  /** Added to the pressure in each tick. */
  leakKpaPerTick = 0;
  /** Load besides the actuator's, N: at 3500 kPa the wheels carry 450 N. */
  soilN = 450 - 3500 * AREA_N_PER_KPA;
  private readonly isOpen = { supply: false, return: false };
  /** Number of next strokes that do not move their valve, by stroke, such as `supply close`. */
  readonly missing: Record<string, number> = {};
  private readonly last = { supply: 0, return: 0 };
  private sensedN: number;

  constructor(values: ParameterValues = {}) {
    // The bench switches these off because nothing follows its valves; here a row does.
    const defaults = { strategy: 2, missedStrokeDetection: 1, accelerationFitted: 1, liftS: 0 };
    this.bench = new Bench(1, { ...defaults, ...values });
    this.sensedN = this.wheelN;
    this.tick(3000);
  }

  get wheelN(): number {
    return this.soilN + AREA_N_PER_KPA * this.pressureKpa;
  }

  /** Ticks. ADC counts of pressure and load follow the row; `write` may overwrite them. */
  tick(times = 1, write: (bench: Bench) => unknown = () => {}): this {
    for (let time = 0; time < times; time++) {
      for (const valve of VALVES) this.move(valve);
      this.flow();
      this.sensedN += LAG_WEIGHT * (this.wheelN - this.sensedN);
      this.bench.row(1, { loadCounts: loadCountsAt(this.sensedN), pressureCounts: pressureCountsAt(this.pressureKpa) });
      write(this.bench);
      this.bench.tick();
    }
    return this;
  }

  /** At the end of a stroke its valve has moved. */
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

  /** Strokes since a tick, with ticks counted from it: `0 supply open`. */
  strokesSince(tick: number): string[] {
    return this.bench.strokes.filter((one) => one.tick >= tick).map((one) => `${one.tick - tick} ${one.valve} ${one.order}`);
  }
}
