import { dataViewOf } from '../common/data-view.js';
import { type Contract, recordOf } from '../contract/contract.js';
import { MESSAGES, messageBytes, messageRecords } from '../contract/messages.js';
import { openRecording } from '../recording/reader.js';
import { type Change, ChangeDetector, outputSignals } from './change.js';
import { ChangeComparer } from './compare-changes.js';
import type { Part } from './series.js';
import { isStroke, type StrokeDifferences } from './strokes.js';

/** Finds the changes of the orders of a log as those of outputs, whose other fields stay 0. */
export class OrderDetector {
  readonly #output: Uint8Array;
  readonly #detector: ChangeDetector;
  /** Bytes in the orders, and in the outputs. */
  readonly #places: readonly (readonly [from: number, to: number])[];

  constructor(contract: Contract, rows: number) {
    this.#output = new Uint8Array(messageBytes(contract, 'output', rows));
    this.#detector = new ChangeDetector(this.#output, outputSignals(contract));
    const from = messageRecords(contract, 'orders');
    const to = { bank: recordOf(contract, MESSAGES.output.bank), row: recordOf(contract, MESSAGES.output.row) };
    const names = from.row.fields.map(({ name }) => name).filter((name) => name.endsWith('Order'));
    this.#places = Array.from({ length: rows }, (_, row) =>
      names.map((name) => {
        const [source, target] = [from, to].map(({ bank, row: record }) => {
          const { offset = 0 } = record.fields.find((field) => field.name === name) ?? {};
          return bank.size + row * record.size + offset;
        });
        return [source ?? 0, target ?? 0] as const;
      }),
    ).flat();
  }

  /** Calls `take` for each order that changes with this message. */
  detect(tick: number, orders: Uint8Array, take: (change: Change) => void): void {
    const view = dataViewOf(orders);
    for (const [from, to] of this.#places) this.#output[to] = view.getUint8(from);
    this.#detector.detect(tick, take);
  }
}

/** Strokes of a log's controller beside those of ours, over the same inputs. */
export interface LogComparison {
  readonly logStrokes: number;
  readonly ourStrokes: number;
  /** From the log's to ours. */
  readonly strokes: StrokeDifferences;
}

/** Yields the changes of the orders of a log up to a tick, in order. */
function* orderChanges(file: string, contract: Contract, endTick: number): Generator<Change, void, undefined> {
  const recording = openRecording(file, contract);
  const detector = new OrderDetector(contract, recording.rows);
  const found: Change[] = [];
  for (const { tick, payload } of recording.messages({ messages: ['orders'], toTick: endTick - 1 })) {
    detector.detect(tick, payload, (change) => void found.push(change));
    yield* found.splice(0);
  }
}

/**
 * Compares the strokes of a log's controller with those of ours, which ran over the log's inputs. It is an open loop: the inputs are
 * what the strokes of the log caused, not ours, so that the two need not agree even where both control well.
 * @param ours changes of the outputs of our controller
 * @returns undefined if the recording has no orders of a log
 * @throws InputError if the recording is damaged
 */
export function compareWithLog(
  file: string,
  contract: Contract,
  ours: readonly Change[],
  { first, ticks }: Part,
): LogComparison | undefined {
  if ((openRecording(file, contract).counts.orders ?? 0) === 0) return undefined;
  const isInPart = ({ tick, signal }: Change): boolean => signal.endsWith('Order') && tick >= first && tick < first + ticks;
  const counts = { log: 0, ours: 0 };
  function* logged(): Generator<Change, void, undefined> {
    for (const change of orderChanges(file, contract, first + ticks)) {
      if (!isInPart(change)) continue;
      counts.log += Number(isStroke(change));
      yield change;
    }
  }
  const comparer = new ChangeComparer(logged(), outputSignals(contract));
  for (const change of ours.filter(isInPart)) {
    counts.ours += Number(isStroke(change));
    comparer.push(change);
  }
  const { comparison } = comparer.finish(ticks);
  return { logStrokes: counts.log, ourStrokes: counts.ours, strokes: comparison.strokes };
}
