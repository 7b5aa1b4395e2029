import { MessageFields } from '../assess/message-fields.js';
import type { Contract } from '../contract/contract.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { defaultSettings, type RunListener, runScenario } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';

export type ValveName = 'supply' | 'return';

/** Finds, for one row, how long a valve stays open whose closing stroke was missed. */
class RowWatch {
  readonly delaysTicks: number[] = [];
  readonly #order: number;
  readonly #missed: number;
  readonly #close: number;
  #missedAt = Number.NaN;
  #lastOrder = 0;
  #lastMissed = 0;

  constructor(contract: Contract, row: number, valve: ValveName) {
    this.#order = new MessageFields(contract, 'output').row(row, `${valve}Order`, 'u8');
    this.#missed = new MessageFields(contract, 'truth').row(row, 'missedStrokes', 'f32');
    this.#close = contract.enums.Order?.indexOf('close') ?? -1;
  }

  /** A stroke that begins in one tick is counted by the plant in the next. */
  take(tick: number, output: Uint8Array, truth: DataView): void {
    const order = output[this.#order] as number;
    const missed = truth.getFloat32(this.#missed, true);
    const isClosing = order === this.#close && this.#lastOrder !== this.#close;
    if (isClosing && this.#missedAt >= 0) {
      this.delaysTicks.push(tick - this.#missedAt);
      this.#missedAt = Number.NaN;
    }
    if (missed > this.#lastMissed) this.#missedAt = tick - 1;
    this.#lastOrder = order;
    this.#lastMissed = missed;
  }

  /** Nothing closed the valve again before the run's end. */
  end(): void {
    if (this.#missedAt >= 0) this.delaysTicks.push(Number.POSITIVE_INFINITY);
  }
}

/**
 * From the begin of a closing stroke that is missed to the begin of the valve's next one, ms, for each that is missed in a run;
 * without end where the run was over before. The scenario must miss strokes of this valve only.
 */
export function closingDelaysMs({ controller, plant }: Binaries, scenario: Scenario, valve: ValveName, seed: number): number[] {
  const { contract } = controller.description;
  const rows = Array.from({ length: scenario.rows }, (_, row) => new RowWatch(contract, row, valve));
  let truth: DataView | undefined;
  const look: RunListener = (tick, views) => {
    truth ??= new DataView(views.truth.buffer, views.truth.byteOffset, views.truth.byteLength);
    for (const row of rows) row.take(tick, views.output, truth);
  };
  runScenario(controller, plant, scenario, { ...defaultSettings(scenario), seed }, undefined, undefined, look);
  for (const row of rows) row.end();
  return rows.flatMap(({ delaysTicks }) => delaysTicks.map((ticks) => (1000 * ticks) / scenario.tickHz));
}
