import { Opcode } from '@mcap/core';
import {
  CDR_HEADER,
  CDR_HEADER_BYTES,
  CHUNK_BYTES,
  INDEX_ENTRY_BYTES,
  MESSAGE_HEAD_BYTES,
  RECORD_HEAD_BYTES,
  type StartTime,
  timeOfTick,
} from './format.js';

/** channel id (2), length of the array (4); then an entry for each message: MCAP specification, "Message Index". */
const INDEX_HEAD_BYTES = RECORD_HEAD_BYTES + 6;

/** Bytes of a message record with this payload. */
export const messageRecordBytes = (payloadBytes: number): number =>
  RECORD_HEAD_BYTES + MESSAGE_HEAD_BYTES + CDR_HEADER_BYTES + payloadBytes;

/** The MessageIndex record of one channel in the present chunk. */
export class ChannelIndex {
  readonly #bytes: Uint8Array;
  readonly #view: DataView;
  #end = INDEX_HEAD_BYTES;

  /** @param payloadBytes size of each of the channel's messages */
  constructor(
    readonly id: number,
    payloadBytes: number,
  ) {
    this.#bytes = new Uint8Array(INDEX_HEAD_BYTES + INDEX_ENTRY_BYTES * Math.floor(CHUNK_BYTES / messageRecordBytes(payloadBytes)));
    this.#view = new DataView(this.#bytes.buffer);
    this.#view.setUint8(0, Opcode.MESSAGE_INDEX);
    this.#view.setUint16(RECORD_HEAD_BYTES, id, true);
  }

  get isEmpty(): boolean {
    return this.#end === INDEX_HEAD_BYTES;
  }

  /** Adds a message. @param offset of its record in the chunk */
  add(start: StartTime, timeNs: number, offset: number): void {
    start.write(this.#view, this.#end, timeNs);
    this.#view.setUint32(this.#end + 8, offset, true);
    this.#end += INDEX_ENTRY_BYTES;
  }

  /** The complete record, as a view that is valid until the next message. */
  record(): Uint8Array {
    this.#view.setUint32(1, this.#end - RECORD_HEAD_BYTES, true);
    this.#view.setUint32(RECORD_HEAD_BYTES + 2, this.#end - INDEX_HEAD_BYTES, true);
    return this.#bytes.subarray(0, this.#end);
  }

  clear(): void {
    this.#end = INDEX_HEAD_BYTES;
  }
}

/** The message records of the present chunk. */
export class ChunkBuffer {
  readonly #bytes = new Uint8Array(CHUNK_BYTES);
  readonly #view = new DataView(this.#bytes.buffer);
  readonly #start: StartTime;
  readonly #tickHz: number;
  #used = 0;
  firstTick = 0;
  lastTick = 0;

  constructor(start: StartTime, tickHz: number) {
    this.#start = start;
    this.#tickHz = tickHz;
  }

  get bytes(): Uint8Array {
    return this.#bytes.subarray(0, this.#used);
  }

  get isEmpty(): boolean {
    return this.#used === 0;
  }

  /** Tells whether the chunk ends before this message: it has no room left, or a second has passed. */
  endsBefore(tick: number, payloadBytes: number): boolean {
    return !this.isEmpty && (this.#used + messageRecordBytes(payloadBytes) > CHUNK_BYTES || tick - this.firstTick >= this.#tickHz);
  }

  // Not McapChunkBuilder: it turns each number into a BigInt and takes ten times as long.
  add(index: ChannelIndex, tick: number, payload: Uint8Array): void {
    const view = this.#view;
    const time = timeOfTick(tick, this.#tickHz);
    if (this.isEmpty) this.firstTick = tick;
    this.lastTick = tick;
    index.add(this.#start, time, this.#used);
    view.setUint8(this.#used, Opcode.MESSAGE);
    view.setUint32(this.#used + 1, MESSAGE_HEAD_BYTES + CDR_HEADER_BYTES + payload.length, true);
    view.setUint32(this.#used + 5, 0, true);
    const at = this.#used + RECORD_HEAD_BYTES;
    view.setUint16(at, index.id, true);
    view.setUint32(at + 2, tick, true);
    this.#start.write(view, at + 6, time);
    this.#start.write(view, at + 14, time);
    view.setUint32(at + MESSAGE_HEAD_BYTES, CDR_HEADER, true);
    this.#bytes.set(payload, at + MESSAGE_HEAD_BYTES + CDR_HEADER_BYTES);
    this.#used += messageRecordBytes(payload.length);
  }

  clear(): void {
    this.#used = 0;
  }
}
