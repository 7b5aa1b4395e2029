import { InputError } from '../common/input-error.js';
import type { ControllerMessage } from '../contract/messages.js';
import { identifyRun, type RunIdentity, recordedIdentity } from '../contract/run-identity.js';
import { RecordingWriter } from '../recording/writer.js';
import { outputSignals } from '../replay/change.js';
import { ChangeComparer, type Comparison, comparisonVerdict } from '../replay/compare-changes.js';
import { type Run, runRecording, type TickListener } from '../replay/replay.js';
import type { Verdict } from '../replay/verdict.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { readExpected } from './expected.js';
import { checkAccepted, type VectorCase } from './vector.js';

/** Checks that the vector exercises the controller, so that "no difference" means something. @throws InputError if it does not */
export function checkSignificant(vector: VectorCase, run: Run): void {
  if (run.ticks === 0 && run.trap === undefined)
    throw new InputError({ file: vector.inputFile, problem: 'the recording has no inputs; it must have one for every tick' });
  if (run.significantChanges > 0 || run.trap !== undefined) return;
  throw new InputError({
    file: vector.caseFile,
    problem: 'the vector exercises nothing: no stroke, mode or fault changes after the start',
  });
}

/** Result of replaying one vector. */
export interface VectorResult {
  readonly name: string;
  readonly title: string;
  readonly ranWith: RunIdentity;
  readonly verdict: Verdict;
  readonly rows: number;
  readonly ticks: number;
  readonly seconds: number;
  readonly trap: Run['trap'];
  readonly comparison: Comparison;
}

/** Replays a vector and compares its outputs exactly with the accepted ones. @throws InputError if the vector is invalid */
export function replayVector(
  controller: Controller,
  vector: VectorCase,
  onTick?: (...about: [...Parameters<TickListener>, ChangeComparer]) => void,
): VectorResult {
  const { contract } = controller.description;
  checkAccepted(vector);
  const signals = outputSignals(contract);
  const comparer = new ChangeComparer(readExpected(vector.expectedFile, vector.rows, signals), signals);
  const runner = createWasmRunner(controller, vector.rows, vector.values);
  const run = runRecording(
    runner,
    vector.inputFile,
    vector.tickHz,
    (change) => comparer.push(change),
    (tick, runs) => onTick?.(tick, runs, comparer),
  );
  const { comparison } = comparer.finish(run.ticks);
  // If outputs differ, that is the result, even if this controller does nothing.
  if (comparison.differences === 0 || run.ticks === 0) checkSignificant(vector, run);
  const verdict = run.trap !== undefined ? 'stopped' : comparisonVerdict(comparison);
  const { name, title, rows } = vector;
  const ranWith = identifyRun(contract, vector.values);
  return { name, title, ranWith, verdict, rows, ticks: run.ticks, seconds: run.ticks / vector.tickHz, trap: run.trap, comparison };
}

/** Ends a replay. */
class Different extends Error {}

/** Whether a controller computes the accepted outputs of a vector; the replay ends at the first difference. @throws InputError as `replayVector` does */
export function computesAccepted(controller: Controller, vector: VectorCase): boolean {
  try {
    const { verdict } = replayVector(controller, vector, (_tick, _runner, { hasDifference }) => {
      if (hasDifference) throw new Different();
    });
    return verdict === 'same';
  } catch (error) {
    if (error instanceof Different) return false;
    throw error;
  }
}

/** Replays a vector and records its inputs, outputs and probes. @throws InputError as `replayVector` does */
export function replayAndRecord(controller: Controller, vector: VectorCase, file: string): VectorResult {
  const { contract } = controller.description;
  const { rows, tickHz, title, origin, values } = vector;
  const about = { title, source: origin, ...recordedIdentity(controller.description, identifyRun(contract, values)) };
  const messages: ControllerMessage[] = ['input', 'output', 'probe'];
  const writer = RecordingWriter.create(file, { contract, rows, tickHz, messages, about });
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
