import { crc32 } from 'node:zlib';

/** A frame on the link, without its CRC and byte stuffing. */
export interface Frame {
  readonly kind: number;
  /** Number of the request, 1 to 255, also in its answer; 0 for frames that are none. */
  readonly request: number;
  /** Counts the frames sent in this direction, 16 bits. */
  readonly sequence: number;
  /** Low 16 bits of the chip's timer tick; 0 in frames of a host that does not know it. */
  readonly tick: number;
  readonly body: Uint8Array;
}

const HEAD_BYTES = 6;
const CRC_BYTES = 4;

/** Longest run of nonzero bytes in one block of COBS. */
const BLOCK = 254;

/**
 * Consistent Overhead Byte Stuffing: returns the bytes encoded without any 0 (Cheshire, Baker 1999, IEEE/ACM Transactions on
 * Networking 7(2):159-172).
 */
export function stuff(bytes: Uint8Array): Uint8Array {
  const out = new Uint8Array(bytes.length + 1 + Math.floor(bytes.length / BLOCK));
  let count = 0;
  for (let from = 0; ; ) {
    const zero = bytes.indexOf(0, from);
    const end = Math.min(zero === -1 ? bytes.length : zero, from + BLOCK);
    out[count] = end - from + 1;
    out.set(bytes.subarray(from, end), count + 1);
    count += end - from + 1;
    if (end === bytes.length) return out.subarray(0, count);
    from = end - from === BLOCK ? end : end + 1;
  }
}

/** The inverse of `stuff`; undefined for bytes that stuffing cannot produce. */
export function unstuff(bytes: Uint8Array): Uint8Array | undefined {
  const out = new Uint8Array(bytes.length);
  let count = 0;
  for (let at = 0; at < bytes.length; ) {
    const code = bytes[at] ?? 0;
    const end = at + code;
    if (code === 0 || end > bytes.length) return undefined;
    out.set(bytes.subarray(at + 1, end), count);
    count += end - at - 1;
    if (code <= BLOCK && end < bytes.length) count += 1; // a 0
    at = end;
  }
  return out.subarray(0, count);
}

/** A frame as sent: head, body and their CRC-32, stuffed, and a final 0. */
export function encodeFrame({ kind, request, sequence, tick, body }: Frame): Uint8Array {
  const bytes = Buffer.alloc(HEAD_BYTES + body.length + CRC_BYTES);
  bytes[0] = kind;
  bytes[1] = request;
  bytes.writeUInt16LE(sequence, 2);
  bytes.writeUInt16LE(tick, 4);
  bytes.set(body, HEAD_BYTES);
  bytes.writeUInt32LE(crc32(bytes.subarray(0, -CRC_BYTES)), bytes.length - CRC_BYTES);
  return Buffer.concat([stuff(bytes), Buffer.from([0])]);
}

/** Decodes the bytes between two zeros; undefined if they are not an intact frame. */
export function decodeFrame(stuffed: Uint8Array): Frame | undefined {
  const bytes = unstuff(stuffed);
  if (bytes === undefined || bytes.length < HEAD_BYTES + CRC_BYTES) return undefined;
  const covered = bytes.subarray(0, -CRC_BYTES);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  if (crc32(covered) !== view.getUint32(covered.length, true)) return undefined;
  const [kind = 0, request = 0] = covered;
  return { kind, request, sequence: view.getUint16(2, true), tick: view.getUint16(4, true), body: covered.subarray(HEAD_BYTES) };
}

/** No frame from a chip is longer, in bytes; anything that continues without an end is noise. */
const FRAME_MAX = 2048;

/** Splits a stream of bytes into frames. Damaged ones are counted and dropped. */
export class FrameReader {
  damaged = 0;
  private rest: Uint8Array = new Uint8Array(0);

  /** Returns the frames that these bytes complete. */
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
    if (this.rest.length > FRAME_MAX) {
      this.rest = new Uint8Array(0);
      this.damaged += 1;
    }
    return frames;
  }
}
