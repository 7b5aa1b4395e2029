import { BadBinary, type ByteReader } from './bytes.js';

/** Codes of instructions: WebAssembly Core Specification 1.0, §5.4. */
export const OP = {
  unreachable: 0x00,
  block: 0x02,
  loop: 0x03,
  if: 0x04,
  end: 0x0b,
  call: 0x10,
  localGet: 0x20,
  globalGet: 0x23,
  globalSet: 0x24,
  i32Store8: 0x3a,
  memoryGrow: 0x40,
  i32Const: 0x41,
  i32LtS: 0x48,
  i32Sub: 0x6b,
} as const;

type Skip = (reader: ByteReader) => void;
const none: Skip = () => {};
const index: Skip = (reader) => reader.skipNumber(5);
const twoIndices: Skip = (reader) => {
  index(reader);
  index(reader);
};

/** A block's type: nothing, or one value. Types with parameters came later. */
function blockType(reader: ByteReader): void {
  const type = reader.byte();
  if (type !== 0x40 && (type < 0x7c || type > 0x7f)) throw new BadBinary('it has a block of a type that WebAssembly 1.0 does not have');
}

/** A list of labels and the default one. */
function labels(reader: ByteReader): void {
  for (let left = reader.u32(); left > 0; left--) index(reader);
  index(reader);
}

function memoryGrow(): never {
  throw new BadBinary('its memory can grow; the memory of a controller has a fixed size');
}

/** What follows an instruction's code, by ranges of codes. Codes in no range are not in WebAssembly 1.0. */
const IMMEDIATES: readonly (readonly [from: number, to: number, skip: Skip])[] = [
  [0x00, 0x01, none],
  [OP.block, OP.if, blockType],
  [0x05, 0x05, none],
  [OP.end, OP.end, none],
  [0x0c, 0x0d, index],
  [0x0e, 0x0e, labels],
  [0x0f, 0x0f, none],
  [OP.call, OP.call, index],
  [0x11, 0x11, twoIndices],
  [0x1a, 0x1b, none],
  [0x20, 0x24, index],
  [0x28, 0x3e, twoIndices],
  [0x3f, 0x3f, (reader) => reader.skip(1)],
  [OP.memoryGrow, OP.memoryGrow, memoryGrow],
  [OP.i32Const, OP.i32Const, index],
  [0x42, 0x42, (reader) => reader.skipNumber(10)],
  [0x43, 0x43, (reader) => reader.skip(4)],
  [0x44, 0x44, (reader) => reader.skip(8)],
  [0x45, 0xbf, none],
];
const SKIPS: readonly (Skip | undefined)[] = Array.from(
  { length: 256 },
  (_, code) => IMMEDIATES.find(([from, to]) => from <= code && code <= to)?.[2],
);

/** Reads one instruction and returns its code. @throws BadBinary if WebAssembly 1.0 does not have it, or it grows memory */
export function readOperator(reader: ByteReader): number {
  const code = reader.byte();
  const skip = SKIPS[code];
  if (skip === undefined) throw new BadBinary(`it has the instruction 0x${code.toString(16)}, which WebAssembly 1.0 does not have`);
  skip(reader);
  return code;
}
