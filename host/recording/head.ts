import { Opcode } from '@mcap/core';
import { ROWS_MAX } from '../../shared/limits.js';
import { InputError, showValue } from '../common/input-error.js';
import { formatInstant, INSTANT_RULE, parseInstant } from '../common/instant.js';
import { RECORDING_MESSAGES, type RecordingMessage } from '../contract/messages.js';
import { ABOUT_PREFIX, layoutHash, METADATA_NAME, type MessageLayout, PLAN_KEY, RECORD_BYTES_MAX, readLayout } from './format.js';
import { type ParsedRecords, parseRecords } from './parse-records.js';
import { RecordFile } from './record-file.js';

/** One kind of message in a recording. */
export interface RecordedChannel {
  readonly id: number;
  readonly message: RecordingMessage;
  readonly layoutHash: string;
  /** Schema text as stored in the file. */
  readonly schema: string;
  readonly layout: MessageLayout;
}

/** The head of a recording: everything before its first message. */
export interface RecordingInfo {
  readonly file: string;
  readonly rows: number;
  readonly tickHz: number;
  /** Time of tick 0, ns since 1970, UTC. */
  readonly startNs: bigint;
  readonly contractHash: string;
  /** Version of latchbench that wrote it. */
  readonly version: string;
  readonly about: Readonly<Record<string, string>>;
  /** Events and requirements of the scenario that was recorded, as host/simulate writes them. */
  readonly plan?: string | undefined;
  readonly channels: readonly RecordedChannel[];
}

const HEAD_OPS: readonly number[] = [Opcode.HEADER, Opcode.METADATA, Opcode.SCHEMA, Opcode.CHANNEL];

/** Reads the records before the first chunk. */
function readHeadRecords(records: RecordFile): ParsedRecords {
  const parts: Uint8Array[] = [];
  let bytes = 0;
  for (records.next(); HEAD_OPS.includes(records.op); records.next()) {
    bytes += records.length;
    if (bytes > RECORD_BYTES_MAX) throw records.errorHere('the size of the head in bytes', bytes, `at most ${RECORD_BYTES_MAX}`);
    parts.push(records.record().slice());
  }
  return parseRecords(Buffer.concat(parts));
}

function integer(text: string | undefined, name: string, max: number): number {
  const value = Number(text);
  if (!(Number.isInteger(value) && value >= 1 && value <= max))
    throw new Error(`${name} is ${text}; it must be an integer between 1 and ${max}`);
  return value;
}

/** Recordings without indexes have no start time; their log times start at 0. */
function readStart(text = formatInstant(0n)): bigint {
  const ns = parseInstant(text);
  if (ns === undefined) throw new Error(`startTime is ${showValue(text)}; it must be ${INSTANT_RULE}`);
  return ns;
}

function readChannels(records: ParsedRecords, rows: number): RecordedChannel[] {
  const names = Object.keys(RECORDING_MESSAGES) as RecordingMessage[];
  const channels = records.Channel ?? [];
  for (const key of ['id', 'topic'] as const)
    if (new Set(channels.map((one) => one[key])).size < channels.length) throw new Error(`two channels have the same ${key}`);
  return channels.map(({ id, schemaId, topic, metadata }) => {
    const message = names.find((name) => RECORDING_MESSAGES[name].topic === topic);
    const data = records.Schema?.find((one) => one.id === schemaId)?.data;
    if (message === undefined || data === undefined) throw new Error(`channel ${topic} is unknown or has no schema`);
    const schema = new TextDecoder('utf-8', { fatal: true }).decode(data);
    const hash = metadata.get('layoutHash');
    if (hash !== layoutHash(schema)) throw new Error(`channel ${topic} has layout hash ${hash}, but its schema has ${layoutHash(schema)}`);
    const layout = readLayout(schema);
    if (layout.rows !== rows) throw new Error(`channel ${topic} has ${layout.rows} rows, but the recording has ${rows}`);
    return { id, message, layoutHash: hash, schema, layout };
  });
}

const TICK_HZ_MAX = 1e6;

function readInfo(file: string, records: ParsedRecords): RecordingInfo {
  const stored = records.Metadata?.find((one) => one.name === METADATA_NAME)?.metadata;
  if (stored === undefined) throw new Error(`the file has no metadata record "${METADATA_NAME}"`);
  const rows = integer(stored.get('rows'), 'rows', ROWS_MAX);
  const channels = readChannels(records, rows);
  if (channels.length === 0) throw new Error('the file has no channel');
  const about = [...stored].filter(([key]) => key.startsWith(ABOUT_PREFIX)).map(([key, text]) => [key.slice(ABOUT_PREFIX.length), text]);
  return {
    file,
    rows,
    tickHz: integer(stored.get('tickHz'), 'tickHz', TICK_HZ_MAX),
    startNs: readStart(stored.get('startTime')),
    contractHash: stored.get('contractHash') ?? '',
    version: stored.get('version') ?? '',
    about: Object.fromEntries(about),
    plan: stored.get(PLAN_KEY),
    channels,
  };
}

/** An InputError about an MCAP file that latchbench did not write. */
export const notARecording = (file: string, byte: number, error: unknown): InputError =>
  new InputError({ file, byte, problem: `this is not a latchbench recording: ${(error as Error).message}` });

/**
 * Reads the head of a recording; its end may be missing or damaged.
 * @throws InputError if the head can't be read
 */
export function readHead(file: string): RecordingInfo {
  const records = new RecordFile(file);
  try {
    return readInfo(file, readHeadRecords(records));
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw notARecording(file, records.position, error);
  } finally {
    records.close();
  }
}
