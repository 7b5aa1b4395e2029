import { InputError } from '../common/input-error.js';
import type { Contract } from '../contract/contract.js';
import { type RecordingMessage, writeMessage } from '../contract/messages.js';
import { layoutHash } from './format.js';
import { type RecordingInfo, readHead } from './head.js';
import { MessageCursor, type MessageFilter, type RecordedMessage } from './message-cursor.js';
import { readCounts } from './tail.js';

export type { RecordedChannel, RecordingInfo } from './head.js';
export type { MessageFilter, RecordedMessage } from './message-cursor.js';

export interface Recording extends RecordingInfo {
  /** Number of messages by kind, and in total. */
  readonly counts: Readonly<Partial<Record<RecordingMessage, number>>>;
  readonly count: number;
  /**
   * Yields the messages in the order of their ticks. The yielded object and its `payload` (a view that starts at a multiple
   * of 8, one for each kind of message) are reused in each step: copy what you keep. Memory use is constant. The checksum
   * of a chunk is checked before its first message is yielded; that of the file when the end is reached without a filter.
   * @throws InputError with the byte offset of a damaged record, or if ticks go backwards
   */
  messages(filter?: MessageFilter): Generator<RecordedMessage, void, undefined>;
}

function checkLayout(info: RecordingInfo, contract: Contract): void {
  for (const channel of info.channels) {
    const expected = layoutHash(writeMessage(contract, channel.message, info.rows));
    if (channel.layoutHash === expected) continue;
    const problem = `${channel.message} messages have layout hash ${channel.layoutHash}`;
    const allowed = `${expected}, the hash of this contract`;
    throw new InputError({ file: info.file, byte: 0, problem, value: channel.layoutHash, allowed });
  }
}

/**
 * Opens a recording: reads its head and its end, but no message. If a contract is given, the file must have its layouts.
 * @throws InputError if it is not a recording, cut off, damaged, or has another layout (both hashes are named)
 */
export function openRecording(file: string, contract?: Contract): Recording {
  const info = readHead(file);
  if (contract !== undefined) checkLayout(info, contract);
  const byId = readCounts(file);
  const counts = Object.fromEntries(info.channels.map(({ id, message }) => [message, byId.get(id) ?? 0]));
  const count = [...byId.values()].reduce((sum, one) => sum + one, 0);
  return { ...info, counts, count, messages: (filter) => readMessages(info, filter) };
}

/** The generator behind `Recording.messages`. Also reads a file without an end, up to where it stops. */
export function* readMessages(info: RecordingInfo, filter: MessageFilter = {}): Generator<RecordedMessage, void, undefined> {
  const cursor = new MessageCursor(info, filter);
  try {
    while (cursor.next()) yield cursor.message;
  } finally {
    cursor.close();
  }
}
