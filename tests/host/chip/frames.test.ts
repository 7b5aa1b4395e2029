import { fc, test } from '@fast-check/vitest';
import { afterAll, describe, expect, it } from 'vitest';
import { configureChip, waitUntilReady } from '../../../host/chip/chip-runner.js';
import { decodeFrame, encodeFrame, type Frame, FrameReader, stuff, unstuff } from '../../../host/chip/frames.js';
import type { Line } from '../../../host/chip/line.js';
import { greetOrRefuse, Link } from '../../../host/chip/link.js';
import { placeOf } from '../../../host/contract/contract.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { nativeLine } from '../../support/chip-lines.js';
import { isChipMissing } from '../../support/chip-tools.js';
import { PROJECT } from '../../support/project.js';

const hex = (text: string): Uint8Array => Uint8Array.from(Buffer.from(text.replaceAll(' ', ''), 'hex'));
const range = (from: number, to: number): number[] => Array.from({ length: to - from + 1 }, (_, index) => from + index);

/** Bytes with zeros, and long runs without any. */
const arbitraryBytes = (maxLength: number) =>
  fc.oneof(
    fc.uint8Array({ maxLength }),
    fc.uint8Array({ maxLength, min: 1 }),
    fc.array(fc.constantFrom(0, 1, 255), { maxLength }).map((list) => Uint8Array.from(list)),
  );

const arbitraryFrame = (maxLength: number) =>
  fc.record({
    kind: fc.nat(255),
    request: fc.nat(255),
    sequence: fc.nat(0xffff),
    tick: fc.nat(0xffff),
    body: arbitraryBytes(maxLength),
  });

const frameOf = (kind: number, request: number, body: Uint8Array): Frame => ({ kind, request, sequence: 0x0102, tick: 0, body });

describe('byte stuffing', () => {
  /*
   * 0: the packet of figure 3 in Cheshire and Baker, IEEE/ACM Transactions on Networking 7(2):159-172 (1999), from memory.
   * The others: the eleven encoding examples of Wikipedia, “Consistent Overhead Byte Stuffing”, without the final 0.
   */
  const EXAMPLES: readonly (readonly [plain: Uint8Array, stuffed: Uint8Array])[] = [
    [hex('45 00 00 2c 4c 79 00 00 40 06 4f 37'), hex('02 45 01 04 2c 4c 79 01 05 40 06 4f 37')],
    [hex('00'), hex('01 01')],
    [hex('00 00'), hex('01 01 01')],
    [hex('00 11 00'), hex('01 02 11 01')],
    [hex('11 22 00 33'), hex('03 11 22 02 33')],
    [hex('11 22 33 44'), hex('05 11 22 33 44')],
    [hex('11 00 00 00'), hex('02 11 01 01 01')],
    [Uint8Array.from(range(1, 254)), Uint8Array.of(255, ...range(1, 254))],
    [Uint8Array.of(0, ...range(1, 254)), Uint8Array.of(1, 255, ...range(1, 254))],
    [Uint8Array.from(range(1, 255)), Uint8Array.of(255, ...range(1, 254), 2, 255)],
    [Uint8Array.of(...range(2, 255), 0), Uint8Array.of(255, ...range(2, 255), 1, 1)],
    [Uint8Array.of(...range(3, 255), 0, 1), Uint8Array.of(254, ...range(3, 255), 2, 1)],
  ];

  it.each(EXAMPLES.map(([plain, stuffed], number) => ({ number, plain, stuffed })))(
    'encodes and decodes published example $number',
    ({ plain, stuffed }) => {
      expect(stuff(plain)).toEqual(stuffed);
      expect(unstuff(stuffed)).toEqual(plain);
    },
  );

  test.prop([arbitraryBytes(600)])('leaves no 0, adds at most one byte in 254, and can be reversed', (bytes) => {
    const stuffed = stuff(bytes);
    expect(stuffed.includes(0)).toBe(false);
    expect(stuffed.length).toBeLessThanOrEqual(bytes.length + 1 + Math.floor(bytes.length / 254));
    expect(unstuff(stuffed)).toEqual(bytes);
  });

  it('rejects what stuffing never produces', () => {
    // A block longer than the remaining bytes; a 0 inside.
    expect(unstuff(hex('05 11 22'))).toBeUndefined();
    expect(unstuff(hex('02 11 00 22'))).toBeUndefined();
  });
});

describe('a frame', () => {
  it('carries the CRC-32 whose published check value for 123456789 is CBF43926', () => {
    const bytes = encodeFrame({ kind: 0x31, request: 0x32, sequence: 0x3433, tick: 0x3635, body: Buffer.from('789') });
    expect(bytes).toEqual(Buffer.from([14, ...Buffer.from('123456789'), 0x26, 0x39, 0xf4, 0xcb, 0]));
  });

  test.prop([arbitraryFrame(600)])('is decoded to what was encoded', (frame) => {
    expect(decodeFrame(encodeFrame(frame).subarray(0, -1))).toEqual(frame);
  });

  it('is dropped if any one bit is changed, and the next one is taken', () => {
    const good = frameOf(6, 9, hex('aa bb'));
    for (const body of [hex(''), hex('00'), hex('01 02 00 00 ff 80'), Uint8Array.from(range(0, 255)), new Uint8Array(300).fill(7)]) {
      const bytes = encodeFrame(frameOf(4, 1, body));
      for (let bit = 0; bit < 8 * bytes.length; bit++) {
        const bad = Buffer.from(bytes);
        bad[bit >> 3] = (bad[bit >> 3] ?? 0) ^ (1 << (bit & 7));
        const reader = new FrameReader();
        expect(reader.take(Buffer.concat([bad, Buffer.from([0]), encodeFrame(good)]))).toEqual([good]);
        expect(reader.damaged).toBeGreaterThan(0);
      }
    }
  });
});

describe('a reader of frames', () => {
  it('drops an endless frame, and takes the next one', () => {
    const reader = new FrameReader();
    for (let piece = 0; piece < 10; piece++) expect(reader.take(new Uint8Array(300).fill(0x24))).toEqual([]);
    expect(reader.damaged).toBe(1);
    reader.take(Uint8Array.of(0));
    expect(reader.take(encodeFrame(frameOf(7, 1, hex(''))))).toHaveLength(1);
  });

  const frames = fc.array(arbitraryFrame(300), { maxLength: 6 });

  test.prop([frames, fc.array(fc.nat(2000), { maxLength: 20 })])('finds the same frames wherever the stream is split', (sent, cuts) => {
    const stream = Buffer.concat(sent.map(encodeFrame));
    const places = [0, ...cuts.map((cut) => Math.min(cut, stream.length)).sort((a, b) => a - b), stream.length];
    const reader = new FrameReader();
    const got = places.slice(1).flatMap((end, index) => reader.take(stream.subarray(places[index], end)));
    expect(got).toEqual(sent);
    expect(reader.damaged).toBe(0);
  });

  it('counts noise as damage, but not an empty frame', () => {
    const reader = new FrameReader();
    expect(reader.take(hex('00 00 00'))).toEqual([]);
    expect(reader.damaged).toBe(0);
    expect(reader.take(hex('12 34 56 00'))).toEqual([]);
    expect(reader.damaged).toBe(1);
  });
});

describe.skipIf(isChipMissing('native'))('frames of the firmware', () => {
  const { description } = loadController(PROJECT.controllerWasm);
  const { at } = placeOf(description.contract, 'rowProbe');
  let line: Line | undefined;
  afterAll(() => line?.close());

  function readyLink(): Link {
    line ??= nativeLine();
    const link = new Link(line);
    greetOrRefuse(link, description.contract.hash);
    waitUntilReady(link);
    configureChip(link, description, 48, {}, 'lockstep');
    return link;
  }

  /** A line on which a session has just begun, so that its next request has number 1; and the answers that arrive. */
  function rawLine(): { write: (bytes: Uint8Array) => void; answers: () => Frame[] } {
    const { line: wire } = readyLink();
    const reader = new FrameReader();
    const answers = (): Frame[] => {
      for (;;) {
        const frames = reader.take(wire.read()).filter(({ request }) => request !== 0);
        if (frames.length > 0) return frames;
      }
    };
    const session = Math.floor(Math.random() * 255) + 1;
    const hello = Buffer.from([3, 0, 0, 0, session, session, session, 0, ...Buffer.from(description.contract.hash, 'latin1')]);
    wire.write(encodeFrame(frameOf(1, 1, hello)));
    expect(answers()[0]?.body.slice(0, 3)).toEqual(Uint8Array.of(3, 1, 2));
    return { write: (bytes) => wire.write(bytes), answers };
  }

  it('carry any bytes in both directions', () => {
    const link = readyLink();
    const property = fc.property(arbitraryBytes(480), (bytes) => {
      link.request('write', Buffer.concat([Uint8Array.of(at & 255, at >> 8, 0, 0), bytes]));
      const answer = link.request('read', Uint8Array.of(at & 255, at >> 8, 0, 0, bytes.length & 255, bytes.length >> 8, 0, 0));
      expect(Uint8Array.from(new Uint8Array(answer.buffer, answer.byteOffset, answer.byteLength))).toEqual(bytes);
    });
    fc.assert(property, { numRuns: 300 });
    expect(link.errors).toEqual({ damaged: 0, repeated: 0 });
  });

  it('are dropped if any one bit is changed', () => {
    const { write, answers } = rawLine();
    let number = 1;
    const endRun = encodeFrame(frameOf(8, 0, hex('00 ff 80 01')));
    for (let bit = 0; bit < 8 * endRun.length; bit++) {
      const bad = Buffer.from(endRun);
      bad[bit >> 3] = (bad[bit >> 3] ?? 0) ^ (1 << (bit & 7));
      write(Buffer.concat([bad, Buffer.from([0]), encodeFrame(frameOf(7, number, hex('')))]));
      // The only answer is that to the status: still in lockstep, state 2.
      expect(answers().map(({ kind, request, body }) => [kind, request, body[0]])).toEqual([[0x87, number, 2]]);
      number = (number % 255) + 1;
    }
  });

  it('longer than any request are dropped, and the next one is taken', () => {
    const { write, answers } = rawLine();
    write(Buffer.concat([encodeFrame(frameOf(5, 1, new Uint8Array(2000).fill(9))), encodeFrame(frameOf(7, 1, hex('')))]));
    expect(answers().map(({ kind, request }) => [kind, request])).toEqual([[0x87, 1]]);
  });
});
