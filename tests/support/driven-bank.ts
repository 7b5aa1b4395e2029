import type { ParameterValues } from '../../host/contract/contract.js';
import type { Runner } from '../../host/runner/runner.js';
import { createWasmRunner } from '../../host/runner/wasm-runner.js';
import { inForceOf, type Stretch } from './arbitrary-bank.js';
import { controller } from './bench.js';
import { Noise } from './noise.js';
import { Records } from './records.js';
import { SimpleRow } from './simple-row.js';
import type { Sight } from './stroke-monitor.js';

const U16_MOST = 65535;
/** Bits of the faults that tell of a stuck valve: supply, return. */
const STUCK = ['supplyStuck', 'returnStuck'].map(
  (name) => controller.description.contract.faults.find((one) => one.name === name)?.code ?? -1,
);

/** A bank of simple rows around the controller, driven stretch by stretch. */
export class DrivenBank {
  readonly target: Runner;
  readonly records: Records;
  readonly inForce: (name: string) => number;
  private readonly noise: Noise;
  private readonly simpleRows: SimpleRow[];
  private readonly sight: Sight & { bankMode: number };
  private readonly at: Readonly<Record<'mode' | 'rowMode' | 'faults' | 'supplyOrder' | 'returnOrder' | 'rowBytes', number>>;

  constructor(
    readonly rows: number,
    values: ParameterValues,
    seed: number,
  ) {
    this.target = createWasmRunner(controller, rows, values);
    this.records = new Records(this.target.input.buffer, controller.description.contract);
    this.inForce = inForceOf(values);
    this.noise = new Noise(seed);
    this.simpleRows = Array.from({ length: rows }, () => new SimpleRow(this.noise, 1000 / this.inForce('tickHz')));
    this.sight = { bankMode: 0, rowModes: new Uint8Array(rows), orders: new Uint8Array(rows * 2), stuck: new Uint8Array(rows * 2) };
    const start = this.target.output.byteOffset;
    const offset = (place: string, name: string): number => this.records.locate(place, 0, name).at - start;
    this.at = {
      mode: offset('bankOutput', 'mode'),
      rowMode: offset('rowOutput', 'mode'),
      faults: offset('rowOutput', 'faults'),
      supplyOrder: offset('rowOutput', 'supplyOrder'),
      returnOrder: offset('rowOutput', 'returnOrder'),
      rowBytes: (this.target.output.length - (offset('rowOutput', 'faults') - offset('bankOutput', 'faults'))) / rows,
    };
  }

  /** Code of a value on a channel with the span of these parameters. */
  private codeOf(value: number, tenPercent: string, ninetyPercent: string): number {
    const low = this.inForce(tenPercent);
    const ratio = 0.1 + (0.8 * (value - low)) / (this.inForce(ninetyPercent) - low);
    return Math.max(0, Math.min(U16_MOST, Math.round(ratio * this.inForce('adcFullScaleCounts'))));
  }

  writeInputs(stretch: Stretch): void {
    const railKpa = 15000 + this.noise.between(-20, 20);
    for (const [index, row] of this.simpleRows.entries())
      row.step(this.sight.orders[2 * index] ?? 0, this.sight.orders[2 * index + 1] ?? 0, railKpa);
    if (stretch.kind === 'bytes') {
      this.noise.fill(this.target.input);
      return;
    }
    const { ticks: _, kind, ...fields } = stretch;
    for (const [name, value] of Object.entries(fields)) this.records.set('bankInput', 0, name, value);
    this.records.set('bankInput', 0, 'railCounts', this.codeOf(railKpa, 'railAtTenPercentKpa', 'railAtNinetyPercentKpa'));
    for (const [index, row] of this.simpleRows.entries()) this.writeRow(index, row, kind === 'codes');
  }

  private writeRow(index: number, row: SimpleRow, isRandom: boolean): void {
    const load = this.codeOf(row.loadN + this.noise.between(-8, 8), 'loadAtTenPercentN', 'loadAtNinetyPercentN');
    const pressure = this.codeOf(row.pressureKpa + this.noise.between(-15, 15), 'pressureAtTenPercentKpa', 'pressureAtNinetyPercentKpa');
    const full = this.inForce('adcFullScaleCounts');
    const random = (): number => Math.floor(this.noise.between(0, full));
    this.records.set('rowInput', index, 'loadCounts', isRandom ? random() : load);
    this.records.set('rowInput', index, 'pressureCounts', isRandom ? random() : pressure);
    this.records.set('rowInput', index, 'accelerationCounts', random());
    this.records.set('rowInput', index, 'enabled', this.noise.share() < 0.999 ? 1 : 0);
  }

  tick(): Sight {
    this.target.tick();
    const { output } = this.target;
    const { mode, rowMode, faults, supplyOrder, returnOrder, rowBytes } = this.at;
    this.sight.bankMode = output[mode] ?? 0;
    for (let row = 0; row < this.rows; row++) {
      this.sight.rowModes[row] = output[rowMode + row * rowBytes] ?? 0;
      this.sight.orders[2 * row] = output[supplyOrder + row * rowBytes] ?? 0;
      this.sight.orders[2 * row + 1] = output[returnOrder + row * rowBytes] ?? 0;
      for (const [side, code] of STUCK.entries())
        this.sight.stuck[2 * row + side] = ((output[faults + row * rowBytes + (code >> 3)] ?? 0) >> (code & 7)) & 1;
    }
    return this.sight;
  }
}
