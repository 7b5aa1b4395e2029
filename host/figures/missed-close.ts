import { MessageFields } from '../assess/message-fields.js';
import { dataViewOf } from '../common/data-view.js';
import type { Contract } from '../contract/contract.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { defaultSettings, type RunListener, runScenario } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';

export type ValveName = 'supply' | 'return';

/** Measures how long a valve of one row stays open after a missed closing stroke. */
class DelayMeter {
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

  /** The plant counts a missed stroke in the tick after the one in which it starts. */
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

  /** Call at the end of the run: a valve that is still open has an infinite delay. */
  finish(): void {
    if (this.#missedAt >= 0) this.delaysTicks.push(Number.POSITIVE_INFINITY);
  }
}

/**
 * Returns the time from the start of each missed closing stroke to the start of the valve's next one, ms; infinity if the run
 * ends before. The scenario must miss strokes of this valve only.
 */
export function closingDelaysMs({ controller, plant }: Binaries, scenario: Scenario, valve: ValveName, seed: number): number[] {
  const { contract } = controller.description;
  const meters = Array.from({ length: scenario.rows }, (_, row) => new DelayMeter(contract, row, valve));
  let truth: DataView | undefined;
  const listener: RunListener = (tick, views) => {
    truth ??= dataViewOf(views.truth);
    for (const meter of meters) meter.take(tick, views.output, truth);
  };
  runScenario(controller, plant, scenario, { ...defaultSettings(scenario), seed }, undefined, undefined, listener);
  for (const meter of meters) meter.finish();
  return meters.flatMap(({ delaysTicks }) => delaysTicks.map((ticks) => (1000 * ticks) / scenario.tickHz));
}
