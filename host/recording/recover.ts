import { statSync } from 'node:fs';
import { InputError } from '../common/input-error.js';
import { refuseOverwritingInput } from '../common/write-atomic.js';
import { type RecordingInfo, readHead } from './head.js';
import { type RecordedMessage, readMessages } from './reader.js';
import { readCounts } from './tail.js';
import { RecordingWriter } from './writer.js';

/** What was recovered from a damaged recording. */
export interface Recovery {
  /** Number of messages in the new recording. */
  readonly recovered: number;
  /** Number of messages that are lost; only known if the end of the damaged file still holds the count. */
  readonly lost?: number;
  /** What is damaged, and at which offset; undefined if nothing is. */
  readonly damage?: { readonly reason: string; readonly atByte: number };
}

/** Yields the messages up to the damage and returns the damage. Errors of the consumer are not caught here. */
function* intactMessages(info: RecordingInfo): Generator<RecordedMessage, InputError | undefined, undefined> {
  const messages = readMessages(info);
  try {
    for (;;) {
      let step: IteratorResult<RecordedMessage, void>;
      try {
        step = messages.next();
      } catch (error) {
        if (error instanceof InputError) return error;
        throw error;
      }
      if (step.done === true) return undefined;
      yield step.value;
    }
  } finally {
    messages.return();
  }
}

/** Copies the intact messages into a new recording and leaves it open; without an intact message there is no recording. */
function copyIntact(info: RecordingInfo, to: string): { writer?: RecordingWriter; recovered: number; damage?: InputError | undefined } {
  const messages = intactMessages(info);
  let step = messages.next();
  if (step.done === true) return { recovered: 0, damage: step.value };
  const writer = new RecordingWriter(to, { ...info, schemas: info.channels });
  try {
    let recovered = 0;
    for (; step.done !== true; step = messages.next()) {
      writer.write(step.value.message, step.value.tick, step.value.payload);
      recovered++;
    }
    return { writer, recovered, damage: step.value };
  } catch (error) {
    writer.abandon();
    throw error;
  }
}

/** Reads the number of messages from the end of the file, or returns what is wrong with that end. */
function readTotal(file: string): number | InputError {
  try {
    return [...readCounts(file).values()].reduce((sum, count) => sum + count, 0);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}

/**
 * Writes a new recording with all messages of the intact chunks before the damage. Also reads the `.partial` file of an
 * interrupted writer. Layouts and the text about the recording are kept.
 * @throws InputError, with nothing written, if not one message is intact
 */
export function recoverRecording(from: string, to: string): Recovery {
  refuseOverwritingInput(to, from);
  const { writer, recovered, damage: found } = copyIntact(readHead(from), to);
  const total = readTotal(from);
  const error = found ?? (total instanceof InputError ? total : undefined);
  const damage = error === undefined ? undefined : { reason: error.details.problem, atByte: error.details.byte ?? statSync(from).size };
  if (writer === undefined) {
    const problem = damage === undefined ? 'the recording has no messages' : `no message before the damage is intact: ${damage.reason}`;
    throw new InputError({ file: from, byte: damage?.atByte, problem });
  }
  writer.close();
  const lost = total instanceof InputError ? {} : { lost: total - recovered };
  return { recovered, ...lost, ...(damage === undefined ? {} : { damage }) };
}
