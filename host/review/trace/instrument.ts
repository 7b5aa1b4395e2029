import { leb128, signedLeb128 } from '../../wasm/bytes.js';
import type { Signature, ValueType } from '../../wasm/module.js';
import type { Body, Operator, WasmBinary } from './binary.js';

/*
 * Makes a copy of a binary that reports what it does. It calls an imported function after each instruction that leaves a value,
 * before each store, around each call, in each round of a loop and at the start of each function, with the number of the site. Values pass through
 * unchanged, so the copy computes what the original does.
 */

/** What a site reports. round: of a loop. enter: a call starts. leave: it has returned. param: an argument. value: an instruction's result. */
export type SiteKind = 'round' | 'enter' | 'leave' | 'param' | 'value' | 'get' | 'load' | 'set' | 'condition' | 'store';

export interface Site {
  readonly kind: SiteKind;
  /** Function that contains it. */
  readonly function: number;
  /** Of enter: the called function. */
  readonly callee?: number;
  /** Offset of its instruction in the original binary; of the function's first instruction for a param. */
  readonly at: number;
  /** Of param, get and set: index of the local. Of value: index of the global that was read. */
  readonly local?: number;
  readonly global?: number;
}

/** The imported functions. Their last parameter is the site; those that report a value return it. */
const TYPES = ['i32', 'i64', 'f32', 'f64'] as const satisfies readonly ValueType[];
type ImportName = 'round' | 'enter' | 'leave' | `value_${ValueType}` | `load_${ValueType}` | `store_${ValueType}`;
const IMPORTS: readonly { readonly name: ImportName; readonly params: readonly ValueType[]; readonly results: readonly ValueType[] }[] = [
  { name: 'round', params: ['i32'], results: [] },
  { name: 'enter', params: ['i32'], results: [] },
  { name: 'leave', params: ['i32'], results: [] },
  ...TYPES.map((type) => ({ name: `value_${type}` as const, params: [type, 'i32'] as const, results: [type] })),
  ...TYPES.map((type) => ({ name: `load_${type}` as const, params: [type, 'i32', 'i32'] as const, results: [type] })),
  ...TYPES.map((type) => ({ name: `store_${type}` as const, params: ['i32', type, 'i32'] as const, results: [] })),
];
const importIndex = (name: ImportName): number => IMPORTS.findIndex((one) => one.name === name);

/** Codes of types, instructions and sections: WebAssembly Core Specification 1.0, chapter 5. */
const TYPE_CODE: Readonly<Record<ValueType, number>> = { i32: 0x7f, i64: 0x7e, f32: 0x7d, f64: 0x7c };
const OP = {
  loop: 0x03,
  if: 0x04,
  brIf: 0x0d,
  call: 0x10,
  drop: 0x1a,
  select: 0x1b,
  get: 0x20,
  set: 0x21,
  tee: 0x22,
  globalGet: 0x23,
  i32Const: 0x41,
} as const;
const SECTION = { custom: 0, type: 1, import: 2, export: 7, start: 8, code: 10 } as const;
const FUNCTION = 0x60;
const KIND_FUNCTION = 0;

/** Result types of loads, constants and numeric instructions, by ranges of codes. */
const RESULTS: readonly (readonly [from: number, to: number, type: ValueType])[] = [
  [0x28, 0x28, 'i32'],
  [0x29, 0x29, 'i64'],
  [0x2a, 0x2a, 'f32'],
  [0x2b, 0x2b, 'f64'],
  [0x2c, 0x2f, 'i32'],
  [0x30, 0x35, 'i64'],
  [0x41, 0x41, 'i32'],
  [0x42, 0x42, 'i64'],
  [0x43, 0x43, 'f32'],
  [0x44, 0x44, 'f64'],
  [0x45, 0x78, 'i32'],
  [0x79, 0x8a, 'i64'],
  [0x8b, 0x98, 'f32'],
  [0x99, 0xa6, 'f64'],
  [0xa7, 0xab, 'i32'],
  [0xac, 0xb1, 'i64'],
  [0xb2, 0xb6, 'f32'],
  [0xb7, 0xbb, 'f64'],
  [0xbc, 0xbc, 'i32'],
  [0xbd, 0xbd, 'i64'],
  [0xbe, 0xbe, 'f32'],
  [0xbf, 0xbf, 'f64'],
];
const resultOf = (code: number): ValueType | undefined => RESULTS.find(([from, to]) => from <= code && code <= to)?.[2];
const isLoad = (code: number): boolean => code >= 0x28 && code <= 0x35;
/** Operand type of each store, from code 0x36 on. */
const STORES: readonly ValueType[] = ['i32', 'i64', 'f32', 'f64', 'i32', 'i32', 'i64', 'i64', 'i64'];
const storedType = (code: number): ValueType | undefined => STORES[code - 0x36];

/** Writes the instrumented body of a function. */
class BodyWriter {
  readonly code: number[] = [];
  private readonly types: readonly ValueType[];

  constructor(
    private readonly binary: WasmBinary,
    private readonly index: number,
    private readonly body: Body,
    private readonly sites: Site[],
  ) {
    const { params } = this.signature(index);
    this.types = [...params, ...body.locals.flatMap(({ count, type }) => new Array<ValueType>(count).fill(type))];
  }

  /** Size and content for the code section. */
  write(): number[] {
    const first = this.body.operators[0]?.start ?? 0;
    for (const [local, type] of this.signature(this.index).params.entries()) {
      this.emit(OP.get, ...leb128(local));
      this.report(`value_${type}`, { kind: 'param', at: first, local });
      this.emit(OP.drop);
    }
    for (const operator of this.body.operators) this.operator(operator);
    const { locals } = this.body;
    const own = TYPES.length + 1;
    const groups = [...locals, { count: 1, type: 'i32' as const }, ...TYPES.map((type) => ({ count: 1, type }))];
    const head = [...leb128(locals.length + own), ...groups.flatMap(({ count, type }) => [...leb128(count), TYPE_CODE[type]])];
    return [...leb128(head.length + this.code.length), ...head, ...this.code];
  }

  private signature(index: number): Signature {
    return this.binary.types[this.binary.functions[index]?.type ?? -1] ?? { params: [], results: [] };
  }

  /** Locals added after the function's own: an address, then a value of each type. */
  private addressLocal(): number {
    return this.types.length;
  }

  private valueLocal(type: ValueType): number {
    return this.types.length + 1 + TYPES.indexOf(type);
  }

  private emit(...bytes: number[]): void {
    for (const byte of bytes) this.code.push(byte);
  }

  private report(name: ImportName, site: Omit<Site, 'function'>): void {
    this.emit(OP.i32Const, ...signedLeb128(this.sites.length), OP.call, ...leb128(importIndex(name)));
    this.sites.push({ ...site, function: this.index });
  }

  private original({ start, end }: Operator): void {
    for (let at = start; at < end; at++) this.code.push(this.binary.bytes[at] ?? 0);
  }

  private operator(operator: Operator): void {
    const { start: at, info } = operator;
    const { code } = info;
    if (code === OP.if || code === OP.brIf || code === OP.select) this.report('value_i32', { kind: 'condition', at });
    if (code === OP.set || code === OP.tee) {
      const local = info.localIndex ?? 0;
      this.report(`value_${this.types[local] ?? 'i32'}`, { kind: 'set', at, local });
    }
    if (code === OP.call) this.call(operator);
    else if (storedType(code) !== undefined) this.store(operator);
    else if (isLoad(code)) this.load(operator);
    else this.original(operator);
    if (code === OP.loop) this.report('round', { kind: 'round', at });
    if (code === OP.get) {
      const local = info.localIndex ?? 0;
      this.report(`value_${this.types[local] ?? 'i32'}`, { kind: 'get', at, local });
    }
    const global = code === OP.globalGet ? info.globalIndex : undefined;
    const type = global === undefined ? resultOf(code) : this.binary.globals[global]?.type;
    if (type === undefined || isLoad(code)) return;
    this.report(`value_${type}`, global === undefined ? { kind: 'value', at } : { kind: 'value', at, global });
  }

  private call({ start: at, info }: Operator): void {
    const callee = info.funcIndex ?? 0;
    this.report('enter', { kind: 'enter', at, callee });
    this.emit(OP.call, ...leb128(callee + IMPORTS.length));
    this.report('leave', { kind: 'leave', at });
    const [result] = this.signature(callee).results;
    if (result !== undefined) this.report(`value_${result}`, { kind: 'value', at });
  }

  private load(operator: Operator): void {
    const type = resultOf(operator.info.code) ?? 'i32';
    this.emit(OP.tee, ...leb128(this.addressLocal()));
    this.original(operator);
    this.emit(OP.get, ...leb128(this.addressLocal()), ...this.plusOffset(operator));
    this.report(`load_${type}`, { kind: 'load', at: operator.start });
  }

  private store(operator: Operator): void {
    const type = storedType(operator.info.code) ?? 'i32';
    const [address, value] = [leb128(this.addressLocal()), leb128(this.valueLocal(type))];
    this.emit(OP.set, ...value, OP.tee, ...address, ...this.plusOffset(operator), OP.get, ...value);
    this.report(`store_${type}`, { kind: 'store', at: operator.start });
    this.emit(OP.get, ...address, OP.get, ...value);
    this.original(operator);
  }

  /** Adds the constant offset of an address to the address on the stack. */
  private plusOffset({ info }: Operator): number[] {
    const I32_ADD = 0x6a;
    const offset = info.memoryAddress?.offset ?? 0;
    return offset === 0 ? [] : [OP.i32Const, ...signedLeb128(offset), I32_ADD];
  }
}

const utf8 = (text: string): number[] => {
  const bytes = [...Buffer.from(text)];
  return [...leb128(bytes.length), ...bytes];
};

const signatureBytes = ({ params, results }: Signature): number[] => [
  FUNCTION,
  ...leb128(params.length),
  ...params.map((type) => TYPE_CODE[type]),
  ...leb128(results.length),
  ...results.map((type) => TYPE_CODE[type]),
];

const vector = (entries: readonly (readonly number[])[]): number[] => [...leb128(entries.length), ...entries.flat()];

/** Returns an instrumented copy and its sites, by their numbers. @throws Error if the binary has imports or a start function */
export function instrument(binary: WasmBinary): { bytes: Uint8Array<ArrayBuffer>; sites: readonly Site[] } {
  const { sections, types, exports, bodies, bytes } = binary;
  if (sections.some(({ id }) => id === SECTION.import || id === SECTION.start))
    throw new Error('the binary has imports or a start function');
  const sites: Site[] = [];
  const parts: Uint8Array[] = [bytes.subarray(0, 8)];
  const section = (id: number, content: Uint8Array | readonly number[]): void => {
    parts.push(Uint8Array.from([id, ...leb128(content.length)]), Uint8Array.from(content));
  };
  for (const { id, start, end } of sections) {
    if (id === SECTION.custom) continue;
    if (id === SECTION.type) {
      section(id, vector([...types, ...IMPORTS].map(signatureBytes)));
      section(
        SECTION.import,
        vector(IMPORTS.map(({ name }, index) => [...utf8('trace'), ...utf8(name), KIND_FUNCTION, ...leb128(types.length + index)])),
      );
    } else if (id === SECTION.export) {
      const shifted = exports.map(({ name, kind, index }) => [
        ...utf8(name),
        kind,
        ...leb128(kind === KIND_FUNCTION ? index + IMPORTS.length : index),
      ]);
      section(id, vector(shifted));
    } else if (id === SECTION.code) {
      section(id, vector(bodies.map((body, index) => new BodyWriter(binary, index, body, sites).write())));
    } else section(id, bytes.subarray(start, end));
  }
  return { bytes: Uint8Array.from(Buffer.concat(parts)), sites };
}

/** Imports of the instrumented copy. */
export type TraceImports = Record<ImportName, (...values: never[]) => unknown>;
