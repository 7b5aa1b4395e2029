import type { Contract } from '../contract/contract.js';
import type { MessageName } from '../contract/write-message.js';
import { InputError } from '../files/input-error.js';
import { openRecording } from '../recording/reader.js';
import { RecordingWriter } from '../recording/writer.js';
import type { Target } from '../target/target.js';
import { type Controller, createWasmTarget } from '../target/wasm.js';
import { checkAccepted, type VectorCase } from '../vector/case.js';
import { readExpected } from '../vector/expected.js';
import { type Change, ChangeDetector, hashText, outputSignals, STATE_HASH } from './change.js';
import { Comparer, type Comparison } from './compare.js';

/** What a run over recorded inputs was like. */
export interface Run {
  readonly ticks: number;
  /** Strokes, modes and faults that changed after the bank's start: what a case is about. */
  readonly telling: number;
  /** Where the controller stopped, if an assertion in it failed. */
  readonly trap: { readonly tick: number; readonly message: string } | undefined;
}

/** Whether a change says something of the case, once the bank has started. */
const isTelling = ({ signal, value }: Change): boolean =>
  signal === 'mode' || signal === 'faults' || (signal.endsWith('Order') && value !== 'none');

/**
 * Feeds a recording's inputs to a target, tick by tick, tells what changes, and after each tick lets somebody look. Memory
 * stays constant.
 * @throws InputError when the recording is damaged or does not fit the case
 */
export function runRecording(target: Target, inputFile: string, tickHz: number, tell: (change: Change) => void, look?: TickListener): Run {
  const { contract } = target.description;
  const recording = openRecording(inputFile, contract);
  if (recording.rows !== target.rows)
    throw new InputError({ file: inputFile, what: 'rows', value: recording.rows, allowed: `${target.rows}, as the case says` });
  if (recording.tickHz !== tickHz)
    throw new InputError({ file: inputFile, what: 'tick rate', value: recording.tickHz, allowed: `${tickHz} Hz, as the case says` });
  const detector = new ChangeDetector(target.output, outputSignals(contract));
  let telling = 0;
  let isStarted = false;
  const take = (change: Change): void => {
    if (isStarted && isTelling(change)) telling += 1;
    if (change.row === 0 && change.signal === 'mode' && change.value !== 'starting' && change.value !== 'refused') isStarted = true;
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
      return { ticks, telling, trap: { tick, message: (error as Error).message } };
    }
    detector.detect(tick, take);
    ticks = tick + 1;
    if (ticks % tickHz === 0) takeHash(tick);
    look?.(tick, target);
  }
  if (ticks % tickHz !== 0) takeHash(ticks - 1);
  return { ticks, telling, trap: undefined };
}

/** @throws InputError when the case says nothing about the controller, so that “no difference” would mean nothing */
export function checkTelling(one: VectorCase, run: Run): void {
  if (run.ticks === 0) throw new InputError({ file: one.inputFile, what: 'no input', allowed: 'an input for every tick' });
  if (run.telling > 0 || run.trap !== undefined) return;
  throw new InputError({
    file: one.caseFile,
    what: 'a case that proves nothing',
    allowed: 'after the start, at least one stroke or one change of a mode or fault',
  });
}

export type Verdict = 'same' | 'changed' | 'broken';

/** What replaying one case showed. */
export interface CaseResult {
  readonly name: string;
  readonly title: string;
  readonly verdict: Verdict;
  readonly rows: number;
  readonly ticks: number;
  readonly seconds: number;
  readonly trap: Run['trap'];
  readonly comparison: Comparison;
}

/** Called after each tick of a replay, by those who look at what is in between. */
export type TickListener = (tick: number, target: Target) => void;

/** Replays a case and compares it exactly with what was accepted. @throws InputError when the case is not in order */
export function replayCase(controller: Controller, one: VectorCase, look?: TickListener): CaseResult {
  const contract: Contract = controller.description.contract;
  checkAccepted(one);
  const signals = outputSignals(contract);
  const comparer = new Comparer(readExpected(one.expectedFile, one.rows, signals), signals);
  const target = createWasmTarget(controller, one.rows, one.values);
  const run = runRecording(target, one.inputFile, one.tickHz, (change) => comparer.push(change), look);
  checkTelling(one, run);
  const comparison = comparer.finish();
  const isSame = comparison.differences === 0;
  const verdict = run.trap !== undefined ? 'broken' : isSame ? 'same' : 'changed';
  const { name, title, rows } = one;
  return { name, title, verdict, rows, ticks: run.ticks, seconds: run.ticks / one.tickHz, trap: run.trap, comparison };
}

/** Replays a case and records what went in, what came out and every value in between. @throws InputError as replayCase() */
export function replayAndRecord(controller: Controller, one: VectorCase, file: string): CaseResult {
  const { contract } = controller.description;
  const { rows, tickHz, title, origin } = one;
  const messages: MessageName[] = ['input', 'output', 'probe'];
  const writer = RecordingWriter.create(file, { contract, rows, tickHz, messages, about: { title, source: origin } });
  try {
    const result = replayCase(controller, one, (tick, target) => {
      for (const message of messages) writer.write(message, tick, target[message]);
    });
    writer.close();
    return result;
  } catch (error) {
    writer.abandon();
    throw error;
  }
}
