import { isLoaded } from '@foxglove/wasm-zstd';
import type { FieldType } from '../../shared/records.js';
import { UNITS, type UnitName } from '../../shared/units.js';
import { shortHash } from '../common/hash.js';
import { formatInstant } from '../common/instant.js';
import { layOutRecord, type RecordLayout } from '../contract/layout.js';

// The decompressor is WebAssembly that loads asynchronously; waiting for it here keeps everything else synchronous.
await isLoaded;

export { compress, decompress } from '@foxglove/wasm-zstd';

/** Name of the MCAP metadata record that holds our description of the recording. */
export const METADATA_NAME = 'latchbench';
/** Key of the plan in that record. */
export const PLAN_KEY = 'plan';
/** Prefix of the keys of `about` entries in that record. */
export const ABOUT_PREFIX = 'about.';
export const SCHEMA_ENCODING = 'ros2msg';
export const MESSAGE_ENCODING = 'cdr';
export const COMPRESSION = 'zstd';
/** MCAP profile: what our metadata and channels mean is ours alone. */
export const PROFILE = 'latchbench';

/**
 * Start of a recording whose time is not known, such as a simulated one, in ns since 1970: 2000-01-01, midnight UTC. A fixed date, so
 * that the same input gives the same file; a round one, so that nobody takes it for a real one.
 */
export const PLACEHOLDER_START_NS = BigInt(Date.UTC(2000, 0)) * 1_000_000n;

/** Returns the date and time of a recording's start, UTC, if it is known. */
export const startDate = (startNs: bigint): string | undefined =>
  startNs === 0n || startNs === PLACEHOLDER_START_NS ? undefined : formatInstant(startNs);

/** Bytes of a chunk before compression: small, because an interruption loses up to one chunk. */
export const CHUNK_BYTES = 65536;
/** Largest record that is written or accepted, so that a damaged length field can't make us allocate more. */
export const RECORD_BYTES_MAX = 1 << 20;

/** op (1), length (8): MCAP specification, "Records". */
export const RECORD_HEAD_BYTES = 9;
/** channel id (2), sequence (4), log time (8), publish time (8): MCAP specification, "Message". */
export const MESSAGE_HEAD_BYTES = 22;
/** log time (8), offset in the chunk (8): MCAP specification, "Message Index". */
export const INDEX_ENTRY_BYTES = 16;
/** Plain CDR, little-endian, no options: bytes 00 01 00 00 (OMG DDS-RTPS 2.5, §10.5), read as a little-endian u32. */
export const CDR_HEADER = 0x00000100;
export const CDR_HEADER_BYTES = 4;

export const TWO_TO_32 = 2 ** 32;

/**
 * Returns the time of a tick after the start, ns, rounded. Whole seconds are split off first: tick · 1e9 exceeds the integers that a
 * double holds exactly after 2.5 hours at 1 kHz.
 */
export function timeOfTick(tick: number, tickHz: number): number {
  const rest = tick % tickHz;
  return ((tick - rest) / tickHz) * 1e9 + Math.round((rest * 1e9) / tickHz);
}

/** An instant in ns since 1970, UTC, in two halves, so that log times are added and compared without a BigInt per message. */
export class StartTime {
  readonly high: number;
  readonly low: number;

  constructor(readonly ns: bigint) {
    this.high = Number(ns >> 32n);
    this.low = Number(ns & 0xffffffffn);
  }

  /** Writes the instant that is `after` ns later as a u64. */
  write(view: DataView, at: number, after: number): void {
    const afterHigh = Math.floor(after / TWO_TO_32);
    const low = this.low + (after - afterHigh * TWO_TO_32);
    const carry = low >= TWO_TO_32 ? 1 : 0;
    view.setUint32(at, low - carry * TWO_TO_32, true);
    view.setUint32(at + 4, this.high + afterHigh + carry, true);
  }

  /** Returns how much later a u64 is, ns; negative if it is earlier. */
  read(view: DataView, at: number): number {
    return view.getUint32(at, true) - this.low + TWO_TO_32 * (view.getUint32(at + 4, true) - this.high);
  }
}

/** The rows of a message definition, a field each. */
const ROW_FIELDS = /^(\w+) row_1\n(?:\1 row_\d+\n)*/m;

/** Replaces them by an array, as which recordings without indexes have them. */
const withRowArray = (schema: string): string =>
  schema.replace(ROW_FIELDS, (fields, type: string) => {
    const count = fields.split('\n').length - 1;
    const expected = Array.from({ length: count }, (_, index) => `${type} row_${index + 1}\n`).join('');
    if (fields !== expected) throw new Error('the rows of the schema are not numbered from 1');
    return `${type}[${count}] rows\n`;
  });

const withoutComment = (line: string): string => (line.split('#', 1)[0] ?? '').trimEnd();

/** Hash of a schema text without its comments: the same hash means the same layout of bytes. */
export const layoutHash = (schema: string): string => shortHash(withRowArray(schema).split('\n').map(withoutComment).join('\n'));

/** Layout of a message's payload, read from its schema text. */
export interface MessageLayout {
  readonly rows: number;
  readonly bank: RecordLayout;
  readonly row: RecordLayout;
  /** Bytes of the payload: the bank's record followed by the rows'. */
  readonly bytes: number;
}

const TYPE_OF: Readonly<Record<string, FieldType>> = {
  uint8: 'u8',
  uint16: 'u16',
  uint32: 'u32',
  int32: 'i32',
  float32: 'f32',
  float64: 'f64',
};

/** ROS 2 field names are snake_case; ours are camelCase everywhere else. */
const camelCase = (name: string): string => name.replace(/_([a-z0-9])/g, (_, letter: string) => letter.toUpperCase());

function readField(line: string): { name: string; type: FieldType; unit: UnitName; help: string } {
  const [, ros, name, unit, help] = /^(\w+) (\w+)(?: # (\w+): (.*))?$/.exec(line) ?? [];
  const type = TYPE_OF[ros ?? ''];
  if (type === undefined || name === undefined) throw new Error(`the schema line "${line}" is not a field`);
  return { name: camelCase(name), type, unit: unit !== undefined && unit in UNITS ? (unit as UnitName) : 'none', help: help ?? '' };
}

/**
 * Reads a schema text that `writeMessage` in host/contract wrote, so that a recording can be read without the contract it was made with.
 * @throws Error if the text is not such a schema
 */
export function readLayout(schema: string): MessageLayout {
  const [bankText, rowText] = withRowArray(schema).split(/^=+\nMSG: .*\n/m);
  const [, bankLines, name, count] = /^((?:.*\n)*)(\w+)\[(\d+)\] rows\n$/.exec(bankText ?? '') ?? [];
  if (bankLines === undefined || rowText === undefined || name === undefined) throw new Error('the schema is not a bank record with rows');
  const record = (of: string, text: string): RecordLayout =>
    layOutRecord({ name: of, kind: 'input', help: '', fields: text.split('\n').filter(Boolean).map(readField) });
  const bank = record('bank', bankLines);
  const row = record(name, rowText);
  const rows = Number(count);
  return { rows, bank, row, bytes: bank.size + rows * row.size };
}
