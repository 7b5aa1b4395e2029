import { identifyRun, type RunIdentity } from '../contract/run-identity.js';
import { openRecording } from '../recording/reader.js';
import { checkFits, missingInput } from '../replay/replay.js';
import type { Controller } from '../runner/wasm-runner.js';
import type { VectorCase } from '../vector/vector.js';
import type { Board } from './board.js';
import { type FreeRunObserver, type FreeRunResult, type FreeRunSetup, type InputSource, runFreely } from './free-run.js';
import type { Clock } from './link/clock.js';
import { type RecordedRun, RunRecorder } from './record-run.js';

/** How the free run of a vector is made, besides what the vector says. */
export type FreeReplaySetup = Pick<FreeRunSetup, 'period' | 'leadMs' | 'limits'>;

/** A vector whose inputs a board ran on freely. */
export interface FreeReplay extends FreeRunResult {
  readonly name: string;
  readonly rows: number;
  readonly ranWith: RunIdentity;
  /** Ticks of the vector. */
  readonly ticks: number;
}

/** Where to record, and when step 0 is, ns since 1970. */
export interface RecordTo {
  readonly file: string;
  readonly startNs: bigint;
}

/** The inputs of a vector, in order. @throws InputError if one is missing */
function sourceOf({ inputFile, rows, tickHz }: VectorCase, controller: Controller): InputSource & { close(): void } {
  const recording = openRecording(inputFile, controller.description.contract);
  checkFits(inputFile, recording, { rows, tickHz });
  const messages = recording.messages({ messages: ['input'] });
  let ticks = 0;
  return {
    steps: recording.counts.input ?? 0,
    next: () => {
      const { done, value } = messages.next();
      if (done === true || value.tick !== ticks) throw missingInput(inputFile, ticks, done === true ? undefined : value.tick);
      ticks += 1;
      return value.payload;
    },
    close: () => void messages.return(),
  };
}

const recordedRun = ({ title, name, rows, tickHz, values }: VectorCase, board: Board, startNs: bigint): RecordedRun => ({
  title,
  source: `free run of board ${board.greeting.board} at ${board.name} on the inputs of vector ${name}`,
  rows,
  tickHz,
  values,
  startNs,
});

/**
 * Lets a board run freely on the inputs of a vector. The board starts some steps before the first of them; the outputs therefore need
 * not be those of the vector, and are compared with the wasm on the inputs that the board used.
 * @throws InputError when the vector is invalid, or the board cannot run it
 */
export async function replayFreely(
  board: Board,
  controller: Controller,
  vector: VectorCase,
  setup: FreeReplaySetup,
  clock: Clock,
  recordTo: RecordTo | undefined,
  onProgress: (share: number) => void,
): Promise<FreeReplay> {
  const { name, rows, tickHz, values } = vector;
  const source = sourceOf(vector, controller);
  const recorder =
    recordTo === undefined ? undefined : new RunRecorder(recordTo.file, controller, recordedRun(vector, board, recordTo.startNs));
  const observer: FreeRunObserver = { onProgress, ...(recorder === undefined ? {} : { onStep: (...step) => recorder.take(...step) }) };
  try {
    const result = await runFreely(board, controller, { rows, values, tickHz, ...setup }, source, clock, observer);
    const ranWith = identifyRun(controller.description.contract, values);
    return { name, rows, ranWith, ticks: source.steps, ...result };
  } finally {
    source.close();
    recorder?.close();
  }
}
