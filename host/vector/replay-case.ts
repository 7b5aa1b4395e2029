import { InputError } from '../common/input-error.js';
import type { ControllerMessage } from '../contract/messages.js';
import { RecordingWriter } from '../recording/writer.js';
import { outputSignals } from '../replay/change.js';
import { Comparer, type Comparison } from '../replay/compare.js';
import { type Run, runRecording, type TickListener } from '../replay/replay.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { checkAccepted, type VectorCase } from './case.js';
import { readExpected } from './expected.js';

/** @throws InputError when the case says nothing about the controller, so that “no difference” would mean nothing */
export function checkTelling(one: VectorCase, run: Run): void {
  if (run.ticks === 0 && run.trap === undefined)
    throw new InputError({ file: one.inputFile, what: 'no input', allowed: 'an input for every tick' });
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

/** Replays a case and compares it exactly with what was accepted. @throws InputError when the case is not in order */
export function replayCase(controller: Controller, one: VectorCase, look?: TickListener): CaseResult {
  const { contract } = controller.description;
  checkAccepted(one);
  const signals = outputSignals(contract);
  const comparer = new Comparer(readExpected(one.expectedFile, one.rows, signals), signals);
  const target = createWasmRunner(controller, one.rows, one.values);
  const run = runRecording(target, one.inputFile, one.tickHz, (change) => comparer.push(change), look);
  const comparison = comparer.finish();
  // A controller that does nothing where something is expected of it is changed, whatever the case would say by itself.
  if (comparison.differences === 0 || run.ticks === 0) checkTelling(one, run);
  const isSame = comparison.differences === 0;
  const verdict = run.trap !== undefined ? 'broken' : isSame ? 'same' : 'changed';
  const { name, title, rows } = one;
  return { name, title, verdict, rows, ticks: run.ticks, seconds: run.ticks / one.tickHz, trap: run.trap, comparison };
}

/** Replays a case and records what went in, what came out and every value in between. @throws InputError as replayCase() */
export function replayAndRecord(controller: Controller, one: VectorCase, file: string): CaseResult {
  const { contract } = controller.description;
  const { rows, tickHz, title, origin } = one;
  const messages: ControllerMessage[] = ['input', 'output', 'probe'];
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
