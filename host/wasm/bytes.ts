/** The binary is damaged, or has something that no build of this project has. The message is a clause without a full stop. */
export class BadBinary extends Error {}

/** Unsigned LEB128, WebAssembly's encoding of sizes (WebAssembly Core Specification 1.0, §5.2.2). */
export function leb128(value: number): number[] {
  const bytes: number[] = [];
  let rest = value;
  do {
    const low = rest & 0x7f;
    rest >>>= 7;
    bytes.push(rest === 0 ? low : low | 0x80);
  } while (rest !== 0);
  return bytes;
}

/** Signed LEB128 of a number from 0 to 2³¹ - 1: one more byte than the unsigned form if that would read as negative. */
export function signedLeb128(value: number): number[] {
  const bytes = leb128(value);
  const last = bytes.at(-1) ?? 0;
  return (last & 0x40) === 0 ? bytes : [...bytes.slice(0, -1), last | 0x80, 0];
}

/** Reads the encodings of a WebAssembly binary (Core Specification 1.0, §5.2) and never beyond `end`. */
export class ByteReader {
  /** @param at, end offsets in `bytes`; `end` is exclusive */
  constructor(
    readonly bytes: Uint8Array,
    public at = 0,
    readonly end = bytes.length,
  ) {}

  get isAtEnd(): boolean {
    return this.at >= this.end;
  }

  /** @throws BadBinary at the end */
  byte(): number {
    if (this.isAtEnd) throw new BadBinary('it is cut off');
    return this.bytes[this.at++] ?? 0;
  }

  /** @throws BadBinary if less is left */
  skip(count: number): void {
    if (count > this.end - this.at) throw new BadBinary('it is cut off');
    this.at += count;
  }

  /** A number of 32 bits in LEB128. @throws BadBinary if it is longer than its 5 bytes */
  u32(): number {
    let value = 0;
    for (let factor = 1; factor <= 2 ** 28; factor *= 128) {
      const byte = this.byte();
      value += (byte & 0x7f) * factor;
      if (byte < 0x80) return value;
    }
    throw new BadBinary('a number in it is too long');
  }

  /** Skips a number in LEB128 of at most this number of bytes. @throws BadBinary if it is longer */
  skipNumber(maxBytes: number): void {
    for (let count = 0; count < maxBytes; count++) if (this.byte() < 0x80) return;
    throw new BadBinary('a number in it is too long');
  }

  /** The number of entries of a list, each of at least one byte. @throws BadBinary if it is larger than `max` */
  count(what: string, max: number): number {
    const count = this.u32();
    if (count > max) throw new BadBinary(`it has ${count} ${what}; at most ${max} are allowed`);
    return count;
  }

  /** A name. @throws BadBinary if it is not UTF-8 */
  name(): string {
    const length = this.u32();
    const start = this.at;
    this.skip(length);
    try {
      return new TextDecoder('utf-8', { fatal: true }).decode(this.bytes.subarray(start, this.at));
    } catch {
      throw new BadBinary('a name in it is not UTF-8');
    }
  }
}
