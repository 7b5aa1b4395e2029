import { describe, expect, it } from 'vitest';
import type { Harm } from '../../../../host/rig/board.js';
import { ClockEstimate } from '../../../../host/rig/link/clock-alignment.js';
import { JournalStream } from '../../../../host/rig/link/journal-stream.js';
import { RelayDirection } from '../../../../host/rig/link/relay.js';
import { RoundTripTimes } from '../../../../host/rig/link/round-trips.js';
import { SequenceCounter } from '../../../../host/rig/link/sequence-counter.js';
import { Noise } from '../../../support/noise.js';
import { VirtualClock } from '../../../support/virtual-clock.js';

describe('counting frames by their numbers', () => {
  const CASES: readonly { name: string; frames: number[]; lost?: number; doubled?: number; reordered?: number }[] = [
    { name: 'all in order', frames: [5, 6, 7] },
    { name: 'a gap', frames: [5, 8], lost: 2 },
    { name: 'over the end of 16 bits', frames: [65534, 65535, 0, 2], lost: 1 },
    { name: 'a frame twice', frames: [5, 6, 6, 7], doubled: 1 },
    { name: 'an old frame again, after others', frames: [5, 6, 7, 5], doubled: 1 },
    { name: 'a frame overtaken by the next', frames: [5, 7, 6, 8], reordered: 1 },
    { name: 'overtaken and doubled', frames: [5, 7, 6, 6], reordered: 1, doubled: 1 },
    { name: 'so late that it is no longer known', frames: [5, 7, 200, 6], lost: 193, doubled: 1 },
  ];
  it.each(CASES)('$name', ({ frames, lost = 0, doubled = 0, reordered = 0 }) => {
    const counter = new SequenceCounter();
    for (const frame of frames) counter.take(frame);
    expect({ lost: counter.lost, doubled: counter.doubled, reordered: counter.reordered }).toEqual({ lost, doubled, reordered });
  });
});

describe('a relay', () => {
  /** What arrives of 2000 frames of 3 bytes, one each millisecond. */
  async function pass(harm: Harm, seed = 4, unit: 'frame' | 'byte' = 'frame') {
    const clock = new VirtualClock();
    const arrived: { ms: number; bytes: Buffer }[] = [];
    const relay = new RelayDirection(
      harm,
      seed,
      unit,
      clock,
      () => false,
      (bytes) => arrived.push({ ms: clock.nowMs(), bytes: Buffer.from(bytes) }),
    );
    for (let index = 0; index < 2000; index++) {
      clock.after(index, () => relay.take(Uint8Array.of(1 + (index % 255), 1 + Math.floor(index / 255), 0)));
    }
    await clock.pass(2100);
    return { arrived, done: relay.done };
  }

  const SHARES: readonly { name: 'lost' | 'doubled' | 'damaged' | 'reordered'; harm: Harm }[] = [
    { name: 'lost', harm: { lose: 0.1 } },
    { name: 'doubled', harm: { double: 0.1 } },
    { name: 'damaged', harm: { damage: 0.1 } },
    { name: 'reordered', harm: { reorder: 0.1 } },
  ];
  // 2000 trials at 0.1 have a standard deviation of 13.
  it.each(SHARES)('does it to the share that was asked for: $name', async ({ name, harm }) => {
    const { arrived, done } = await pass(harm);
    expect(done[name]).toBeGreaterThan(145);
    expect(done[name]).toBeLessThan(255);
    const count = { lost: 2000 - done.lost, doubled: 2000 + done.doubled, damaged: 2000, reordered: 2000 }[name];
    expect(arrived).toHaveLength(count);
  });

  it('does the same with the same seed, and something else with another', async () => {
    const harm = { lose: 0.2, double: 0.2, damage: 0.1, delayMs: [0, 3] as const };
    const [one, same, other] = await Promise.all([pass(harm), pass(harm), pass(harm, 5)]);
    expect(one.arrived).toEqual(same.arrived);
    expect(one.arrived).not.toEqual(other.arrived);
  });

  it('keeps the order of what it delays', async () => {
    const { arrived } = await pass({ delayMs: [2, 9] });
    const numbers = arrived.map(({ bytes }) => (bytes[0] ?? 0) - 1 + 255 * ((bytes[1] ?? 0) - 1));
    expect(numbers).toEqual(numbers.map((_, index) => index));
    const delays = arrived.map(({ ms }, index) => ms - index);
    expect(Math.min(...delays)).toBeGreaterThanOrEqual(2);
    expect(Math.max(...delays)).toBeLessThanOrEqual(9);
  });

  it('harms single bytes if asked for', async () => {
    const { done } = await pass({ lose: 0.01 }, 4, 'byte');
    expect(done.passed + done.lost).toBe(6000);
    expect(done.lost).toBeGreaterThan(30);
    expect(done.lost).toBeLessThan(95);
  });
});

describe('aligning clocks', () => {
  /** Exchanges with a board of this drift, over delays of 0.2 to 5 ms drawn for each way. */
  function align(driftPpm: number, seconds: number, startTick = 1000) {
    const estimate = new ClockEstimate(1000);
    const truth = (ms: number): number => startTick + ms * (1 + driftPpm / 1e6);
    const noise = new Noise(driftPpm + seconds);
    let last = 0;
    for (let ms = 0; ms < 1000 * seconds; ms += 250) {
      const delay = (): number => noise.between(2, 50) / 10;
      const sent = ms;
      const at = sent + delay();
      last = at + delay();
      estimate.add(sent, last, truth(at) % 2 ** 32);
    }
    return { estimate, truth, last };
  }

  it.each([0, 37, -250, 9000])('the bounds hold the truth at a drift of %i ppm, and get narrow', (driftPpm) => {
    for (const seconds of [1, 10, 120]) {
      const { estimate, truth, last } = align(driftPpm, seconds);
      const drift = estimate.alignment()?.driftPpm;
      expect(drift?.min).toBeLessThanOrEqual(driftPpm);
      expect(drift?.max).toBeGreaterThanOrEqual(driftPpm);
      for (const ms of [last / 2, last, last + 500]) {
        const { min, max } = estimate.tickAt(ms);
        expect(min).toBeLessThanOrEqual(truth(ms));
        expect(max).toBeGreaterThanOrEqual(truth(ms));
        const back = estimate.msAt(truth(ms));
        expect(back.min).toBeLessThanOrEqual(ms + 1e-6);
        expect(back.max).toBeGreaterThanOrEqual(ms - 1e-6);
      }
      // Delays of some ms bound the drift to that much over the whole time.
      if (drift !== undefined && seconds >= 10) expect(drift.max - drift.min).toBeLessThan((2 * 4e6) / (1000 * seconds));
    }
  });

  it('goes on over the end of 32 bits', () => {
    const start = 2 ** 32 - 3000;
    const { estimate, truth, last } = align(20, 10, start);
    expect(estimate.tickAt(last).value).toBeCloseTo(truth(last), -1);
    expect(estimate.unwrap(truth(last) % 2 ** 32, last)).toBeCloseTo(truth(last), 3);
  });

  it('forgets what contradicts the present rate', () => {
    const { estimate, last } = align(0, 30);
    // The board's clock jumps by a second: no line fits before and after.
    for (let ms = last; ms < last + 20_000; ms += 250) estimate.add(ms, ms + 1, 2000 + ms);
    const { min, max } = estimate.tickAt(last + 20_000);
    expect(min).toBeLessThanOrEqual(last + 22_000);
    expect(max).toBeGreaterThanOrEqual(last + 22_000 - 1);
  });
});

describe('the journal as a stream', () => {
  const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString('latin1');

  function stream(offset: number, answer: (from: number) => Promise<number>) {
    const taken: string[] = [];
    const asked: number[] = [];
    const ask = (from: number): Promise<number> => {
      asked.push(from);
      return answer(from);
    };
    const journal = new JournalStream(offset, (bytes, isAfterLoss) => taken.push(`${isAfterLoss ? '!' : ''}${text(bytes)}`), ask);
    const add = (at: number, piece: string): void => journal.add(at >>> 0, Buffer.from(piece, 'latin1'));
    return { journal, taken, asked, add };
  }
  const later = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

  it('hands each byte on once, whatever is doubled, overlaps or comes early', async () => {
    const { taken, asked, add } = stream(10, async (from) => from);
    add(10, 'ab');
    add(10, 'ab');
    add(14, 'ef'); // 12 is missing
    add(16, 'gh');
    await later();
    add(12, 'cdef'); // sent again in other pieces
    add(18, 'ij');
    expect(taken.join('')).toBe('abcdefghij');
    expect(asked).toEqual([12]);
  });

  it('counts what the board no longer has, and says that bytes are missing', async () => {
    const { journal, taken, add } = stream(10, async () => 14);
    add(10, 'ab');
    add(16, 'gh');
    await later();
    add(14, 'ef');
    expect(taken).toEqual(['ab', '!ef', 'gh']);
    expect(journal.bytesLost).toBe(2);
  });

  it('goes on over the end of 32 bits', async () => {
    const { taken, add } = stream(2 ** 32 - 2, async (from) => from);
    add(2 ** 32 - 2, 'abc');
    add(1, 'de');
    expect(taken.join('')).toBe('abcde');
  });

  it('asks again for a gap that was not filled, and only once at a time', async () => {
    const { asked, add } = stream(0, async (from) => from);
    add(2, 'c');
    add(3, 'd');
    await later();
    add(4, 'e');
    await later();
    expect(asked).toEqual([0, 0]);
  });
});

describe('the time to wait for an answer', () => {
  it('follows the round trips within its limits', () => {
    const trips = new RoundTripTimes();
    expect(trips.timeoutMs(100, 30, 1000)).toBe(100);
    trips.add(50);
    // RFC 6298: mean 50, deviation 25.
    expect(trips.timeoutMs(100, 30, 1000)).toBe(150);
    for (let count = 0; count < 200; count++) trips.add(1);
    expect(trips.timeoutMs(100, 30, 1000)).toBeCloseTo(31, 6);
    expect(trips.timeoutMs(100, 30, 20)).toBe(20);
    expect(trips.summary()).toMatchObject({ count: 201, min: 1, median: 1, max: 50 });
  });
});
