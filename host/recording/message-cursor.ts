import { crc32 } from 'node:zlib';
import { Opcode } from '@mcap/core';
import type { InputError } from '../common/input-error.js';
import type { RecordingMessage } from '../contract/messages.js';
import {
  CDR_HEADER,
  CDR_HEADER_BYTES,
  COMPRESSION,
  decompress,
  INDEX_ENTRY_BYTES,
  MESSAGE_HEAD_BYTES,
  RECORD_BYTES_MAX,
  RECORD_HEAD_BYTES,
  StartTime,
  TWO_TO_32,
  timeOfTick,
} from './format.js';
import type { RecordingInfo } from './head.js';
import { RecordFile } from './record-file.js';

/** One message. The object and its payload are reused for the next message of the same kind. */
export interface RecordedMessage {
  readonly message: RecordingMessage;
  readonly tick: number;
  /** The bank's record followed by the rows', without CDR header. */
  readonly payload: Uint8Array;
}

/** Which messages to read. Ticks are inclusive; chunks before the first tick are not unpacked. */
export interface MessageFilter {
  readonly messages?: readonly RecordingMessage[] | undefined;
  readonly fromTick?: number | undefined;
  readonly toTick?: number | undefined;
}

interface Slot {
  readonly isSelected: boolean;
  /** Length of the message record's content. */
  readonly length: number;
  /** Offset that the payload is copied to. */
  readonly at: number;
  readonly bytes: number;
  lastTick: number;
  readonly message: { message: RecordingMessage; tick: number; payload: Uint8Array };
}

const PAYLOAD_ALIGNMENT = 8;

/** start time, end time, uncompressed size (8 each), checksum (4), length of the compression's name (4): MCAP specification, "Chunk". */
const CHUNK_NAME_AT = 32;
const CHUNK_DATA_AT = CHUNK_NAME_AT + COMPRESSION.length + 8;

const DATA_END_BYTES = 4;

/** Records that may lie between chunks; their bytes count only for the checksum of the file. */
const IGNORED_OPS: readonly number[] = [Opcode.HEADER, Opcode.SCHEMA, Opcode.CHANNEL, Opcode.METADATA];

const hex = (value: number): string => value.toString(16).padStart(8, '0');

/** A u64 as a number. Above 2^53 it loses digits, and then fails the comparison that it is read for. */
const readU64 = (view: DataView, at: number): number => view.getUint32(at, true) + TWO_TO_32 * view.getUint32(at + 4, true);

/**
 * Steps from message to message without allocating. Payloads and the unpacked chunk share one buffer, so that
 * `copyWithin` moves a payload to its fixed, aligned place: measured, that takes a third of the time of a `subarray`.
 */
export class MessageCursor {
  message: RecordedMessage;
  readonly #records: RecordFile;
  readonly #tickHz: number;
  readonly #start: StartTime;
  readonly #fromTick: number;
  readonly #toTick: number;
  readonly #slots: Slot[] = [];
  readonly #bytes: Uint8Array;
  readonly #view: DataView;
  readonly #chunkAt: number;
  #at = 0;
  #end = 0;
  #lastTick = 0;
  #isSkipped = false;

  /** @throws InputError if the file can't be opened */
  constructor(info: RecordingInfo, filter: MessageFilter) {
    this.#tickHz = info.tickHz;
    this.#start = new StartTime(info.startNs);
    this.#fromTick = filter.fromTick ?? 0;
    this.#toTick = filter.toTick ?? Number.POSITIVE_INFINITY;
    const aligned = (bytes: number): number => Math.ceil(bytes / PAYLOAD_ALIGNMENT) * PAYLOAD_ALIGNMENT;
    this.#chunkAt = info.channels.reduce((sum, { layout }) => sum + aligned(layout.bytes), 0);
    this.#bytes = new Uint8Array(this.#chunkAt + RECORD_BYTES_MAX);
    this.#view = new DataView(this.#bytes.buffer);
    let at = 0;
    for (const { id, message, layout } of info.channels) {
      const payload = this.#bytes.subarray(at, at + layout.bytes);
      const isSelected = filter.messages?.includes(message) ?? true;
      const length = MESSAGE_HEAD_BYTES + CDR_HEADER_BYTES + layout.bytes;
      this.#slots[id] = { isSelected, length, at, bytes: layout.bytes, lastTick: -1, message: { message, tick: -1, payload } };
      at += aligned(layout.bytes);
    }
    this.message = { message: 'input', tick: -1, payload: this.#bytes.subarray(0, 0) };
    this.#records = new RecordFile(info.file);
  }

  close(): void {
    this.#records.close();
  }

  /** Goes to the next selected message. Returns false after the last one. @throws InputError if the file is damaged */
  next(): boolean {
    for (;;) {
      if (this.#at === this.#end && !this.#nextChunk()) return false;
      const slot = this.#readMessage();
      if (slot.message.tick > this.#toTick) return false;
      if (!slot.isSelected || slot.message.tick < this.#fromTick) continue;
      this.#bytes.copyWithin(slot.at, this.#at - slot.bytes, this.#at);
      this.message = slot.message;
      return true;
    }
  }

  /** Reads the head of a message record and steps over the record. */
  #readMessage(): Slot {
    const view = this.#view;
    const at = this.#at;
    const left = this.#end - at;
    const length = left < RECORD_HEAD_BYTES ? -1 : readU64(view, at + 1);
    if (length < MESSAGE_HEAD_BYTES || length > left - RECORD_HEAD_BYTES)
      throw this.#error('the record length in a chunk', length, `at most ${left}`);
    const op = view.getUint8(at);
    if (op !== Opcode.MESSAGE) throw this.#error('the record kind in a chunk', op, '5, a message');
    const id = view.getUint16(at + RECORD_HEAD_BYTES, true);
    const slot = this.#slots[id];
    if (slot === undefined) throw this.#error('the channel of a message', id, 'declared before the first message');
    if (length !== slot.length) throw this.#error('the message length', length, `${slot.length}`);
    const tick = view.getUint32(at + 11, true);
    const time = this.#start.read(view, at + 15);
    if (time !== timeOfTick(tick, this.#tickHz))
      throw this.#error(`the time of tick ${tick} after the start`, time, `${timeOfTick(tick, this.#tickHz)} ns`);
    if (view.getUint32(at + 31, true) !== CDR_HEADER)
      throw this.#error('the CDR header', view.getUint32(at + 31, true), `${CDR_HEADER}, little-endian plain CDR`);
    if (tick < this.#lastTick || tick === slot.lastTick)
      throw this.#error(`the tick of an ${slot.message.message} message`, tick, `later than ${this.#lastTick}`);
    this.#lastTick = tick;
    slot.lastTick = tick;
    slot.message.tick = tick;
    this.#at = at + RECORD_HEAD_BYTES + length;
    return slot;
  }

  /** Unpacks the next chunk that may hold a selected tick. Returns false at the end of the data. */
  #nextChunk(): boolean {
    const records = this.#records;
    for (;;) {
      records.next();
      if (records.op === Opcode.CHUNK) {
        this.#isSkipped = !this.#isChunkSelected();
        if (!this.#isSkipped) this.#unpack();
        if (this.#at < this.#end) return true;
      } else if (records.op === Opcode.MESSAGE_INDEX) {
        if (this.#isSkipped) this.#checkSkipped();
      } else if (records.op === Opcode.DATA_END) {
        this.#checkEnd();
        return false;
      } else if (!IGNORED_OPS.includes(records.op)) {
        throw records.errorHere('the record kind', records.op, 'a header, metadata, schema, channel, chunk or end of data');
      }
    }
  }

  #isChunkSelected(): boolean {
    const { view, at, length } = this.#records;
    return this.#fromTick === 0 || length < CHUNK_DATA_AT || this.#start.read(view, at + 8) >= timeOfTick(this.#fromTick, this.#tickHz);
  }

  /**
   * Checks that a message index has no later time than its skipped chunk claims: if only a part of the file is read, no checksum covers
   * the chunk's head, and a wrong time there would hide messages.
   */
  #checkSkipped(): void {
    const { view, at, length } = this.#records;
    const firstNs = timeOfTick(this.#fromTick, this.#tickHz);
    // The index ends with the time (8 bytes) and the place (8) of the channel's last message.
    const lastNs = length < INDEX_ENTRY_BYTES ? Number.NaN : this.#start.read(view, at + length - INDEX_ENTRY_BYTES);
    if (!(lastNs < firstNs))
      throw this.#error('the last time in the index of a skipped chunk', lastNs, `before ${firstNs} ns, as the chunk says`);
  }

  #unpack(): void {
    const { view, at, length, window } = this.#records;
    if (length < CHUNK_DATA_AT) throw this.#error('the chunk length', length, `at least ${CHUNK_DATA_AT}`);
    const size = readU64(view, at + 16);
    if (size > RECORD_BYTES_MAX) throw this.#error('the unpacked size of a chunk', size, `at most ${RECORD_BYTES_MAX} bytes`);
    const nameLength = Math.min(view.getUint32(at + 28, true), length - CHUNK_NAME_AT);
    const compression = Buffer.from(window.buffer, at + CHUNK_NAME_AT, nameLength).toString('latin1');
    if (compression !== COMPRESSION) throw this.#error('the compression', compression, COMPRESSION);
    const packed = readU64(view, at + CHUNK_NAME_AT + COMPRESSION.length);
    if (packed !== length - CHUNK_DATA_AT) throw this.#error('the packed size of a chunk', packed, `${length - CHUNK_DATA_AT} bytes`);
    const bytes = this.#decompress(window.subarray(at + CHUNK_DATA_AT, at + length), size);
    const stored = view.getUint32(at + 24, true);
    const computed = crc32(bytes);
    if (computed !== stored) throw this.#error('the checksum of a chunk', hex(computed), hex(stored));
    this.#bytes.set(bytes, this.#chunkAt);
    this.#at = this.#chunkAt;
    this.#end = this.#chunkAt + size;
  }

  #decompress(packed: Uint8Array, size: number): Uint8Array {
    try {
      const bytes = decompress(packed, size);
      if (bytes.length === size) return bytes;
    } catch {
      // Reported below: the library's message has no position.
    }
    throw this.#error('the unpacked size of a chunk', size, 'the size of its unpacked zstd data');
  }

  #checkEnd(): void {
    const { view, at, length, crc } = this.#records;
    if (length !== DATA_END_BYTES) throw this.#error('the length of the end of data', length, `${DATA_END_BYTES}`);
    const stored = view.getUint32(at, true);
    if (stored !== crc) throw this.#error('the checksum of the file', hex(crc), hex(stored));
  }

  #error(name: string, value: unknown, allowed: string): InputError {
    return this.#records.errorHere(name, value, allowed);
  }
}
