import type { ParameterValues } from '../contract/contract.js';
import { identifyRun, recordedIdentity } from '../contract/run-identity.js';
import { RecordingWriter } from '../recording/writer.js';
import type { Controller, WasmRunner } from '../runner/wasm-runner.js';
import type { StepReport } from './board.js';

/** What a recording of a free run says about it. */
export interface RecordedRun {
  readonly title: string;
  readonly source: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly values: ParameterValues;
  /** Time of step 0, ns since 1970. */
  readonly startNs: bigint;
}

/**
 * Records a free run while it goes on: for each reported step the inputs that it used, the board's outputs, and the probes of the wasm
 * as long as it gives the same outputs. Ticks are the board's steps; those whose reports are lost are missing. A second at most is lost
 * if this program is killed: `latchbench recover` saves the rest.
 */
export class RunRecorder {
  private readonly writer: RecordingWriter;

  /** @throws InputError if the file cannot be written */
  constructor(file: string, { description }: Controller, { title, source, rows, tickHz, values, startNs }: RecordedRun) {
    const { contract } = description;
    const about = { title, source, ...recordedIdentity(description, identifyRun(contract, values)) };
    this.writer = RecordingWriter.create(file, { contract, rows, tickHz, startNs, messages: ['input', 'output', 'probe'], about });
  }

  take({ step, output }: StepReport, inputs: Uint8Array, wasm: WasmRunner | undefined): void {
    this.writer.write('input', step, inputs);
    this.writer.write('output', step, output);
    if (wasm !== undefined) this.writer.write('probe', step, wasm.probe);
  }

  /** Ends the recording. What was recorded stays, whatever became of the run. */
  close(): void {
    this.writer.close();
  }
}
