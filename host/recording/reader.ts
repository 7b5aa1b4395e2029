import { InputError } from '../common/input-error.js';
import type { Contract } from '../contract/contract.js';
import { type MessageName, writeMessage } from '../contract/messages.js';
import { layoutHash } from './format.js';
import { type RecordingInfo, readHead } from './head.js';
import { type MessageChoice, MessageCursor, type RecordedMessage } from './message-cursor.js';
import { readCounts } from './tail.js';

export type { RecordedChannel, RecordingInfo } from './head.js';
export type { MessageChoice, RecordedMessage } from './message-cursor.js';

export interface Recording extends RecordingInfo {
  /** How many messages it holds, by kind and in all. */
  readonly counts: Readonly<Partial<Record<MessageName, number>>>;
  readonly count: number;
  /**
   * The messages in the order of their ticks. The yielded object and its `payload` (a view of the same bytes, starting
   * at a multiple of 8, one for each kind of message) are used again in each step: copy what is to be kept.
   * Memory stays constant. A chunk's checksum is checked before its first message is yielded; the checksum of the whole
   * file when all messages have been asked for and the end is reached.
   * @throws InputError with the byte offset of a damaged record, or when ticks go back.
   */
  messages(choice?: MessageChoice): Generator<RecordedMessage, void, undefined>;
}

function checkLayout(info: RecordingInfo, contract: Contract): void {
  for (const channel of info.channels) {
    const expected = layoutHash(writeMessage(contract, channel.message, info.rows));
    if (channel.layoutHash === expected) continue;
    const what = `layout hash of ${channel.message} messages`;
    throw new InputError({ file: info.file, byte: 0, what, value: channel.layoutHash, allowed: `${expected}, that of this contract` });
  }
}

/**
 * Opens a recording: reads its head and its end, no message yet. With a contract, the layouts in the file must be the contract's.
 * @throws InputError when it is no recording, cut off, damaged, or of another layout (both hashes are named).
 */
export function openRecording(file: string, contract?: Contract): Recording {
  const info = readHead(file);
  if (contract !== undefined) checkLayout(info, contract);
  const byId = readCounts(file);
  const counts = Object.fromEntries(info.channels.map(({ id, message }) => [message, byId.get(id) ?? 0]));
  const count = [...byId.values()].reduce((sum, one) => sum + one, 0);
  return { ...info, counts, count, messages: (choice) => readMessages(info, choice) };
}

/** The generator behind `Recording.messages`; works on a file without an end too, until it gets there. */
export function* readMessages(info: RecordingInfo, choice: MessageChoice = {}): Generator<RecordedMessage, void, undefined> {
  const cursor = new MessageCursor(info, choice);
  try {
    while (cursor.next()) yield cursor.message;
  } finally {
    cursor.close();
  }
}
