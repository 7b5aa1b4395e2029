import { BinaryReader, type IOperatorInformation, type Type } from 'wasmparser';
import { readSections, type Section, type Signature, type ValueType } from '../../wasm/module.js';

/** Value types, in the order of their codes. */
const TYPES: readonly ValueType[] = ['i32', 'i64', 'f32', 'f64'];

/** An instruction and its byte offsets in the binary. */
export interface Operator {
  readonly start: number;
  readonly end: number;
  readonly info: IOperatorInformation;
}

export interface Body {
  readonly locals: readonly { readonly count: number; readonly type: ValueType }[];
  readonly operators: readonly Operator[];
}

/** The parts of a binary with debug names that instrumenting needs. */
export interface WasmBinary {
  readonly bytes: Uint8Array;
  readonly sections: readonly Section[];
  readonly types: readonly Signature[];
  /** Signature and name of each function. */
  readonly functions: readonly { readonly type: number; readonly name: string }[];
  readonly exports: readonly { readonly name: string; readonly kind: number; readonly index: number }[];
  readonly globals: readonly { readonly type: ValueType; readonly name: string }[];
  readonly bodies: readonly Body[];
  /** Names of parameters and locals, by index of the function and of the local. */
  readonly localNames: ReadonlyMap<number, ReadonlyMap<number, string>>;
}

const typeOf = ({ kind }: Type): ValueType => {
  const type = TYPES[-kind - 1];
  if (type === undefined) throw new Error(`value type ${kind} is not in WebAssembly 1.0`);
  return type;
};

/** States of the reader, which exports them only as a const enum. */
const State = {
  error: -1,
  type: 11,
  function: 13,
  export: 17,
  name: 19,
  body: 28,
  operator: 30,
  global: 39,
} as const;

const decoder = new TextDecoder();
const textOf = (bytes: Uint8Array): string => decoder.decode(bytes);

/** Kinds of name in the name section: WebAssembly Core Specification, appendix "Custom Sections"; globals: its extension. */
const NAMES = { function: 1, local: 2, global: 7 } as const;

interface Naming {
  readonly index: number;
  readonly name: Uint8Array;
}

/** Collects the reader's results. */
class Collector {
  readonly types: Signature[] = [];
  readonly typeIndices: number[] = [];
  readonly exports: { name: string; kind: number; index: number }[] = [];
  readonly globalTypes: ValueType[] = [];
  readonly bodies: { locals: Body['locals']; operators: Operator[] }[] = [];
  readonly functionNames = new Map<number, string>();
  readonly globalNames = new Map<number, string>();
  readonly localNames = new Map<number, Map<number, string>>();

  // biome-ignore lint/suspicious/noExplicitAny: the reader's results have no common type
  take(state: number, result: any, start: number, end: number): void {
    if (state === State.type) this.types.push({ params: result.params.map(typeOf), results: result.returns.map(typeOf) });
    else if (state === State.function) this.typeIndices.push(result.typeIndex);
    else if (state === State.global) this.globalTypes.push(typeOf(result.type.contentType));
    else if (state === State.export) this.exports.push({ name: textOf(result.field), kind: result.kind, index: result.index });
    else if (state === State.body)
      this.bodies.push({
        locals: result.locals.map(({ count, type }: { count: number; type: Type }) => ({ count, type: typeOf(type) })),
        operators: [],
      });
    else if (state === State.operator) this.bodies.at(-1)?.operators.push({ start, end, info: { ...result } });
    else if (state === State.name) this.takeNames(result);
  }

  private takeNames(entry: { type: number; names?: Naming[]; funcs?: { index: number; locals: Naming[] }[] }): void {
    const into = (names: Map<number, string>, list: readonly Naming[]): void => {
      for (const { index, name } of list) names.set(index, textOf(name));
    };
    if (entry.type === NAMES.function) into(this.functionNames, entry.names ?? []);
    if (entry.type === NAMES.global) into(this.globalNames, entry.names ?? []);
    if (entry.type !== NAMES.local) return;
    for (const { index, locals } of entry.funcs ?? []) {
      const names = new Map<number, string>();
      into(names, locals);
      this.localNames.set(index, names);
    }
  }
}

/** Parses a binary. @throws Error if it is not WebAssembly 1.0 */
export function readBinary(bytes: Uint8Array): WasmBinary {
  const reader = new BinaryReader();
  reader.setData(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer, 0, bytes.byteLength);
  const found = new Collector();
  for (let start = 0; reader.read(); start = reader.position) {
    if (reader.state === State.error) throw new Error(`the binary cannot be parsed: ${reader.error?.message}`);
    found.take(reader.state, reader.result, start, reader.position);
  }
  return {
    bytes,
    sections: readSections(bytes),
    types: found.types,
    functions: found.typeIndices.map((type, index) => ({ type, name: found.functionNames.get(index) ?? `function ${index}` })),
    exports: found.exports,
    globals: found.globalTypes.map((type, index) => ({ type, name: found.globalNames.get(index) ?? `global ${index}` })),
    bodies: found.bodies,
    localNames: found.localNames,
  };
}
