import type { ParameterValues } from '../../host/contract/contract.js';
import type { Runner } from '../../host/runner/runner.js';
import { createWasmRunner } from '../../host/runner/wasm-runner.js';
import { type Stretch, valueIn } from './arbitrary-bank.js';
import { controller } from './bench.js';
import { Noise } from './noise.js';
import { Records } from './records.js';
import { SimpleRow } from './simple-row.js';
import type { Observation } from './stroke-monitor.js';

const U16_MAX = 65535;
/** Of the controller's enum Stuck. */
const STUCK_OPEN = 1;
/** Bits of the stuck-valve faults: supply, return. */
const STUCK = ['supplyStuck', 'returnStuck'].map(
  (name) => controller.description.contract.faults.find((one) => one.name === name)?.code ?? -1,
);

/** The controller with a bank of simple rows, driven stretch by stretch. */
export class DrivenBank {
  readonly runner: Runner;
  readonly records: Records;
  /** A parameter's value by name. */
  readonly parameter: (name: string) => number;
  private readonly noise: Noise;
  private readonly simpleRows: SimpleRow[];
  private readonly observation: Observation & { bankMode: number; reservoirMv: number };
  private readonly at: Readonly<Record<'mode' | 'rowMode' | 'faults' | 'supplyOrder' | 'returnOrder' | 'rowBytes', number>>;

  constructor(
    readonly rows: number,
    values: ParameterValues,
    seed: number,
  ) {
    this.runner = createWasmRunner(controller, rows, values);
    this.records = new Records(this.runner.input.buffer, controller.description.contract);
    this.parameter = valueIn(values);
    this.noise = new Noise(seed);
    this.simpleRows = Array.from({ length: rows }, () => new SimpleRow(this.noise, 1000 / this.parameter('tickHz')));
    this.observation = {
      bankMode: 0,
      reservoirMv: 0,
      rowModes: new Uint8Array(rows),
      orders: new Uint8Array(rows * 2),
      stuck: new Uint8Array(rows * 2),
    };
    const start = this.runner.output.byteOffset;
    const offset = (place: string, name: string): number => this.records.locate(place, 0, name).at - start;
    this.at = {
      mode: offset('bankOutput', 'mode'),
      rowMode: offset('rowOutput', 'mode'),
      faults: offset('rowOutput', 'faults'),
      supplyOrder: offset('rowOutput', 'supplyOrder'),
      returnOrder: offset('rowOutput', 'returnOrder'),
      rowBytes: (this.runner.output.length - (offset('rowOutput', 'faults') - offset('bankOutput', 'faults'))) / rows,
    };
  }

  /** ADC counts of a value on a channel whose span is given by two parameters. */
  private countsOf(value: number, tenPercent: string, ninetyPercent: string): number {
    const low = this.parameter(tenPercent);
    const ratio = 0.1 + (0.8 * (value - low)) / (this.parameter(ninetyPercent) - low);
    return Math.max(0, Math.min(U16_MAX, Math.round(ratio * this.parameter('adcFullScaleCounts'))));
  }

  writeInputs(stretch: Stretch): void {
    const railKpa = 15000 + this.noise.between(-20, 20);
    for (const [index, row] of this.simpleRows.entries())
      row.step(this.observation.orders[2 * index] ?? 0, this.observation.orders[2 * index + 1] ?? 0, railKpa);
    if (stretch.kind === 'bytes') {
      this.noise.fill(this.runner.input);
      return;
    }
    const { ticks: _, kind, ...fields } = stretch;
    for (const [name, value] of Object.entries(fields)) this.records.set('bankInput', 0, name, value);
    this.records.set('bankInput', 0, 'railCounts', this.countsOf(railKpa, 'railAtTenPercentKpa', 'railAtNinetyPercentKpa'));
    for (const [index, row] of this.simpleRows.entries()) this.writeRow(index, row, kind === 'counts');
  }

  private writeRow(index: number, row: SimpleRow, isRandom: boolean): void {
    const load = this.countsOf(row.loadN + this.noise.between(-8, 8), 'loadAtTenPercentN', 'loadAtNinetyPercentN');
    const pressure = this.countsOf(row.pressureKpa + this.noise.between(-15, 15), 'pressureAtTenPercentKpa', 'pressureAtNinetyPercentKpa');
    const full = this.parameter('adcFullScaleCounts');
    const random = (): number => Math.floor(this.noise.between(0, full));
    this.records.set('rowInput', index, 'loadCounts', isRandom ? random() : load);
    this.records.set('rowInput', index, 'pressureCounts', isRandom ? random() : pressure);
    this.records.set('rowInput', index, 'accelerationCounts', random());
    // A map that is wrong, but plausible.
    this.records.set('rowInput', index, 'soilAheadN', 450 - row.loadN);
    this.records.set('rowInput', index, 'enabled', this.noise.share() < 0.999 ? 1 : 0);
  }

  private stuckAs = (valve: number): number => (this.records.get('valveState', valve, 'stuck') === STUCK_OPEN ? 1 : 2);

  tick(): Observation {
    this.runner.tick();
    const { output } = this.runner;
    const { mode, rowMode, faults, supplyOrder, returnOrder, rowBytes } = this.at;
    this.observation.bankMode = output[mode] ?? 0;
    this.observation.reservoirMv = this.records.get('bankInput', 0, 'reservoirMv');
    for (let row = 0; row < this.rows; row++) {
      this.observation.rowModes[row] = output[rowMode + row * rowBytes] ?? 0;
      this.observation.orders[2 * row] = output[supplyOrder + row * rowBytes] ?? 0;
      this.observation.orders[2 * row + 1] = output[returnOrder + row * rowBytes] ?? 0;
      for (const [side, code] of STUCK.entries()) {
        const isReported = (((output[faults + row * rowBytes + (code >> 3)] ?? 0) >> (code & 7)) & 1) === 1;
        this.observation.stuck[2 * row + side] = isReported ? this.stuckAs(2 * row + side) : 0;
      }
    }
    return this.observation;
  }
}
