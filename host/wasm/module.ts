import { BadBinary, ByteReader } from './bytes.js';

/**
 * Codes of sections, kinds of export and types: WebAssembly Core Specification 1.0, chapter 5. The count of data came later, and lets
 * the plant's memory be cleared at once.
 */
export const SECTION = {
  custom: 0,
  type: 1,
  import: 2,
  function: 3,
  table: 4,
  memory: 5,
  global: 6,
  export: 7,
  start: 8,
  element: 9,
  code: 10,
  data: 11,
  dataCount: 12,
} as const;
export const KIND = { function: 0, table: 1, memory: 2, global: 3 } as const;
export const FUNCTION_TYPE = 0x60;
export const TYPE_CODE = { i32: 0x7f, i64: 0x7e, f32: 0x7d, f64: 0x7c } as const;
export type ValueType = keyof typeof TYPE_CODE;
const TYPE_NAME = new Map<number, ValueType>(Object.entries(TYPE_CODE).map(([name, code]) => [code, name as ValueType]));

/*
 * Limits that no build of this project comes near: the release is 140 kB long and has 40 functions of at most 14 locals. They keep
 * the time that the engine's compiler needs small, which grows with the product of branches and locals.
 */
const BINARY_BYTES_MAX = 4 << 20;
const SECTIONS_MAX = 100;
const ENTRIES_MAX = 10_000;
const EXPORTS_MAX = 100;
const BODY_BYTES_MAX = 1 << 18;
const LOCALS_MAX = 1000;
const CODE_BYTES_MAX = 1 << 20;

export interface Section {
  readonly id: number;
  /** Byte offsets of its content; `end` is exclusive. */
  readonly start: number;
  readonly end: number;
}

export interface Signature {
  readonly params: readonly ValueType[];
  readonly results: readonly ValueType[];
}

export interface Export {
  readonly name: string;
  readonly kind: number;
  readonly index: number;
}

/** Minimum and maximum size in units; no maximum if the binary has none. */
export interface Limits {
  readonly min: number;
  readonly max: number | undefined;
}

/** Byte offsets of a function's locals and of its instructions. */
export interface Code {
  readonly locals: number;
  readonly start: number;
  readonly end: number;
}

/** What a binary is made of. */
export interface BinaryModule {
  readonly bytes: Uint8Array;
  readonly sections: readonly Section[];
  readonly types: readonly Signature[];
  /** Index of each function's type. */
  readonly functions: readonly number[];
  readonly memories: readonly Limits[];
  readonly tables: readonly Limits[];
  readonly globals: number;
  /** Byte offsets of the globals, without their count. */
  readonly globalBytes: Pick<Section, 'start' | 'end'>;
  readonly exports: readonly Export[];
  readonly codes: readonly Code[];
}

const MAGIC = [0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00];

/** Finds the sections of a binary. @throws BadBinary if it is not WebAssembly 1.0, damaged or too large */
export function readSections(bytes: Uint8Array): Section[] {
  if (!MAGIC.every((byte, index) => bytes[index] === byte)) throw new BadBinary('it is not valid WebAssembly');
  if (bytes.length > BINARY_BYTES_MAX) throw new BadBinary(`it has ${bytes.length} bytes; at most ${BINARY_BYTES_MAX} are allowed`);
  const reader = new ByteReader(bytes, MAGIC.length);
  const sections: Section[] = [];
  while (!reader.isAtEnd) {
    const id = reader.byte();
    if (id > SECTION.dataCount) throw new BadBinary(`it has a section of kind ${id}, which WebAssembly 1.0 does not have`);
    const size = reader.u32();
    const start = reader.at;
    reader.skip(size);
    sections.push({ id, start, end: reader.at });
    if (sections.length > SECTIONS_MAX) throw new BadBinary(`it has more than ${SECTIONS_MAX} sections`);
  }
  return sections;
}

function valueType(reader: ByteReader): ValueType {
  const code = reader.byte();
  const type = TYPE_NAME.get(code);
  if (type === undefined) throw new BadBinary(`it has a value of type ${code}, which WebAssembly 1.0 does not have`);
  return type;
}

/** A list of entries, each read by `one`. */
function list<Entry>(reader: ByteReader, what: string, one: () => Entry, max = ENTRIES_MAX): Entry[] {
  const entries: Entry[] = [];
  for (let left = reader.count(what, max); left > 0; left--) entries.push(one());
  return entries;
}

function signature(reader: ByteReader): Signature {
  if (reader.byte() !== FUNCTION_TYPE) throw new BadBinary('it has a type that is not a function');
  const types = (what: string): ValueType[] => list(reader, what, () => valueType(reader), LOCALS_MAX);
  return { params: types('parameters'), results: types('results') };
}

/** A flag, the minimum, and if the flag is 1 the maximum. */
function limits(reader: ByteReader): Limits {
  const flag = reader.byte();
  if (flag > 1) throw new BadBinary('it has memory that is shared or larger than 4 GiB');
  const min = reader.u32();
  return { min, max: flag === 1 ? reader.u32() : undefined };
}

/** The type of what it holds, then its size. */
function table(reader: ByteReader): Limits {
  reader.skip(1);
  return limits(reader);
}

/** Size and groups of locals, then the instructions. */
function code(reader: ByteReader): Code {
  const size = reader.u32();
  if (size > BODY_BYTES_MAX) throw new BadBinary(`it has a function of ${size} bytes; at most ${BODY_BYTES_MAX} are allowed`);
  const body = new ByteReader(reader.bytes, reader.at, reader.at + size);
  const locals = reader.at;
  reader.skip(size);
  let count = 0;
  for (let left = body.count('groups of locals', LOCALS_MAX); left > 0; left--) {
    count += body.u32();
    valueType(body);
  }
  if (count > LOCALS_MAX) throw new BadBinary(`it has a function of ${count} locals; at most ${LOCALS_MAX} are allowed`);
  return { locals, start: body.at, end: body.end };
}

/**
 * Reads what a binary is made of, without running or compiling anything. Instructions are not checked: `WebAssembly.validate` does.
 * @throws BadBinary if it is not WebAssembly 1.0, damaged, or exceeds a limit
 */
export function readModule(bytes: Uint8Array): BinaryModule {
  const sections = readSections(bytes);
  /** Entries of the section of a kind; none without it. Custom sections may repeat, others not, which `WebAssembly.validate` checks. */
  const entries = <Entry>(id: number, what: string, one: (reader: ByteReader) => Entry, max?: number): Entry[] => {
    const section = sections.find((found) => found.id === id);
    if (section === undefined) return [];
    const reader = new ByteReader(bytes, section.start, section.end);
    return list(reader, what, () => one(reader), max);
  };
  const codeSection = sections.find(({ id }) => id === SECTION.code);
  if (codeSection !== undefined && codeSection.end - codeSection.start > CODE_BYTES_MAX)
    throw new BadBinary(`it has ${codeSection.end - codeSection.start} bytes of code; at most ${CODE_BYTES_MAX} are allowed`);
  const { start = 0, end = 0 } = sections.find(({ id }) => id === SECTION.global) ?? {};
  const globals = new ByteReader(bytes, start, end);
  return {
    bytes,
    sections,
    types: entries(SECTION.type, 'types', signature),
    functions: entries(SECTION.function, 'functions', (reader) => reader.u32()),
    memories: entries(SECTION.memory, 'memories', limits, 1),
    tables: entries(SECTION.table, 'tables', table, 1),
    globals: globals.isAtEnd ? 0 : globals.count('globals', ENTRIES_MAX),
    globalBytes: { start: globals.at, end },
    exports: entries(
      SECTION.export,
      'exports',
      (reader) => ({ name: reader.name(), kind: reader.byte(), index: reader.u32() }),
      EXPORTS_MAX,
    ),
    codes: entries(SECTION.code, 'functions with code', code),
  };
}

/** Contents of the custom sections of a name. @throws BadBinary if the name of a custom section is damaged */
export function customSections({ bytes, sections }: Pick<BinaryModule, 'bytes' | 'sections'>, name: string): Uint8Array[] {
  return sections.flatMap(({ id, start, end }) => {
    if (id !== SECTION.custom) return [];
    const reader = new ByteReader(bytes, start, end);
    return reader.name() === name ? [bytes.subarray(reader.at, end)] : [];
  });
}
