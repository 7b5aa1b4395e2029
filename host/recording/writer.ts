import { crc32 } from 'node:zlib';
import { McapRecordBuilder, Opcode } from '@mcap/core';
import { UNITS } from '../../shared/units.js';
import { formatInstant } from '../common/instant.js';
import { shellWord } from '../common/shell-word.js';
import { toolVersion } from '../common/version.js';
import { AtomicFile } from '../common/write-atomic.js';
import type { Contract } from '../contract/contract.js';
import { RECORDING_MESSAGES, type RecordingMessage, snakeCase, writeMessage } from '../contract/messages.js';
import { ChannelIndex, ChunkBuffer } from './chunk-buffer.js';
import {
  ABOUT_PREFIX,
  COMPRESSION,
  compress,
  layoutHash,
  MESSAGE_ENCODING,
  METADATA_NAME,
  type MessageLayout,
  PLACEHOLDER_START_NS,
  PLAN_KEY,
  PROFILE,
  RECORD_BYTES_MAX,
  readLayout,
  SCHEMA_ENCODING,
  StartTime,
  TWO_TO_32,
  timeOfTick,
} from './format.js';

/** What a new recording is made with. */
export interface RecordingOptions {
  readonly contract: Contract;
  readonly rows: number;
  readonly tickHz: number;
  /** Time of tick 0 in ns since 1970, UTC; a placeholder if it is not known. */
  readonly startNs?: bigint;
  /** Kinds of messages it may hold; each gets a schema and a channel. */
  readonly messages: readonly RecordingMessage[];
  /** Free text about it: title, source, licence, … */
  readonly about?: Readonly<Record<string, string>>;
  /** Events and requirements of the scenario that is recorded. */
  readonly plan?: string | undefined;
}

/** The same with the schemas as text: recovery keeps those of the damaged recording. */
export interface RecordingHead {
  readonly rows: number;
  readonly tickHz: number;
  readonly startNs: bigint;
  readonly contractHash: string;
  readonly about: Readonly<Record<string, string>>;
  readonly plan?: string | undefined;
  readonly schemas: readonly { readonly message: RecordingMessage; readonly schema: string }[];
}

interface Channel {
  readonly id: number;
  readonly message: RecordingMessage;
  readonly schema: string;
  readonly layout: MessageLayout;
  readonly index: ChannelIndex;
  count: bigint;
  lastTick: number;
}

/** On our messages, level 1 takes half the time of level 3 and compresses as well. */
const ZSTD_LEVEL = 1;
const TICKS_MAX = TWO_TO_32;

/** Metadata of a channel: hash of its layout, and the unit of each field that has one, those of a row once for all. */
function channelMetadata({ schema, layout }: Channel): Map<string, string> {
  const metadata = new Map([['layoutHash', layoutHash(schema)]]);
  for (const [prefix, record] of [
    ['unit.', layout.bank],
    ['unit.row.', layout.row],
  ] as const) {
    for (const { name, unit } of record.fields) {
      const { symbol } = UNITS[unit];
      if (symbol !== '') metadata.set(prefix + snakeCase(name), symbol);
    }
  }
  return metadata;
}

/**
 * Writes a recording: an indexed MCAP file, in zstd chunks of at most 64 KiB or 1 s of log time. A chunk is on disk with its message
 * indexes before the next one starts. Until `close` the file is named `<path>.partial`; after an interruption it can be recovered up
 * to its last chunk. The same calls write the same bytes.
 */
export class RecordingWriter {
  readonly #file: AtomicFile;
  readonly #tickHz: number;
  readonly #start: StartTime;
  readonly #channels: Partial<Record<RecordingMessage, Channel>> = {};
  readonly #chunk: ChunkBuffer;
  readonly #builder = new McapRecordBuilder();
  readonly #chunkIndexes = new McapRecordBuilder();
  #metadataIndex = { offset: 0n, length: 0n, name: METADATA_NAME };
  #firstTick = -1;
  #lastTick = -1;
  #chunks = 0;
  #position = 0;
  /** CRC-32 of the section that is being written: the data, then the summary. */
  #crc = 0;

  /** @throws InputError if the folder of `path` can't be written to */
  static create(path: string, options: RecordingOptions): RecordingWriter {
    const { contract, rows, tickHz, startNs = PLACEHOLDER_START_NS, messages, about = {}, plan } = options;
    const schemas = messages.map((message) => ({ message, schema: writeMessage(contract, message, rows) }));
    return new RecordingWriter(path, { rows, tickHz, startNs, contractHash: contract.hash, about, plan, schemas });
  }

  constructor(path: string, head: RecordingHead) {
    this.#tickHz = head.tickHz;
    this.#start = new StartTime(head.startNs);
    this.#chunk = new ChunkBuffer(this.#start, head.tickHz);
    for (const [at, { message, schema }] of head.schemas.entries()) {
      const layout = readLayout(schema);
      const index = new ChannelIndex(at + 1, layout.bytes);
      this.#channels[message] = { id: at + 1, message, schema, layout, index, count: 0n, lastTick: -1 };
    }
    this.#file = new AtomicFile(
      path,
      (partial) => `\`latchbench recover ${shellWord(partial)} -o FILE\` saves what was recorded until then`,
    );
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
  write(message: RecordingMessage, tick: number, payload: Uint8Array): void {
    const channel = this.#channels[message];
    if (channel === undefined) throw new Error(`the recording was created without ${message} messages`);
    const { bytes } = channel.layout;
    if (payload.length !== bytes) throw new Error(`the ${message} payload has ${payload.length} bytes; it must have ${bytes}`);
    const inOrder = Number.isInteger(tick) && tick >= this.#lastTick && tick > channel.lastTick && tick < TICKS_MAX;
    if (!inOrder) throw new Error(`the ${message} tick is ${tick}, after tick ${Math.max(this.#lastTick, channel.lastTick)}`);
    if (this.#chunk.endsBefore(tick, bytes)) this.#writeChunk();
    this.#chunk.add(channel.index, tick, payload);
    if (this.#firstTick < 0) this.#firstTick = tick;
    channel.count++;
    channel.lastTick = tick;
    this.#lastTick = tick;
  }

  /** Writes the rest and renames the file to its path. */
  close(): void {
    try {
      if (!this.#chunk.isEmpty) this.#writeChunk();
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

  #writeHead({ rows, tickHz, startNs, contractHash, about, plan }: RecordingHead): void {
    const startTime = formatInstant(startNs);
    const version = toolVersion();
    const metadata = new Map(Object.entries({ contractHash, rows: String(rows), tickHz: String(tickHz), startTime, version }));
    for (const [key, text] of Object.entries(about)) metadata.set(ABOUT_PREFIX + key, text);
    if (plan !== undefined) metadata.set(PLAN_KEY, plan);
    this.#builder.writeMagic();
    this.#builder.writeHeader({ profile: PROFILE, library: `latchbench ${version}` });
    const offset = BigInt(this.#builder.length);
    this.#builder.writeMetadata({ name: METADATA_NAME, metadata });
    this.#metadataIndex = { offset, length: BigInt(this.#builder.length) - offset, name: METADATA_NAME };
    this.#putSchemas();
    this.#putChannels();
    if (this.#builder.length > RECORD_BYTES_MAX) throw new Error('the text about the recording is too long');
    this.#flush();
    this.#file.sync();
  }

  #putSchemas(): void {
    for (const { id, message, schema } of Object.values(this.#channels))
      this.#builder.writeSchema({ id, name: RECORDING_MESSAGES[message].type, encoding: SCHEMA_ENCODING, data: Buffer.from(schema) });
  }

  #putChannels(): void {
    for (const channel of Object.values(this.#channels)) {
      const { topic } = RECORDING_MESSAGES[channel.message];
      const { id } = channel;
      this.#builder.writeChannel({ id, schemaId: id, topic, messageEncoding: MESSAGE_ENCODING, metadata: channelMetadata(channel) });
    }
  }

  #writeChunk(): void {
    const { bytes, firstTick, lastTick } = this.#chunk;
    const times = { messageStartTime: this.#logTime(firstTick), messageEndTime: this.#logTime(lastTick) };
    const records = compress(bytes, ZSTD_LEVEL);
    const size = { compression: COMPRESSION, uncompressedSize: BigInt(bytes.length) };
    this.#builder.writeChunk({ ...times, ...size, uncompressedCrc: crc32(bytes), records });
    const place = { chunkStartOffset: BigInt(this.#position), chunkLength: BigInt(this.#builder.length) };
    this.#flush();
    const indexAt = this.#position;
    const messageIndexOffsets = this.#writeMessageIndexes();
    const messageIndexLength = BigInt(this.#position - indexAt);
    const compressedSize = BigInt(records.length);
    this.#chunkIndexes.writeChunkIndex({ ...times, ...size, ...place, messageIndexOffsets, messageIndexLength, compressedSize });
    this.#file.sync();
    this.#chunks++;
    this.#chunk.clear();
  }

  /** Returns the offset in the file of each channel's index. */
  #writeMessageIndexes(): Map<number, bigint> {
    const offsets = new Map<number, bigint>();
    for (const { id, index } of Object.values(this.#channels)) {
      if (index.isEmpty) continue;
      offsets.set(id, BigInt(this.#position));
      this.#append(index.record());
      index.clear();
    }
    return offsets;
  }

  /** Writes the end of data, the summary, the places of its groups, and the footer. */
  #writeEnd(): void {
    this.#builder.writeDataEnd({ dataSectionCrc: this.#crc });
    this.#flush();
    this.#crc = 0;
    const summaryStart = BigInt(this.#position);
    const groups = [
      this.#writeGroup(Opcode.SCHEMA, () => this.#putSchemas()),
      this.#writeGroup(Opcode.CHANNEL, () => this.#putChannels()),
      // Before the chunk indexes, which can be long: openRecording reads up to here.
      this.#writeGroup(Opcode.STATISTICS, () => this.#putStatistics()),
      this.#writeGroup(Opcode.CHUNK_INDEX, () => this.#append(this.#chunkIndexes.buffer)),
      this.#writeGroup(Opcode.METADATA_INDEX, () => this.#builder.writeMetadataIndex(this.#metadataIndex)),
    ];
    const summaryOffsetStart = BigInt(this.#position);
    for (const group of groups) if (group.groupLength > 0n) this.#builder.writeSummaryOffset(group);
    this.#builder.writeFooter({ summaryStart, summaryOffsetStart, summaryCrc: 0 });
    // The checksum covers the summary and the footer up to itself: all but the last 4 bytes.
    this.#append(this.#builder.buffer.subarray(0, -4));
    this.#builder.reset();
    const crc = Buffer.alloc(4);
    crc.writeUInt32LE(this.#crc);
    this.#file.write(crc);
    this.#builder.writeMagic();
    this.#flush();
  }

  #writeGroup(groupOpcode: Opcode, put: () => void): { groupOpcode: Opcode; groupStart: bigint; groupLength: bigint } {
    const start = this.#position;
    put();
    this.#flush();
    return { groupOpcode, groupStart: BigInt(start), groupLength: BigInt(this.#position - start) };
  }

  #putStatistics(): void {
    const channels = Object.values(this.#channels);
    this.#builder.writeStatistics({
      messageCount: channels.reduce((sum, channel) => sum + channel.count, 0n),
      schemaCount: channels.length,
      channelCount: channels.length,
      attachmentCount: 0,
      metadataCount: 1,
      chunkCount: this.#chunks,
      messageStartTime: this.#logTime(this.#firstTick),
      messageEndTime: this.#logTime(this.#lastTick),
      channelMessageCounts: new Map(channels.map(({ id, count }) => [id, count])),
    });
  }

  #flush(): void {
    this.#append(this.#builder.buffer);
    this.#builder.reset();
  }

  #append(bytes: Uint8Array): void {
    this.#file.write(bytes);
    this.#crc = crc32(bytes, this.#crc);
    this.#position += bytes.length;
  }

  /** Log time of a tick; 0 if there is none. */
  #logTime(tick: number): bigint {
    return tick < 0 ? 0n : this.#start.ns + BigInt(timeOfTick(tick, this.#tickHz));
  }
}
