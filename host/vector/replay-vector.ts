import { InputError } from '../common/input-error.js';
import type { ControllerMessage } from '../contract/messages.js';
import { RecordingWriter } from '../recording/writer.js';
import { outputSignals } from '../replay/change.js';
import { Comparer, type Comparison } from '../replay/compare.js';
import { type Run, runRecording, type TickListener } from '../replay/replay.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { readExpected } from './expected.js';
import { checkAccepted, type VectorCase } from './vector.js';

/** Checks that the vector exercises the controller, so that "no difference" means something. @throws InputError if it does not */
export function checkSignificant(vector: VectorCase, run: Run): void {
  if (run.ticks === 0 && run.trap === undefined)
    throw new InputError({ file: vector.inputFile, problem: 'the recording has no inputs; it must have one for every tick' });
  if (run.telling > 0 || run.trap !== undefined) return;
  throw new InputError({
    file: vector.caseFile,
    problem: 'the vector proves nothing: after the start there is no stroke and no change of a mode or a fault',
  });
}

export type Verdict = 'same' | 'changed' | 'broken';

/** Result of replaying one vector. */
export interface VectorResult {
  readonly name: string;
  readonly title: string;
  readonly verdict: Verdict;
  readonly rows: number;
  readonly ticks: number;
  readonly seconds: number;
  readonly trap: Run['trap'];
  readonly comparison: Comparison;
}

/** Replays a vector and compares its outputs exactly with the accepted ones. @throws InputError if the vector is invalid */
export function replayVector(controller: Controller, vector: VectorCase, onTick?: TickListener): VectorResult {
  const { contract } = controller.description;
  checkAccepted(vector);
  const signals = outputSignals(contract);
  const comparer = new Comparer(readExpected(vector.expectedFile, vector.rows, signals), signals);
  const runner = createWasmRunner(controller, vector.rows, vector.values);
  const run = runRecording(runner, vector.inputFile, vector.tickHz, (change) => comparer.push(change), onTick);
  const comparison = comparer.finish();
  // If outputs differ, that is the result, even if this controller does nothing.
  if (comparison.differences === 0 || run.ticks === 0) checkSignificant(vector, run);
  const isSame = comparison.differences === 0;
  const verdict = run.trap !== undefined ? 'broken' : isSame ? 'same' : 'changed';
  const { name, title, rows } = vector;
  return { name, title, verdict, rows, ticks: run.ticks, seconds: run.ticks / vector.tickHz, trap: run.trap, comparison };
}

/** Replays a vector and records its inputs, outputs and probes. @throws InputError as `replayVector` does */
export function replayAndRecord(controller: Controller, vector: VectorCase, file: string): VectorResult {
  const { contract } = controller.description;
  const { rows, tickHz, title, origin } = vector;
  const messages: ControllerMessage[] = ['input', 'output', 'probe'];
  const writer = RecordingWriter.create(file, { contract, rows, tickHz, messages, about: { title, source: origin } });
  try {
    const result = replayVector(controller, vector, (tick, runner) => {
      for (const message of messages) writer.write(message, tick, runner[message]);
    });
    writer.close();
    return result;
  } catch (error) {
    writer.abandon();
    throw error;
  }
}
