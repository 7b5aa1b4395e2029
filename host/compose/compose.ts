import { recordOf } from '../contract/contract.js';
import { readField, writeField } from '../contract/fields.js';
import type { LaidRecord } from '../contract/layout.js';
import { inForce, sensorOf } from '../recording/ratiometric.js';
import type { Line } from '../recording/unit-conversion.js';
import { RecordingWriter } from '../recording/writer.js';
import type { Target } from '../target/target.js';
import { type Controller, createWasmTarget } from '../target/wasm.js';
import type { BankMoment, Composition, RowMoment } from './composition.js';
import { Purpose, randomBits } from './noise.js';
import { FIELD, ReservoirStandIn, RowStandIn } from './stand-in.js';

/** Sets fields of a record by name. */
function setter(view: DataView, at: number, record: LaidRecord): (name: string, value: number) => void {
  const fields = new Map(record.fields.map((field) => [field.name, field]));
  return (name, value) => {
    const field = fields.get(name);
    if (field === undefined) throw new Error(`${record.name} has no field ${name}`);
    writeField(view, at, field, value);
  };
}

/** A bank of stand-in rows around a target: writes inputs, lets it tick, and follows its orders. */
class BankStandIn {
  private readonly rows: RowStandIn[];
  private readonly reservoir: ReservoirStandIn;
  private readonly view: DataView;
  private readonly output: DataView;
  private readonly rowInput: LaidRecord;
  private readonly rowOutput: LaidRecord;
  private readonly bankBytes: { input: number; output: number };
  private readonly lines = new Map<string, Line>();
  private readonly fullScale: number;
  private readonly frozenCodes = new Map<number, number>();

  constructor(
    private readonly plan: Composition,
    private readonly target: Target,
    private readonly tickHz: number,
  ) {
    const { contract } = target.description;
    const values = plan.parameters ?? {};
    this.fullScale = inForce('adcFullScaleCounts', contract, values);
    for (const field of ['loadCounts', 'pressureCounts', 'railCounts']) {
      const sensor = sensorOf(field, contract, values);
      if (sensor !== undefined) this.lines.set(field, sensor.toCounts);
    }
    this.rowInput = recordOf(contract, 'RowInput');
    this.rowOutput = recordOf(contract, 'RowOutput');
    this.bankBytes = { input: recordOf(contract, 'BankInput').size, output: recordOf(contract, 'BankOutput').size };
    this.view = new DataView(target.input.buffer, target.input.byteOffset, target.input.byteLength);
    this.output = new DataView(target.output.buffer, target.output.byteOffset, target.output.byteLength);
    const { seed, ground = FIELD, isOpenAtStart, startKpa } = plan;
    this.rows = Array.from({ length: plan.rows }, (_, index) => {
      return new RowStandIn(seed, index + 1, 1 / tickHz, ground, isOpenAtStart?.(index + 1), startKpa?.(index + 1));
    });
    this.reservoir = new ReservoirStandIn((plan.parameters?.reservoirUf ?? 0) * 1e-6, 1 / tickHz, 12.8);
  }

  /** Writes the inputs of a tick, as the orders of the one before have made them. */
  writeInputs(tick: number): void {
    const second = tick / this.tickHz;
    const moment = this.plan.bank?.(second) ?? {};
    const orders = this.rows.map((_, index) => this.ordersOf(index));
    const coils = orders.flat().filter((order) => order !== 0).length;
    this.writeBank(moment, this.reservoir.step(moment.supplyV ?? 12.8, coils));
    for (const [index, row] of this.rows.entries()) {
      const [supplyOrder = 0, returnOrder = 0] = orders[index] ?? [];
      const around = { isLifted: moment.isLowered === false, railKpa: moment.railKpa ?? 15000, flowRatio: this.plan.flowRatio ?? 1 };
      row.step(tick, supplyOrder, returnOrder, around);
      this.writeRow(tick, index, row, this.plan.row?.(index + 1, second) ?? {});
    }
  }

  private ordersOf(index: number): [number, number] {
    const at = this.bankBytes.output + index * this.rowOutput.size;
    const read = (name: string): number => {
      const field = this.rowOutput.fields.find((one) => one.name === name);
      return field === undefined ? 0 : readField(this.output, at, field);
    };
    return [read('supplyOrder'), read('returnOrder')];
  }

  private writeBank(moment: BankMoment, reservoirV: number): void {
    const set = setter(this.view, 0, recordOf(this.target.description.contract, 'BankInput'));
    set('targetLoadN', moment.targetLoadN ?? 450);
    set('oilTemperatureC', moment.oilTemperatureC ?? 40);
    set('railCounts', this.codeOf('railCounts', moment.railKpa ?? 15000) + this.railJitter());
    set('supplyMv', Math.round((moment.supplyV ?? 12.8) * 1000));
    set('reservoirMv', Math.round(reservoirV * 1000));
    set('groundSpeedMmPerS', moment.groundSpeedMmPerS ?? 3000);
    set('lowered', moment.isLowered === false ? 0 : 1);
    set('enabled', moment.isEnabled === false ? 0 : 1);
    set('shutDown', moment.isShutDown === true ? 1 : 0);
  }

  private jitter = 0;
  /** A pump's ripple: without it a perfect rail would look like a frozen sensor. */
  private railJitter(): number {
    this.jitter = (this.jitter + 1) % 4;
    return this.jitter;
  }

  /** Code that a sensor gives for a value, within the converter's range. */
  private codeOf(field: string, value: number): number {
    const { gain, bias } = this.lines.get(field) ?? { gain: 0, bias: 0 };
    return Math.max(0, Math.min(this.fullScale - 1, Math.round(value * gain + bias)));
  }

  private writeRow(tick: number, index: number, row: RowStandIn, moment: RowMoment): void {
    const { loadN, pressureKpa } = row.read(tick);
    const goodLoad = this.codeOf('loadCounts', loadN + (moment.loadOffsetN ?? 0));
    const goodPressure = this.codeOf('pressureCounts', pressureKpa);
    const garbage = randomBits(this.plan.seed, index + 1, Purpose.Garbage, tick);
    const loads = {
      open: 4095,
      short: 0,
      frozen: this.frozenCodes.get(index) ?? goodLoad,
      jumping: tick % 2 === 0 ? goodLoad : goodLoad + 900,
      garbage: garbage & 0xffff,
    };
    const pressures = { open: 4095, garbage: garbage >>> 16 };
    if (moment.load === undefined) this.frozenCodes.set(index, goodLoad);
    const set = setter(this.view, this.bankBytes.input + index * this.rowInput.size, this.rowInput);
    set('loadCounts', moment.load === undefined ? goodLoad : loads[moment.load]);
    set('pressureCounts', moment.pressure === undefined ? goodPressure : pressures[moment.pressure]);
    set('enabled', moment.isEnabled === false ? 0 : 1);
  }
}

/** Composes a vector's inputs by running the controller in the loop with stand-in rows. The same call gives the same bytes. */
export function composeInput(controller: Controller, plan: Composition, inputFile: string): void {
  const tickHz = plan.tickHz ?? 1000;
  const target = createWasmTarget(controller, plan.rows, { ...plan.parameters, tickHz });
  const { contract } = controller.description;
  const about = { title: plan.title, source: `invented: composed with seed ${plan.seed}` };
  const writer = RecordingWriter.create(inputFile, { contract, rows: plan.rows, tickHz, messages: ['input'], about });
  const bank = new BankStandIn(plan, target, tickHz);
  for (let tick = 0; tick < plan.seconds * tickHz; tick++) {
    bank.writeInputs(tick);
    writer.write('input', tick, target.input);
    target.tick();
  }
  writer.close();
}
