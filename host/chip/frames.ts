import { crc32 } from 'node:zlib';

/** A frame on the link, without its CRC and its byte stuffing. */
export interface Frame {
  readonly kind: number;
  readonly sequence: number;
  readonly body: Uint8Array;
}

/** Longest run of bytes that are not 0 in one block of COBS. */
const BLOCK = 254;

/**
 * Consistent Overhead Byte Stuffing: bytes without a 0 among them (Cheshire, Baker 1999, IEEE/ACM Transactions on Networking
 * 7(2):159-172).
 */
export function stuff(bytes: Uint8Array): Uint8Array {
  const out: number[] = [];
  for (let from = 0; ; ) {
    const zero = bytes.indexOf(0, from);
    const end = Math.min(zero === -1 ? bytes.length : zero, from + BLOCK);
    out.push(end - from + 1, ...bytes.subarray(from, end));
    if (end === bytes.length) return Uint8Array.from(out);
    from = end - from === BLOCK ? end : end + 1;
  }
}

/** The way back; undefined where no such bytes can come of stuffing. */
export function unstuff(bytes: Uint8Array): Uint8Array | undefined {
  const out: number[] = [];
  for (let at = 0; at < bytes.length; ) {
    const code = bytes[at] ?? 0;
    const end = at + code;
    if (code === 0 || end > bytes.length) return undefined;
    out.push(...bytes.subarray(at + 1, end));
    if (code <= BLOCK && end < bytes.length) out.push(0);
    at = end;
  }
  return Uint8Array.from(out);
}

/** A frame as it goes over the line: CRC-32 of kind, number and body behind them, stuffed, and a 0 at the end. */
export function encodeFrame({ kind, sequence, body }: Frame): Uint8Array {
  const bytes = Buffer.alloc(2 + body.length + 4);
  bytes[0] = kind;
  bytes[1] = sequence;
  bytes.set(body, 2);
  bytes.writeUInt32LE(crc32(bytes.subarray(0, -4)), bytes.length - 4);
  return Buffer.concat([stuff(bytes), Buffer.from([0])]);
}

/** What stood between two zeros; undefined if it is no whole frame. */
export function decodeFrame(stuffed: Uint8Array): Frame | undefined {
  const bytes = unstuff(stuffed);
  if (bytes === undefined || bytes.length < 6) return undefined;
  const covered = bytes.subarray(0, -4);
  const told = new DataView(bytes.buffer, bytes.byteOffset + covered.length).getUint32(0, true);
  if (crc32(covered) !== told) return undefined;
  const [kind = 0, sequence = 0] = covered;
  return { kind, sequence, body: covered.subarray(2) };
}

/** No frame of the link is longer; what goes on without an end is none. */
const LONGEST = 2048;

/** Cuts a stream of bytes into frames. What is damaged is counted and left out. */
export class FrameReader {
  damaged = 0;
  private rest: Uint8Array = new Uint8Array(0);

  /** Frames that these bytes complete. */
  take(bytes: Uint8Array): Frame[] {
    const all = Buffer.concat([this.rest, bytes]);
    const frames: Frame[] = [];
    let from = 0;
    for (let end = all.indexOf(0); end !== -1; end = all.indexOf(0, from)) {
      const frame = decodeFrame(all.subarray(from, end));
      if (frame !== undefined) frames.push(frame);
      else if (end > from) this.damaged += 1;
      from = end + 1;
    }
    this.rest = all.subarray(from);
    if (this.rest.length > LONGEST) {
      this.rest = new Uint8Array(0);
      this.damaged += 1;
    }
    return frames;
  }
}
