import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { stringify } from 'yaml';
import { MessageFields } from '../../host/assess/message-fields.js';
import { dataViewOf } from '../../host/common/data-view.js';
import { loadPlant } from '../../host/simulate/plant.js';
import { runScenario } from '../../host/simulate/run.js';
import { readScenario } from '../../host/simulate/scenario.js';
import { controller, type Stroke } from './bench.js';
import { PROJECT } from './project.js';

const { contract } = controller.description;
const ROW_FAULTS = contract.faults.filter(({ scope }) => scope === 'row');
const VALVES = ['supply', 'return'] as const;

/** A fault of a row that is set or cleared, or a mode that a row changes to. Ticks of 1 ms; rows are counted from 1. */
export interface RowChange {
  readonly tick: number;
  readonly row: number;
  readonly what: string;
}

/** What happened in a closed-loop run. */
export interface FieldLog {
  readonly strokes: readonly Stroke[];
  readonly changes: readonly RowChange[];
  /** Strokes that did not move their valve in the plant. */
  readonly missed: readonly Stroke[];
}

/** Logs one row, tick by tick. */
class RowLog {
  readonly strokes: Stroke[] = [];
  readonly missed: Stroke[] = [];
  readonly changes: RowChange[] = [];
  private readonly orderAt: readonly number[];
  private readonly at: Readonly<Record<'mode' | 'faults' | 'missed', number>>;
  private readonly last = { orders: [0, 0], mode: 0, faults: 0, missed: 0 };

  constructor(private readonly row: number) {
    const output = new MessageFields(contract, 'output');
    const truth = new MessageFields(contract, 'truth');
    this.orderAt = VALVES.map((valve) => output.row(row - 1, `${valve}Order`, 'u8'));
    this.at = {
      mode: output.row(row - 1, 'mode', 'u8'),
      faults: output.row(row - 1, 'faults', 'u32'),
      missed: truth.row(row - 1, 'missedStrokes', 'f32'),
    };
  }

  take(tick: number, output: DataView, truth: DataView): void {
    // The plant counts a missed stroke in the tick after it began.
    const missed = truth.getFloat32(this.at.missed, true);
    const latest = this.strokes.at(-1);
    if (missed > this.last.missed && latest !== undefined) this.missed.push(latest);
    this.last.missed = missed;
    for (const [index, valve] of VALVES.entries()) this.takeOrder(tick, index, valve, output.getUint8(this.orderAt[index] ?? 0));
    this.takeMode(tick, output.getUint8(this.at.mode));
    this.takeFaults(tick, output.getUint32(this.at.faults, true));
  }

  private takeOrder(tick: number, index: number, valve: Stroke['valve'], number: number): void {
    const order = contract.enums.Order?.[number];
    if (number !== this.last.orders[index] && order !== 'none')
      this.strokes.push({ tick, row: this.row, valve, order: order as Stroke['order'] });
    this.last.orders[index] = number;
  }

  private takeMode(tick: number, mode: number): void {
    if (mode !== this.last.mode) this.changes.push({ tick, row: this.row, what: contract.enums.RowMode?.[mode] ?? 'no mode' });
    this.last.mode = mode;
  }

  private takeFaults(tick: number, faults: number): void {
    const changed = faults ^ this.last.faults;
    this.last.faults = faults;
    for (const { name, code } of ROW_FAULTS) {
      if (!((changed >>> code) & 1)) continue;
      this.changes.push({ tick, row: this.row, what: `${name} ${(faults >>> code) & 1 ? 'set' : 'cleared'}` });
    }
  }
}

/**
 * Runs a scenario in a closed loop: by default 4 rows with an accelerometer on a class D field at 3 m/s.
 * @param folder for the scenario's file
 * @param keys of the scenario's file, over the defaults
 */
export function runField(folder: string, name: string, keys: Readonly<Record<string, unknown>> = {}): FieldLog {
  const defaults = { title: name, story: 'Made up.', machine: 'with-accelerometer', rows: 4, seconds: 10, seed: 11, field: { class: 'D' } };
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, stringify({ ...defaults, ...keys }));
  const scenario = readScenario(PROJECT, file, contract);
  const rows = Array.from({ length: scenario.rows }, (_, index) => new RowLog(index + 1));
  let views: { output: DataView; truth: DataView } | undefined;
  const run = runScenario(controller, loadPlant(), scenario, undefined, undefined, undefined, (tick, { output, truth }) => {
    views ??= {
      output: dataViewOf(output),
      truth: dataViewOf(truth),
    };
    for (const row of rows) row.take(tick, views.output, views.truth);
  });
  if (run.trap !== undefined) throw new Error(`${name}: the controller stopped in tick ${run.trap.tick}`);
  return {
    strokes: rows.flatMap(({ strokes }) => strokes),
    changes: rows.flatMap(({ changes }) => changes),
    missed: rows.flatMap(({ missed }) => missed),
  };
}
