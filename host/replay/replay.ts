import { InputError } from '../common/input-error.js';
import type { ParameterValues } from '../contract/contract.js';
import { openRecording } from '../recording/reader.js';
import type { Runner } from '../runner/runner.js';
import { type Change, ChangeDetector, hashText, outputSignals, STATE_HASH } from './change.js';

/** Recorded inputs, and what the controller is configured with to run over them. */
export interface RecordedPass {
  readonly title: string;
  readonly inputFile: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly values: ParameterValues;
}

/** What a run over recorded inputs was like. */
export interface Run {
  readonly ticks: number;
  /** Strokes, modes and faults that changed after the bank's start: what a case is about. */
  readonly telling: number;
  /** Where the controller stopped, if an assertion in it failed. */
  readonly trap: { readonly tick: number; readonly message: string } | undefined;
}

/** Called after each tick of a replay, by those who look at what is in between. */
export type TickListener = (tick: number, target: Runner) => void;

/** Whether a change says something of the case, once the bank has started. */
const isTelling = ({ signal, value }: Change): boolean =>
  signal === 'mode' || signal === 'faults' || (signal.endsWith('Order') && value !== 'none');

/** Counts what a run says of its case: changes after the bank's start that are telling. */
export class TellingCount {
  count = 0;
  private isStarted = false;

  take(change: Change): void {
    if (this.isStarted && isTelling(change)) this.count += 1;
    if (change.row === 0 && change.signal === 'mode' && change.value !== 'starting' && change.value !== 'refused') this.isStarted = true;
  }
}

/**
 * Feeds a recording's inputs to a target, tick by tick, tells what changes, and after each tick lets somebody look. Memory
 * stays constant.
 * @throws InputError when the recording is damaged or does not fit the case
 */
export function runRecording(target: Runner, inputFile: string, tickHz: number, tell: (change: Change) => void, look?: TickListener): Run {
  const { contract } = target.description;
  const recording = openRecording(inputFile, contract);
  if (recording.rows !== target.rows)
    throw new InputError({ file: inputFile, what: 'rows', value: recording.rows, allowed: `${target.rows}, as the case says` });
  if (recording.tickHz !== tickHz)
    throw new InputError({ file: inputFile, what: 'tick rate', value: recording.tickHz, allowed: `${tickHz} Hz, as the case says` });
  const detector = new ChangeDetector(target.output, outputSignals(contract));
  const telling = new TellingCount();
  const take = (change: Change): void => {
    telling.take(change);
    tell(change);
  };
  const takeHash = (tick: number): void => tell({ tick, row: 0, signal: STATE_HASH, value: hashText(target.stateHash()) });

  let ticks = 0;
  for (const { tick, payload } of recording.messages({ messages: ['input'] })) {
    if (tick !== ticks)
      throw new InputError({ file: inputFile, what: 'tick', value: tick, allowed: `${ticks}: a case has an input for every tick from 0` });
    target.input.set(payload);
    try {
      target.tick();
    } catch (error) {
      return { ticks, telling: telling.count, trap: { tick, message: (error as Error).message } };
    }
    detector.detect(tick, take);
    ticks = tick + 1;
    if (ticks % tickHz === 0) takeHash(tick);
    look?.(tick, target);
  }
  if (ticks % tickHz !== 0) takeHash(ticks - 1);
  return { ticks, telling: telling.count, trap: undefined };
}
