import type { ParameterValues } from '../../host/contract/contract.js';
import { createWasmRunner, loadController, type WasmRunner } from '../../host/runner/wasm-runner.js';
import { PROJECT } from './project.js';
import { Records } from './records.js';

export const controller = loadController(PROJECT.controllerWasm);

/** ADC counts of the load sensor at its default span: -500 N at 10 % and 4500 N at 90 % of 4096 counts. */
export const loadCountsAt = (loadN: number): number => Math.round(4096 * (0.1 + (0.8 * (loadN + 500)) / 5000));
/** ADC counts of a pressure sensor at its default span: 0 kPa at 10 % and 25,000 kPa at 90 % of 4096 counts. */
export const pressureCountsAt = (kpa: number): number => Math.round(4096 * (0.1 + (0.8 * kpa) / 25000));

/**
 * Parameters with which a bank makes no strokes under constant inputs: no frozen check, no wait after lowering, and a deadband that
 * does not depend on noise; the lift switch counts at once. The tests' values are for this strategy and these gains, whatever the defaults are. Missed-stroke
 * detection and the checks of the load against the pressure are off: the tests' pressures and loads do not respond to valves.
 */
const STILL: ParameterValues = {
  strategy: 1,
  missedStrokeDetection: 0,
  freeLoadMaxN: 10000,
  belowZeroN: 5000,
  frozenMs: 0,
  liftDebounceMs: 0,
  deadbandMode: 0,
  deadbandMinN: 18,
  deadbandSigmas: 2.2,
  loadFilterHz: 4,
  loadProportionalKpaPerN: 0.6,
  loadIntegralKpaPerNS: 3,
  setPointRateKpaPerS: 3000,
};

const DEFAULT_BANK = {
  targetLoadN: 450,
  oilTemperatureC: 40,
  railCounts: pressureCountsAt(15000),
  supplyMv: 12800,
  reservoirMv: 12800,
  groundSpeedMmPerS: 3000,
  lowered: 1,
  enabled: 1,
  shutDown: 0,
} as const;
const DEFAULT_ROW = {
  soilAheadN: 0,
  loadCounts: loadCountsAt(450),
  pressureCounts: pressureCountsAt(3500),
  accelerationCounts: 2048,
  enabled: 1,
} as const;

export type BankFields = Partial<Record<keyof typeof DEFAULT_BANK, number>>;
export type RowFields = Partial<Record<keyof typeof DEFAULT_ROW, number>>;

/** A stroke, with the tick in which it began. */
export interface Stroke {
  readonly tick: number;
  readonly row: number;
  readonly valve: 'supply' | 'return';
  readonly order: 'open' | 'close';
}

/** A controller under test: inputs and outputs by name, rows counted from 1. Inputs stay until they are changed. */
export class Bench {
  readonly runner: WasmRunner;
  readonly records: Records;
  /** Every stroke since the start, in order. */
  readonly strokes: Stroke[] = [];
  ticks = 0;
  private lastOrders: string[];

  constructor(
    readonly rows = 1,
    private readonly values: ParameterValues = {},
  ) {
    this.runner = createWasmRunner(controller, rows, { ...STILL, ...values });
    this.records = new Records(this.runner.input.buffer, controller.description.contract);
    this.lastOrders = new Array<string>(rows * 2).fill('none');
    this.bank(DEFAULT_BANK);
    for (let row = 1; row <= rows; row++) this.row(row, DEFAULT_ROW);
  }

  /** Changes parameters while the bank runs; the others stay. */
  reconfigure(changed: ParameterValues): void {
    this.runner.reconfigure({ ...STILL, ...this.values, ...changed });
  }

  bank(fields: BankFields): this {
    for (const [name, value] of Object.entries(fields)) this.records.set('bankInput', 0, name, value);
    return this;
  }

  row(row: number, fields: RowFields): this {
    for (const [name, value] of Object.entries(fields)) this.records.set('rowInput', row - 1, name, value);
    return this;
  }

  tick(times = 1): this {
    for (let time = 0; time < times; time++) {
      this.runner.tick();
      this.recordStrokes();
      this.ticks += 1;
    }
    return this;
  }

  /** Ticks with inputs that change from tick to tick; `count` is 0 in the first one. */
  tickWith(times: number, write: (count: number) => void): this {
    for (let count = 0; count < times; count++) {
      write(count);
      this.tick();
    }
    return this;
  }

  /** Ticks until `isReached`. Returns the number of ticks, the last one included. @throws Error after `ticksMax` ticks */
  tickUntil(isReached: () => boolean, ticksMax = 2000): number {
    for (let ticks = 1; ticks <= ticksMax; ticks++) {
      this.tick();
      if (isReached()) return ticks;
    }
    throw new Error(`not reached within ${ticksMax} ticks`);
  }

  /** Ticks until the bank has started and works. */
  start(): this {
    this.tickUntil(() => this.mode === 'working');
    return this;
  }

  private recordStrokes(): void {
    for (let index = 0; index < this.rows * 2; index++) {
      const row = index >> 1;
      const valve = index % 2 === 0 ? 'supply' : 'return';
      const order = this.records.word('rowOutput', row, `${valve}Order`);
      if (order !== this.lastOrders[index] && order !== 'none')
        this.strokes.push({ tick: this.ticks, row: row + 1, valve, order: order as Stroke['order'] });
      this.lastOrders[index] = order;
    }
  }

  get mode(): string {
    return this.records.word('bankOutput', 0, 'mode');
  }

  rowMode(row = 1): string {
    return this.records.word('rowOutput', row - 1, 'mode');
  }

  order(valve: 'supply' | 'return', row = 1): string {
    return this.records.word('rowOutput', row - 1, `${valve}Order`);
  }

  /** A value of a row's probe. */
  probe(name: string, row = 1): number {
    return this.records.get('rowProbe', row - 1, name);
  }

  bankProbe(name: string): number {
    return this.records.get('bankProbe', 0, name);
  }

  /** Names of the raised faults of the bank, or of a row. */
  faults(row?: number): string[] {
    const bits = row === undefined ? this.records.get('bankOutput', 0, 'faults') : this.records.get('rowOutput', row - 1, 'faults');
    const scope = row === undefined ? 'bank' : 'row';
    return this.records.contract.faults.filter((one) => one.scope === scope && (bits >>> one.code) & 1).map((one) => one.name);
  }

  /** Strokes that began in this tick or later, as text such as `1 supply open`. */
  strokesSince(tick: number): string[] {
    return this.strokes.filter((stroke) => stroke.tick >= tick).map(({ row, valve, order }) => `${row} ${valve} ${order}`);
  }
}

/** A bank that has started: every valve closed, working. */
export const startedBench = (rows = 1, values: ParameterValues = {}): Bench => new Bench(rows, values).start();
