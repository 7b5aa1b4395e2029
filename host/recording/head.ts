import { Opcode } from '@mcap/core';
import { ROWS_MAX } from '../../shared/limits.js';
import { InputError } from '../common/input-error.js';
import { MESSAGES, type MessageName } from '../contract/messages.js';
import { ABOUT_PREFIX, layoutHash, METADATA_NAME, type MessageLayout, RECORD_BYTES_MAX, readLayout } from './format.js';
import { type ParsedRecords, parseRecords } from './parse-records.js';
import { RecordFile } from './record-file.js';

/** One kind of message in a recording. */
export interface RecordedChannel {
  readonly id: number;
  readonly message: MessageName;
  readonly layoutHash: string;
  /** Schema text as it stands in the file. */
  readonly schema: string;
  readonly layout: MessageLayout;
}

/** What a recording says before its first message. */
export interface RecordingInfo {
  readonly file: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly contractHash: string;
  /** Version of the tool that wrote it. */
  readonly version: string;
  readonly about: Readonly<Record<string, string>>;
  readonly channels: readonly RecordedChannel[];
}

const HEAD_OPS: readonly number[] = [Opcode.HEADER, Opcode.METADATA, Opcode.SCHEMA, Opcode.CHANNEL];

/** Everything before the first chunk. */
function readHeadRecords(records: RecordFile): ParsedRecords {
  const parts: Uint8Array[] = [];
  let bytes = 0;
  for (records.next(); HEAD_OPS.includes(records.op); records.next()) {
    bytes += records.length;
    if (bytes > RECORD_BYTES_MAX) throw records.wrong('length of all before the first message', bytes, `at most ${RECORD_BYTES_MAX} bytes`);
    parts.push(records.record().slice());
  }
  return parseRecords(Buffer.concat(parts));
}

function wholeNumber(text: string | undefined, name: string, max: number): number {
  const value = Number(text);
  if (!(Number.isInteger(value) && value >= 1 && value <= max)) throw new Error(`${name} ${text} is no whole number from 1 to ${max}`);
  return value;
}

function readChannels(records: ParsedRecords, rows: number): RecordedChannel[] {
  const names = Object.keys(MESSAGES) as MessageName[];
  return (records.Channel ?? []).map(({ id, schemaId, topic, metadata }) => {
    const message = names.find((name) => MESSAGES[name].topic === topic);
    const data = records.Schema?.find((one) => one.id === schemaId)?.data;
    if (message === undefined || data === undefined) throw new Error(`channel “${topic}” is none of ours, or has no schema`);
    const schema = new TextDecoder('utf-8', { fatal: true }).decode(data);
    const said = metadata.get('layoutHash');
    if (said !== layoutHash(schema)) throw new Error(`channel “${topic}” says layout hash ${said}, its schema has ${layoutHash(schema)}`);
    const layout = readLayout(schema);
    if (layout.rows !== rows) throw new Error(`channel “${topic}” has ${layout.rows} rows, the recording ${rows}`);
    return { id, message, layoutHash: said, schema, layout };
  });
}

const TICK_HZ_MAX = 1e6;

function readInfo(file: string, records: ParsedRecords): RecordingInfo {
  const said = records.Metadata?.find((one) => one.name === METADATA_NAME)?.metadata;
  if (said === undefined) throw new Error(`no metadata record “${METADATA_NAME}”`);
  const rows = wholeNumber(said.get('rows'), 'rows', ROWS_MAX);
  const channels = readChannels(records, rows);
  if (channels.length === 0) throw new Error('no channel');
  const about = [...said].filter(([key]) => key.startsWith(ABOUT_PREFIX)).map(([key, text]) => [key.slice(ABOUT_PREFIX.length), text]);
  return {
    file,
    rows,
    tickHz: wholeNumber(said.get('tickHz'), 'tickHz', TICK_HZ_MAX),
    contractHash: said.get('contractHash') ?? '',
    version: said.get('version') ?? '',
    about: Object.fromEntries(about),
    channels,
  };
}

/**
 * What a recording says before its first message, whether or not its end is sound.
 * @throws InputError when even that can't be read.
 */
export function readHead(file: string): RecordingInfo {
  const records = new RecordFile(file);
  try {
    return readInfo(file, readHeadRecords(records));
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new InputError({ file, byte: records.position, what: (error as Error).message, allowed: 'a recording made by latchbench' });
  } finally {
    records.close();
  }
}
