import { InputError } from '../common/input-error.js';
import type { ParameterValues } from '../contract/contract.js';
import { openRecording } from '../recording/reader.js';
import type { Runner } from '../runner/runner.js';
import { type Change, ChangeDetector, hashText, outputSignals, STATE_HASH } from './change.js';

/** Recorded inputs, and the configuration of the controller that runs over them. */
export interface RecordedPass {
  readonly title: string;
  readonly inputFile: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly values: ParameterValues;
}

/** Result of a run over recorded inputs. */
export interface Run {
  readonly ticks: number;
  /** Strokes and changes of modes and faults after the bank's start. */
  readonly significantChanges: number;
  /** Where the controller stopped, if an assertion failed. */
  readonly trap: { readonly tick: number; readonly message: string } | undefined;
}

/** Called after each tick of a replay. */
export type TickListener = (tick: number, runner: Runner) => void;

/** Whether a change shows that a vector exercises the controller. */
const isSignificant = ({ signal, value }: Change): boolean =>
  signal === 'mode' || signal === 'faults' || (signal.endsWith('Order') && value !== 'none');

/** Counts significant changes after the bank's start: without any, a vector exercises nothing. */
export class SignificantChanges {
  count = 0;
  private isStarted = false;

  take(change: Change): void {
    if (this.isStarted && isSignificant(change)) this.count += 1;
    if (change.row === 0 && change.signal === 'mode' && change.value !== 'starting' && change.value !== 'refused') this.isStarted = true;
  }
}

/** @throws InputError if the recording does not have the rows and the tick rate of the vector */
export function checkFits(
  file: string,
  recording: { readonly rows: number; readonly tickHz: number },
  vector: { readonly rows: number; readonly tickHz: number },
): void {
  const { rows, tickHz } = recording;
  if (rows !== vector.rows)
    throw new InputError({ file, problem: `the recording has ${rows} rows, but the vector has ${vector.rows}`, value: rows });
  if (tickHz !== vector.tickHz) {
    const problem = `the recording's tick rate is ${tickHz} Hz, but the vector's is ${vector.tickHz} Hz`;
    throw new InputError({ file, problem, value: tickHz });
  }
}

/** A recording without the input of a tick. */
export const missingInput = (file: string, tick: number, found: number | undefined): InputError =>
  new InputError({
    file,
    problem: found === undefined ? `the input of tick ${tick} is missing` : `tick ${found} follows where tick ${tick} is expected`,
    value: found,
    hint: 'A vector needs an input for every tick from 0',
  });

/**
 * Feeds recorded inputs to a runner, tick by tick, and reports changes of outputs and state hashes. Memory stays constant.
 * @throws InputError if the recording is damaged or does not fit the runner
 */
export function runRecording(
  runner: Runner,
  inputFile: string,
  tickHz: number,
  onChange: (change: Change) => void,
  onTick?: TickListener,
): Run {
  const { contract } = runner.description;
  const recording = openRecording(inputFile, contract);
  checkFits(inputFile, recording, { rows: runner.rows, tickHz });
  const detector = new ChangeDetector(runner.output, outputSignals(contract));
  const significant = new SignificantChanges();
  const take = (change: Change): void => {
    significant.take(change);
    onChange(change);
  };
  const takeHash = (tick: number): void => onChange({ tick, row: 0, signal: STATE_HASH, value: hashText(runner.stateHash()) });

  let ticks = 0;
  for (const { tick, payload } of recording.messages({ messages: ['input'] })) {
    if (tick !== ticks) throw missingInput(inputFile, ticks, tick);
    runner.input.set(payload);
    try {
      runner.tick();
    } catch (error) {
      return { ticks, significantChanges: significant.count, trap: { tick, message: (error as Error).message } };
    }
    detector.detect(tick, take);
    ticks = tick + 1;
    if (ticks % tickHz === 0) takeHash(tick);
    onTick?.(tick, runner);
  }
  if (ticks % tickHz !== 0) takeHash(ticks - 1);
  return { ticks, significantChanges: significant.count, trap: undefined };
}
