import { execFileSync } from 'node:child_process';
import { closeSync, createReadStream, openSync, writeSync } from 'node:fs';
import { afterEach, describe, expect, it } from 'vitest';
import { parameterBytes } from '../../../host/chip/chip-runner.js';
import { NO_INPUTS } from '../../../host/chip/protocol.js';
import { placeOf } from '../../../host/contract/contract.js';
import { messageBytes } from '../../../host/contract/messages.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { nativeFirmware } from '../../support/chip-lines.js';
import { isChipMissing } from '../../support/chip-tools.js';
import { PROJECT } from '../../support/project.js';
import { journalOf, RawEnd, RawProgram } from '../../support/raw-board.js';

/* The firmware's end of the link, frame by frame, on the program of this computer. */

const { description } = loadController(PROJECT.controllerWasm);
const { contract } = description;
const ROWS = 2;
const INPUT_BYTES = messageBytes(contract, 'input', ROWS);
const OUTPUT_BYTES = messageBytes(contract, 'output', ROWS);
const u32 = (...values: number[]): Buffer => Buffer.from(Uint32Array.from(values).buffer);

let program: RawProgram | undefined;
afterEach(() => program?.close());

async function started(...words: string[]): Promise<RawProgram> {
  program = await RawProgram.start(nativeFirmware().image, ...words);
  return program;
}

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Greets the board until its valves are closed, each time with a new session. Returns the number of the next request. */
async function ready(end: RawEnd): Promise<number> {
  for (let session = 100; ; session++) {
    if ((await end.hello(session, contract.hash))[2] === 1) return 1;
    await pause(20);
  }
}

function configureBody(mode: 'lockstep' | 'freeRun', period = 1): Buffer {
  const head = Buffer.from([ROWS, 0, mode === 'lockstep' ? 1 : 2, 1, period, 0, 0, 0]);
  return Buffer.concat([head, parameterBytes(description, {})]);
}

/** Inputs whose target tells them apart, N. */
function inputsOf(targetN: number): Buffer {
  const bytes = Buffer.alloc(INPUT_BYTES);
  bytes.writeFloatLE(targetN, 0);
  return bytes;
}

const inputsBody = (first: number, ...each: Buffer[]): Buffer => Buffer.concat([u32(first), Buffer.from([each.length, 0, 0, 0]), ...each]);

describe.skipIf(isChipMissing('native'))('requests', () => {
  it('run in their order and once each, whatever is repeated, missing or late', async () => {
    const end = (await started()).standard();
    const first = await ready(end);
    expect((await end.request('configure', first, configureBody('lockstep'))).readInt32LE(0)).toBe(0);
    const chainOf = (body: Buffer): number => body.readUInt32LE(OUTPUT_BYTES);
    const one = await end.request('ticks', first + 1, inputsOf(1000));
    // Again: the same answer, and nothing runs.
    expect(await end.request('ticks', first + 1, inputsOf(1000))).toEqual(one);
    // The one after the next: the board says which it misses, once, and does not run it.
    end.send('ticks', first + 3, inputsOf(3000));
    end.send('ticks', first + 4, inputsOf(3000));
    const missing = await end.next(({ kind }) => kind === 0xe3);
    expect([...missing.body]).toEqual([first + 2]);
    const two = await end.request('ticks', first + 2, inputsOf(2000));
    const three = await end.request('ticks', first + 3, inputsOf(3000));
    expect(end.frames.filter(({ kind }) => kind === 0xe3)).toEqual([]);
    expect(new Set([one, two, three].map(chainOf)).size).toBe(3);
    // Eight answers are kept: request 1 is one of them no longer, and is passed over.
    for (let number = first + 4; number < first + 12; number++) await end.request('status', number);
    end.send('status', first + 3);
    await end.request('status', first + 12);
    expect(end.frames.filter(({ request }) => request === first + 3)).toEqual([]);
    // The same ticks from the start have the same chain.
    await end.request('configure', first + 13, configureBody('lockstep'));
    const again = await end.request('ticks', first + 14, Buffer.concat([inputsOf(1000), inputsOf(2000), inputsOf(3000)]));
    expect(chainOf(again)).toBe(chainOf(three));
  });

  it('may be under way eight at a time, across the end of the numbers', async () => {
    const end = (await started()).standard();
    let number = await ready(end);
    for (; number < 250; number++) await end.request('clock', number);
    const numbers = [250, 251, 252, 253, 254, 255, 1, 2];
    for (const one of numbers) end.send('clock', one);
    const ticks: number[] = [];
    for (const one of numbers) ticks.push(Buffer.from((await end.answer('clock', one)).body).readUInt32LE(0));
    expect(ticks).toEqual([...ticks].sort((a, b) => a - b));
  });

  it('are counted, with those that were lost, came twice or overtook others', async () => {
    const end = (await started()).standard();
    await end.hello(1, contract.hash);
    const status = async (number: number, sequence: number): Promise<number[]> => {
      end.send('status', number, undefined, sequence);
      const body = Buffer.from((await end.answer('status', number)).body);
      return [0, 1, 2, 3, 4].map((index) => body.readUInt32LE(12 + 4 * index));
    };
    // hello had 0. received, damaged, lost, doubled, reordered:
    expect(await status(1, 1)).toEqual([2, 0, 0, 0, 0]);
    expect(await status(2, 4)).toEqual([3, 0, 2, 0, 0]);
    expect(await status(3, 3)).toEqual([4, 0, 1, 0, 1]);
    expect(await status(4, 3)).toEqual([5, 0, 1, 1, 1]);
    expect(await status(5, 5)).toEqual([6, 0, 1, 1, 1]);
  });

  it('go on in the same session, and start again with a new one', async () => {
    const end = (await started()).standard();
    const sessionBefore = (body: Buffer): number => body.readUInt32LE(8);
    const expected = (body: Buffer): number => body[66] ?? 0;
    expect(sessionBefore(await end.hello(5, contract.hash))).toBe(0);
    await end.request('status', 1);
    const same = await end.hello(5, contract.hash);
    expect([sessionBefore(same), expected(same)]).toEqual([5, 2]);
    const other = await end.hello(6, contract.hash);
    expect([sessionBefore(other), expected(other)]).toEqual([5, 1]);
    // Without a greeting there is no session, and a request that needs one says so.
    await end.request('restart', 1);
    await end.next(({ kind }) => kind === 0xe1);
    end.send('reconfigure', 9, parameterBytes(description, {}));
    expect([...(await end.next(({ kind }) => kind === 0xff)).body]).toEqual([12, 1]);
  });

  it('tell the time of the board within its tick', async () => {
    const end = (await started()).standard();
    await end.hello(1, contract.hash);
    const read = async (number: number): Promise<number> => {
      const body = await end.request('clock', number);
      expect(body.readUInt32LE(8)).toBe(1_000_000);
      expect(body.readUInt32LE(4)).toBeLessThan(1_000_000);
      return body.readUInt32LE(0) * 1e6 + body.readUInt32LE(4);
    };
    const [from, before, after, to] = [process.hrtime.bigint(), await read(1), await read(2), process.hrtime.bigint()];
    expect(after).toBeGreaterThan(before);
    expect(after - before).toBeLessThan(Number(to - from));
  });
});

describe.skipIf(isChipMissing('native'))('a free run', () => {
  /** Steps of the journal until the run ends: the step its inputs were sent for; −1: none. */
  function stampsOf(end: RawEnd, period: number): number[] {
    const stamps: number[] = [];
    for (const { type, body } of journalOf(end.frames).entries) {
      const first = body.readUInt32LE(0);
      if (type === 'event' && body[4] === 1) break;
      if (type === 'steps') for (let step = first; step < first + body.readUInt16LE(8); step++) stamps[step] = step - (step % period);
      if (type === 'step') stamps[first] = body.readUInt32LE(8) === NO_INPUTS ? -1 : body.readUInt32LE(8);
    }
    return stamps;
  }

  /** Events and their reasons. */
  const eventsOf = (end: RawEnd): [event: number, reason: number][] =>
    journalOf(end.frames)
      .entries.filter(({ type }) => type === 'event')
      .map(({ body }) => [body[4] ?? -1, body.readUInt32LE(5)]);

  /** This computer was too busy to send anything within linkLossTicks. */
  class TooBusy extends Error {}
  const ATTEMPTS = 5;

  async function attempt(run: (end: RawEnd) => Promise<void>): Promise<void> {
    for (let count = 1; ; count++) {
      try {
        await run((await started()).standard());
        return;
      } catch (error) {
        if (!(error instanceof TooBusy) || count === ATTEMPTS) throw error;
        program?.close();
      }
    }
  }

  /** Inputs for far too far ahead: they are dropped, but show that the host is there. */
  const EARLY = 1_000_000;

  async function until(end: RawEnd, condition: () => boolean): Promise<void> {
    while (!condition()) {
      if (eventsOf(end).some(([event, reason]) => event === 1 && reason === 2)) throw new TooBusy();
      end.send('inputs', 0, inputsBody(EARLY, inputsOf(1)));
      await pause(5);
    }
  }

  /** The board ends the run by closing or venting, which is not waited for. */
  async function stop(end: RawEnd): Promise<void> {
    end.send('stop', 9);
    await until(end, () => eventsOf(end).some(([event]) => event === 1));
  }

  it.each([1, 10])('uses inputs at their steps, and reports which it used, with a period of %i steps', (period) =>
    attempt(async (end) => {
      const number = await ready(end);
      end.send('configure', number, configureBody('freeRun', period));
      // 30 are sent ahead, and number 31 is left out; the last has a slot too.
      const sent = Array.from({ length: 30 }, (_, index) => inputsOf(1000 + index));
      end.send('inputs', 0, inputsBody(0, ...sent.slice(0, 15)));
      end.send('inputs', 0, inputsBody(15 * period, ...sent.slice(15)));
      end.send('inputs', 0, inputsBody(31 * period, inputsOf(3100)));
      const configured = await end.answer('configure', number);
      expect(Buffer.from(configured.body).readInt32LE(0)).toBe(0);
      await until(end, () => stampsOf(end, period).length >= 33 * period);
      await stop(end);
      const stamps = stampsOf(end, period);
      const from = stamps.findIndex((stamp) => stamp !== -1);
      const own = Array.from({ length: 30 * period - from }, (_, index) => from + index - ((from + index) % period));
      expect(stamps.slice(from, 30 * period)).toEqual(own);
      // Nothing came for number 30: it held the inputs before.
      expect(stamps.slice(30 * period, 31 * period)).toEqual(Array.from({ length: period }, () => 29 * period));
      expect(stamps.slice(31 * period, 32 * period)).toEqual(Array.from({ length: period }, () => 31 * period));
      expect(journalOf(end.frames).gaps).toEqual([]);
      expect(eventsOf(end)).toEqual([
        [0, 0],
        [1, 4],
      ]);
      const counters = (await end.request('status', number + 1)).subarray(12);
      // early
      expect(counters.readUInt32LE(4 * 9)).toBeGreaterThan(0);
      // held: number 30, and those from 32 on.
      expect(counters.readUInt32LE(4 * 8)).toBeGreaterThanOrEqual(2);
    }),
  );

  it('uses late inputs from the next step on if they are newer, and counts them', () =>
    attempt(async (end) => {
      const number = await ready(end);
      await end.request('configure', number, configureBody('freeRun'));
      await until(end, () => stampsOf(end, 1).length >= 20);
      end.send('inputs', 0, inputsBody(5, inputsOf(500)));
      end.send('inputs', 0, inputsBody(3, inputsOf(300)));
      await end.request('status', number + 1);
      await until(end, () => stampsOf(end, 1).includes(5));
      await stop(end);
      expect(new Set(stampsOf(end, 1))).toEqual(new Set([-1, 5]));
      expect((await end.request('status', number + 2)).readUInt32LE(12 + 4 * 7)).toBe(2);
    }));

  it('sends its journal again from where it is asked to, and samples what is watched', () =>
    attempt(async (end) => {
      const number = await ready(end);
      const { at } = placeOf(contract, 'parameters');
      // The first 4 bytes of the parameters, every 5 steps.
      const watch = Buffer.from([3, 1, 5, 0, at & 255, at >> 8, 4, 0]);
      expect(await end.request('watch', number, watch)).toHaveLength(0);
      await end.request('configure', number + 1, configureBody('freeRun'));
      const samples = () => journalOf(end.frames).entries.filter(({ type }) => type === 'sample');
      await until(end, () => samples().length >= 4);
      await stop(end);
      expect(
        samples()
          .slice(0, 4)
          .map(({ body }) => [body[0], body.readUInt32LE(1)]),
      ).toEqual([
        [3, 0],
        [3, 5],
        [3, 10],
        [3, 15],
      ]);
      expect(samples()[0]?.body.subarray(5)).toEqual(Buffer.from(parameterBytes(description, {}).subarray(0, 4)));
      const whole = journalOf(end.frames);
      end.frames.length = 0;
      expect((await end.request('journalFrom', number + 2, u32(0))).readUInt32LE(0)).toBe(0);
      // Frames that were on their way come first.
      const again = () => {
        const from = end.frames.findIndex(({ kind, body }) => kind === 0xe2 && Buffer.from(body).readUInt32LE(0) === 0);
        return journalOf(from === -1 ? [] : end.frames.slice(from));
      };
      await until(end, () => again().entries.length >= whole.entries.length);
      expect(again().entries.slice(0, whole.entries.length)).toEqual(whole.entries);
      expect([whole.gaps, again().gaps]).toEqual([[], []]);
      // A watch that is longer than an entry, or of a watch that does not exist, is refused.
      end.send('watch', number + 3, Buffer.from([3, 1, 5, 0, 0, 0, 255, 0]));
      end.send('watch', number + 4, Buffer.from([16, 1, 5, 0, 0, 0, 1, 0]));
      for (const one of [number + 3, number + 4]) expect((await end.next(({ request }) => request === one)).kind).toBe(0xff);
    }));
});

describe.skipIf(isChipMissing('native'))('on a network', () => {
  it.each(['tcp', 'udp'] as const)('a second host learns that the board is busy, and can only stop it, over %s', async (kind) => {
    const board = await started(`--${kind}`, '0');
    expect(board.place).toMatch(/^127\.0\.0\.1:\d+$/);
    const [owner, other] = [await board[kind](), await board[kind]()];
    const number = await ready(owner);
    await owner.request('configure', number, configureBody('freeRun'));
    const accepted = async (): Promise<number> => (await other.hello(2, contract.hash))[1] ?? -1;
    expect(await accepted()).toBe(2);
    // Its requests are not answered, and do not disturb those of the owner.
    other.send('endRun', 1);
    expect((await owner.request('status', number + 1))[0]).toBe(3);
    other.send('stop', 9);
    await other.answer('stop', 9);
    expect((await owner.request('status', number + 2))[1]).toBe(4);
    expect(other.frames).toEqual([]);
    expect(journalOf(owner.frames).gaps).toEqual([]);
  });

  it('a datagram has whole frames', async () => {
    const end = await (await started('--udp', '0')).udp();
    await ready(end);
    expect(end.frames.length).toBeGreaterThan(0);
    expect([end.split, end.damaged]).toEqual([0, 0]);
  });

  it('a host whose connection is lost finds its session and its numbers again', async () => {
    const board = await started('--tcp', '0');
    const before = await board.tcp();
    await before.hello(3, contract.hash);
    await before.request('status', 1);
    before.close();
    const after = await board.tcp();
    const body = await after.hello(3, contract.hash);
    expect([body.readUInt32LE(8), body[66]]).toEqual([3, 2]);
  });
});

describe.skipIf(isChipMissing('native'))('the rate of a serial line', () => {
  it('is refused if the board does not support it, and returns if nothing intact arrives at the new one', async () => {
    const { place } = await started('--pty');
    execFileSync('stty', ['-F', place, '115200', 'raw', '-echo', 'clocal']);
    const terminal = openSync(place, 'r+');
    const end = new RawEnd(
      (bytes) => void writeSync(terminal, bytes),
      () => {},
    );
    const stream = createReadStream('', { fd: terminal, autoClose: false });
    stream.on('data', (bytes) => end.receive(bytes as Buffer));
    stream.on('error', () => {});
    await end.hello(1, contract.hash);
    expect((await end.request('rate', 1, u32(12_345))).readInt32LE(0)).toBe(0);
    expect((await end.request('rate', 2, u32(921_600))).readInt32LE(0)).toBe(1);
    // This side does not follow, so what it sends is noise until the board returns.
    let isAnswered = false;
    void end.answer('status', 3).then(() => {
      isAnswered = true;
    });
    while (!isAnswered) {
      end.send('status', 3);
      await pause(100);
    }
    stream.destroy();
    closeSync(terminal);
  });
});
