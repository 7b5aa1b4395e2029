import { crc32 } from 'node:zlib';
import { McapRecordBuilder, Opcode } from '@mcap/core';
import { toolVersion } from '../common/version.js';
import { AtomicFile } from '../common/write-atomic.js';
import type { Contract } from '../contract/contract.js';
import { MESSAGES, type MessageName, writeMessage } from '../contract/messages.js';
import {
  ABOUT_PREFIX,
  CDR_HEADER,
  CDR_HEADER_BYTES,
  CHUNK_BYTES,
  COMPRESSION,
  compress,
  layoutHash,
  MESSAGE_ENCODING,
  MESSAGE_HEAD_BYTES,
  METADATA_NAME,
  RECORD_BYTES_MAX,
  RECORD_HEAD_BYTES,
  readLayout,
  SCHEMA_ENCODING,
  TWO_TO_32,
  timeOfTick,
} from './format.js';

/** What a new recording is made with. */
export interface RecordingOptions {
  readonly contract: Contract;
  readonly rows: number;
  readonly tickHz: number;
  /** Kinds of messages it may hold; each gets a schema and a channel. */
  readonly messages: readonly MessageName[];
  /** Free text about it: title, source, licence, … */
  readonly about?: Readonly<Record<string, string>>;
}

/** The same with the schemas as text: recovery keeps those of the damaged recording. */
export interface RecordingHead {
  readonly rows: number;
  readonly tickHz: number;
  readonly contractHash: string;
  readonly about: Readonly<Record<string, string>>;
  readonly schemas: readonly { readonly message: MessageName; readonly schema: string }[];
}

interface Channel {
  readonly id: number;
  readonly message: MessageName;
  readonly schema: string;
  /** Size of a payload, bytes. */
  readonly bytes: number;
  count: bigint;
  lastTick: number;
}

/** On our messages, level 1 takes half the time of level 3 and compresses as well. */
const ZSTD_LEVEL = 1;
const TICKS_MAX = TWO_TO_32;

/**
 * Writes a recording: an MCAP file without message indexes, in zstd chunks of at most 64 KiB or 1 s of log time. A chunk
 * is on disk before the next one starts. Until `close` the file is named `<path>.partial`; after an interruption it can be
 * recovered up to its last chunk. The same calls write the same bytes.
 */
export class RecordingWriter {
  readonly #file: AtomicFile;
  readonly #tickHz: number;
  readonly #channels: Partial<Record<MessageName, Channel>> = {};
  readonly #builder = new McapRecordBuilder();
  readonly #chunk = new Uint8Array(CHUNK_BYTES);
  readonly #view = new DataView(this.#chunk.buffer);
  #used = 0;
  #chunkTick = 0;
  #firstTick = -1;
  #lastTick = -1;
  #chunks = 0;
  #position = 0;
  #dataCrc = 0;

  /** @throws InputError if the folder of `path` can't be written to */
  static create(path: string, options: RecordingOptions): RecordingWriter {
    const { contract, rows, tickHz, messages, about = {} } = options;
    const schemas = messages.map((message) => ({ message, schema: writeMessage(contract, message, rows) }));
    return new RecordingWriter(path, { rows, tickHz, contractHash: contract.hash, about, schemas });
  }

  constructor(path: string, head: RecordingHead) {
    this.#tickHz = head.tickHz;
    for (const [index, { message, schema }] of head.schemas.entries()) {
      this.#channels[message] = { id: index + 1, message, schema, bytes: readLayout(schema).bytes, count: 0n, lastTick: -1 };
    }
    this.#file = new AtomicFile(path);
    try {
      this.#writeHead(head);
    } catch (error) {
      this.abandon();
      throw error;
    }
  }

  /** Path of the file until it is closed. */
  get path(): string {
    return this.#file.path;
  }

  /**
   * Adds a message: the bank's record followed by the rows', without CDR header. The bytes are copied. Ticks must not
   * decrease, and a tick has at most one message of each kind.
   * @throws Error if that, the size or the kind of message is wrong: a bug of the caller
   */
  write(message: MessageName, tick: number, payload: Uint8Array): void {
    const channel = this.#channels[message];
    if (channel === undefined) throw new Error(`the recording was created without ${message} messages`);
    if (payload.length !== channel.bytes)
      throw new Error(`the ${message} payload has ${payload.length} bytes; it must have ${channel.bytes}`);
    const inOrder = Number.isInteger(tick) && tick >= this.#lastTick && tick > channel.lastTick && tick < TICKS_MAX;
    if (!inOrder) throw new Error(`the ${message} tick is ${tick}, after tick ${Math.max(this.#lastTick, channel.lastTick)}`);
    const size = RECORD_HEAD_BYTES + MESSAGE_HEAD_BYTES + CDR_HEADER_BYTES + payload.length;
    const full = this.#used + size > CHUNK_BYTES || tick - this.#chunkTick >= this.#tickHz;
    if (full && this.#used > 0) this.#writeChunk();
    if (this.#used === 0) this.#chunkTick = tick;
    if (this.#firstTick < 0) this.#firstTick = tick;
    this.#putMessage(channel, tick, payload);
    this.#used += size;
    channel.count++;
    channel.lastTick = tick;
    this.#lastTick = tick;
  }

  /** Writes the rest and renames the file to its path. */
  close(): void {
    try {
      if (this.#used > 0) this.#writeChunk();
      this.#writeEnd();
    } catch (error) {
      this.abandon();
      throw error;
    }
    this.#file.commit();
  }

  /** Removes the unfinished file. */
  abandon(): void {
    this.#file.abandon();
  }

  // Not McapChunkBuilder: it turns each number into a BigInt and takes ten times as long.
  #putMessage(channel: Channel, tick: number, payload: Uint8Array): void {
    const view = this.#view;
    const time = timeOfTick(tick, this.#tickHz);
    const timeHigh = Math.floor(time / TWO_TO_32);
    const timeLow = time - timeHigh * TWO_TO_32;
    let at = this.#used;
    view.setUint8(at, Opcode.MESSAGE);
    view.setUint32(at + 1, MESSAGE_HEAD_BYTES + CDR_HEADER_BYTES + payload.length, true);
    view.setUint32(at + 5, 0, true);
    at += RECORD_HEAD_BYTES;
    view.setUint16(at, channel.id, true);
    view.setUint32(at + 2, tick, true);
    view.setUint32(at + 6, timeLow, true);
    view.setUint32(at + 10, timeHigh, true);
    view.setUint32(at + 14, timeLow, true);
    view.setUint32(at + 18, timeHigh, true);
    at += MESSAGE_HEAD_BYTES;
    view.setUint32(at, CDR_HEADER, true);
    this.#chunk.set(payload, at + CDR_HEADER_BYTES);
  }

  #writeHead(head: RecordingHead): void {
    const { rows, tickHz, contractHash, about } = head;
    const metadata = new Map(Object.entries({ contractHash, rows: String(rows), tickHz: String(tickHz), version: toolVersion() }));
    for (const [key, text] of Object.entries(about)) metadata.set(ABOUT_PREFIX + key, text);
    this.#builder.writeMagic();
    this.#builder.writeHeader({ profile: '', library: `latchbench ${toolVersion()}` });
    this.#builder.writeMetadata({ name: METADATA_NAME, metadata });
    this.#putChannels();
    if (this.#builder.length > RECORD_BYTES_MAX) throw new Error('the text about the recording is too long');
    this.#flush();
    this.#file.sync();
  }

  #putChannels(): void {
    for (const { id, message, schema } of Object.values(this.#channels)) {
      const { topic, type } = MESSAGES[message];
      this.#builder.writeSchema({ id, name: type, encoding: SCHEMA_ENCODING, data: Buffer.from(schema) });
      const metadata = new Map([['layoutHash', layoutHash(schema)]]);
      this.#builder.writeChannel({ id, schemaId: id, topic, messageEncoding: MESSAGE_ENCODING, metadata });
    }
  }

  #writeChunk(): void {
    const bytes = this.#chunk.subarray(0, this.#used);
    this.#builder.writeChunk({
      messageStartTime: this.#nanoseconds(this.#chunkTick),
      messageEndTime: this.#nanoseconds(this.#lastTick),
      uncompressedSize: BigInt(bytes.length),
      uncompressedCrc: crc32(bytes),
      compression: COMPRESSION,
      records: compress(bytes, ZSTD_LEVEL),
    });
    this.#flush();
    this.#file.sync();
    this.#chunks++;
    this.#used = 0;
  }

  /** Writes the end of data, the summary (schemas and channels again, message counts) and the footer. A chunk index would need message indexes. */
  #writeEnd(): void {
    this.#builder.writeDataEnd({ dataSectionCrc: this.#dataCrc });
    this.#flush();
    const summaryStart = BigInt(this.#position);
    const channels = Object.values(this.#channels);
    this.#putChannels();
    this.#builder.writeStatistics({
      messageCount: channels.reduce((sum, channel) => sum + channel.count, 0n),
      schemaCount: channels.length,
      channelCount: channels.length,
      attachmentCount: 0,
      metadataCount: 1,
      chunkCount: this.#chunks,
      messageStartTime: this.#nanoseconds(this.#firstTick),
      messageEndTime: this.#nanoseconds(this.#lastTick),
      channelMessageCounts: new Map(channels.map(({ id, count }) => [id, count])),
    });
    this.#builder.writeFooter({ summaryStart, summaryOffsetStart: 0n, summaryCrc: 0 });
    // The checksum covers the summary and the footer up to itself: all but the last 4 bytes.
    const covered = this.#builder.buffer.slice(0, -4);
    this.#file.write(covered);
    const crc = Buffer.alloc(4);
    crc.writeUInt32LE(crc32(covered));
    this.#file.write(crc);
    this.#builder.reset();
    this.#builder.writeMagic();
    this.#flush();
  }

  #flush(): void {
    const bytes = this.#builder.buffer;
    this.#file.write(bytes);
    this.#dataCrc = crc32(bytes, this.#dataCrc);
    this.#position += bytes.length;
    this.#builder.reset();
  }

  #nanoseconds(tick: number): bigint {
    return BigInt(tick < 0 ? 0 : timeOfTick(tick, this.#tickHz));
  }
}
