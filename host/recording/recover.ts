import { statSync } from 'node:fs';
import { InputError } from '../common/input-error.js';
import { refuseOwnInput } from '../common/write-atomic.js';
import { type RecordingInfo, readHead } from './head.js';
import { type RecordedMessage, readMessages } from './reader.js';
import { readCounts } from './tail.js';
import { RecordingWriter } from './writer.js';

/** What could be saved from a damaged recording. */
export interface Recovery {
  /** Messages in the new recording. */
  readonly kept: number;
  /** Messages known to be lost; only where the end of the damaged file still says how many there were. */
  readonly lostAtLeast?: number;
  /** Where the damage is; the file's size if there is none. */
  readonly atByte: number;
  readonly reason: string;
}

/** Messages up to the damage, then the damage. Errors of whoever uses the messages are not caught here. */
function* soundMessages(info: RecordingInfo): Generator<RecordedMessage, InputError | undefined, undefined> {
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

/** Copies what is sound into a recording that isn't closed yet; no recording where nothing is sound. */
function copySound(info: RecordingInfo, to: string): { writer?: RecordingWriter; kept: number; damage?: InputError | undefined } {
  const messages = soundMessages(info);
  let step = messages.next();
  if (step.done === true) return { kept: 0, damage: step.value };
  const writer = new RecordingWriter(to, { ...info, schemas: info.channels });
  try {
    let kept = 0;
    for (; step.done !== true; step = messages.next()) {
      writer.write(step.value.message, step.value.tick, step.value.payload);
      kept++;
    }
    return { writer, kept, damage: step.value };
  } catch (error) {
    writer.abandon();
    throw error;
  }
}

/** How many messages the end of the file speaks of, or what is wrong with that end. */
function readTotal(file: string): number | InputError {
  try {
    return [...readCounts(file).values()].reduce((sum, count) => sum + count, 0);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}

/**
 * Keeps every message of every intact chunk up to the damage and writes a sound recording of them. Works on the
 * `.partial` file of an interrupted writer as well. Layouts and words about the recording stay as they were.
 * @throws InputError, with nothing written, when not one message could be kept.
 */
export function recoverRecording(from: string, to: string): Recovery {
  refuseOwnInput(to, from);
  const { writer, kept, damage: found } = copySound(readHead(from), to);
  const total = readTotal(from);
  const damage = found ?? (total instanceof InputError ? total : undefined);
  const atByte = damage?.details.byte ?? statSync(from).size;
  if (writer === undefined) {
    const what = damage === undefined ? 'no message' : `nothing sound before the damage (${damage.details.what})`;
    throw new InputError({ file: from, byte: atByte, what, allowed: 'a recording with at least one whole chunk' });
  }
  writer.close();
  const lost = total instanceof InputError ? {} : { lostAtLeast: total - kept };
  return { kept, ...lost, atByte, reason: damage?.details.what ?? 'no damage' };
}
