import { describe, expect, it } from 'vitest';
import { StateChain } from '../../../../host/chip/chain.js';
import { LinkLost } from '../../../../host/chip/link.js';
import { REQUESTS } from '../../../../host/chip/protocol.js';
import { runRecording } from '../../../../host/replay/replay.js';
import type { Board, Harm, RelayOptions } from '../../../../host/rig/board.js';
import { connectOver } from '../../../../host/rig/link/connect.js';
import { createWasmRunner, loadController } from '../../../../host/runner/wasm-runner.js';
import { readVector } from '../../../../host/vector/vector.js';
import { type DoubleOptions, LinkDouble } from '../../../support/link-double.js';
import { PROJECT } from '../../../support/project.js';
import { VirtualClock } from '../../../support/virtual-clock.js';

const controller = loadController(PROJECT.controllerWasm);
const { description } = controller;
const VECTOR = readVector(PROJECT, 'target-step');
const TICKS = 900;

class Enough extends Error {}

/** The first ticks of the vector on the wasm: the inputs of each tick, and outputs and chain after the last. */
function runOnWasm() {
  const wasm = createWasmRunner(controller, VECTOR.rows, VECTOR.values);
  const chain = new StateChain(wasm.input.buffer as ArrayBuffer, description.contract, VECTOR.rows);
  const inputs: Uint8Array[] = [];
  const take = (tick: number): void => {
    chain.update();
    inputs.push(wasm.input.slice());
    if (tick === TICKS - 1) throw new Enough();
  };
  expect(() => runRecording(wasm, VECTOR.inputFile, VECTOR.tickHz, () => {}, take)).toThrow(Enough);
  return { inputs, output: wasm.output.slice(), chain: chain.value, hash: wasm.stateHash() };
}
const WASM = runOnWasm();

/** A double and a board connected to it. */
function setUp(options: DoubleOptions = {}, relay?: RelayOptions) {
  const clock = new VirtualClock();
  const double = new LinkDouble(controller, clock, options);
  const connect = (session?: number): Promise<Board> =>
    connectOver(double, description, { ...(relay && { relay }), ...(session && { session }) }, clock);
  return { clock, double, connect };
}

/** Runs ticks of the vector in lockstep, `count` per request and as many requests at once as the board takes. */
async function feed(board: Board, count: number) {
  const run = await board.lockstep(VECTOR.rows, VECTOR.values);
  const pieces = Array.from({ length: Math.ceil(TICKS / count) }, (_, index) => WASM.inputs.slice(index * count, (index + 1) * count));
  const results = await Promise.all(pieces.map((ticks) => run.runTicks(Buffer.concat(ticks))));
  return { last: results.at(-1), hash: await run.stateHash(), run };
}

const both = (harm: Harm): Pick<RelayOptions, 'toBoard' | 'fromBoard'> => ({ toBoard: harm, fromBoard: harm });

const HARMS: readonly (Omit<RelayOptions, 'seed'> & { readonly name: string })[] = [
  { name: 'nothing', ...both({}) },
  { name: '1 % lost', ...both({ lose: 0.01 }) },
  { name: '10 % lost', ...both({ lose: 0.1 }) },
  { name: '50 % lost', ...both({ lose: 0.5 }) },
  { name: '10 % damaged', ...both({ damage: 0.1 }) },
  { name: '20 % doubled', ...both({ double: 0.2 }) },
  { name: '20 % overtaken by later ones', ...both({ reorder: 0.2, reorderMs: 8 }) },
  { name: 'delays from 0 to 40 ms', ...both({ delayMs: [0, 40] }) },
  { name: 'everything at once', ...both({ lose: 0.1, damage: 0.05, double: 0.1, reorder: 0.1, delayMs: [0, 5] }) },
  { name: '1 byte of 1000 lost, doubled or damaged', unit: 'byte', ...both({ lose: 0.001, double: 0.001, damage: 0.001 }) },
  { name: 'a cable that is cut for 1.5 s', ...both({}), cuts: [[100, 1600]] },
  { name: 'requests lost only', toBoard: { lose: 0.3 } },
  { name: 'answers lost only', fromBoard: { lose: 0.3 } },
];

describe('lockstep over a bad line', () => {
  it.each(HARMS)('runs each tick exactly once: $name', async ({ name, ...harm }) => {
    const { clock, double, connect } = setUp({}, { seed: 7, ...harm });
    const board = await clock.settle(connect());
    const { last, hash } = await clock.settle(feed(board, 3));
    expect(last?.chain).toBe(WASM.chain);
    expect(Buffer.compare(last?.output ?? Buffer.alloc(0), WASM.output)).toBe(0);
    expect(hash).toBe(WASM.hash);
    expect(double.done.filter((kind) => kind === REQUESTS.ticks.kind)).toHaveLength(TICKS / 3);
    const { relay, repeatedRequests } = board.statistics();
    const harmed =
      (relay?.toBoard.lost ?? 0) + (relay?.fromBoard.lost ?? 0) + (relay?.toBoard.damaged ?? 0) + (relay?.fromBoard.damaged ?? 0);
    // The relay has worked, and what it took was sent again.
    if (name === 'nothing') expect({ harmed, repeatedRequests }).toEqual({ harmed: 0, repeatedRequests: 0 });
    else if (harmed > 0) expect(repeatedRequests).toBeGreaterThan(0);
  });

  it('counts exactly what the relay lost and doubled on the way back', async () => {
    const { clock, connect } = setUp({}, { seed: 3, fromBoard: { lose: 0.05, double: 0.05 } });
    const board = await clock.settle(connect());
    await clock.settle(feed(board, 3));
    const { relay, received } = board.statistics();
    expect(relay?.fromBoard.lost).toBeGreaterThan(10);
    expect({ lost: received.lost, doubled: received.doubled }).toEqual({ lost: relay?.fromBoard.lost, doubled: relay?.fromBoard.doubled });
  });

  it('keeps the board busy: with a window of 4 a long line carries 4 times as much', async () => {
    const times = await Promise.all(
      [1, 4].map(async (window) => {
        const { clock, connect } = setUp({ window, delayMs: 10 });
        const board = await clock.settle(connect());
        const before = clock.nowMs();
        await clock.settle(feed(board, 3));
        return clock.nowMs() - before;
      }),
    );
    // 300 requests of 20 ms each, one after another or 4 at once, and two requests around them.
    expect(times[0]).toBeGreaterThanOrEqual(300 * 20);
    expect(times[1]).toBeLessThan((300 * 20) / 4 + 200);
  });
});

describe('a line that is slower than the time to wait at first', () => {
  it('is learned, so that needless copies end', async () => {
    const { clock, connect } = setUp({ delayMs: 120 });
    const board = await clock.settle(connect());
    await clock.settle(feed(board, 3));
    // A round trip takes 240 ms, and the first copies go out after 100 ms.
    const { repeatedRequests, roundTripMs } = board.statistics();
    expect(repeatedRequests).toBeGreaterThan(0);
    expect(repeatedRequests).toBeLessThan(20);
    expect(roundTripMs.median).toBe(240);
  });
});

/** What the user reads. */
const message = (promise: Promise<unknown>): Promise<string> =>
  promise.then(
    () => 'no error',
    (error: Error) => error.message,
  );

describe('what a user reads when a board cannot be used', () => {
  const lost = { seed: 1, ...both({ lose: 1 }) };
  const CASES: readonly { name: string; options: DoubleOptions; relay?: RelayOptions; expected: string }[] = [
    {
      name: 'another contract',
      options: { contractHash: '0123456789abcdef' },
      expected: `double: the board's contract is 0123456789abcdef, this controller's is ${description.contract.hash}. Build its firmware from this controller.`,
    },
    {
      name: 'another version of the link',
      options: { version: 9 },
      expected: 'double: the board uses version 9 of the link, this program version 3. Build its firmware again.',
    },
    {
      name: 'nothing answers',
      options: {},
      relay: lost,
      expected: 'double: nothing answers. Check the cable, the port and whether the board has power.',
    },
  ];
  it.each(CASES)('$name', async ({ options, relay, expected }) => {
    const { clock, connect } = setUp(options, relay);
    expect(await clock.settle(message(connect()))).toBe(expected);
  });

  it('garbage', async () => {
    const { clock, connect } = setUp({}, { seed: 1, unit: 'byte', fromBoard: { damage: 0.5 } });
    expect(await clock.settle(message(connect()))).toMatch(
      /^double: only garbage arrives: \d+ bytes and no intact frame\. Check the baud rate/,
    );
  });

  it('silence in the middle of a run', async () => {
    const { clock, double, connect } = setUp();
    const board = await clock.settle(connect());
    const run = await clock.settle(board.lockstep(VECTOR.rows, VECTOR.values));
    double.isSilent = true;
    const before = clock.nowMs();
    await expect(clock.settle(run.runTicks(WASM.inputs[0] ?? Buffer.alloc(0)))).rejects.toThrow(new LinkLost('double does not answer'));
    expect(clock.nowMs() - before).toBeCloseTo(5000, -2);
    expect(await message(board.status())).toBe('double does not answer');
  });

  it('a restart in the middle of a run, also when its notice is lost', async () => {
    for (const isNoticeLost of [false, true]) {
      const { clock, double, connect } = setUp();
      const board = await clock.settle(connect());
      const run = await clock.settle(board.lockstep(VECTOR.rows, VECTOR.values));
      await clock.settle(run.runTicks(WASM.inputs[0] ?? Buffer.alloc(0)));
      double.isSilent = isNoticeLost;
      double.restart(3);
      double.isSilent = false;
      expect(await clock.settle(message(run.runTicks(WASM.inputs[1] ?? Buffer.alloc(0))))).toBe('double has restarted: watchdog');
      expect(await clock.settle(message(board.lockstep(VECTOR.rows, VECTOR.values)))).toBe('double has stopped and needs a restart');
      expect((await clock.settle(board.restart())).startCause).toBe('requested');
      expect((await clock.settle(feed(board, 3))).last?.chain).toBe(WASM.chain);
    }
  });
});

describe('a cable that is pulled out', () => {
  it('is noticed, and the run goes on once it is back', async () => {
    const { clock, double, connect } = setUp();
    const board = await clock.settle(connect());
    const fed = feed(board, 3);
    await clock.pass(120);
    double.pullOut();
    await clock.pass(900);
    double.isThere = true;
    expect((await clock.settle(fed)).last?.chain).toBe(WASM.chain);
    expect(board.statistics().reconnections).toBe(1);
  });

  it('is given up after the longest silence', async () => {
    const { clock, double, connect } = setUp();
    const board = await clock.settle(connect());
    const fed = message(feed(board, 3));
    await clock.pass(120);
    double.pullOut();
    expect(await clock.settle(fed)).toBe('double has gone');
  });
});

describe('a session', () => {
  it('is taken up by a host that starts again with it', async () => {
    const { clock, connect } = setUp();
    const first = await clock.settle(connect(77));
    const run = await clock.settle(first.lockstep(VECTOR.rows, VECTOR.values));
    await clock.settle(run.runTicks(WASM.inputs[0] ?? Buffer.alloc(0)));
    await clock.settle(first.close());
    const second = await clock.settle(connect(77));
    expect(second.greeting).toMatchObject({ isResumed: true, state: 'lockstep' });
    expect((await clock.settle(second.status())).state).toBe('lockstep');
  });

  it('of a second host is refused while the first has a run', async () => {
    const { clock, connect } = setUp();
    const first = await clock.settle(connect());
    const run = await clock.settle(first.freeRun(VECTOR.rows, VECTOR.values, {}, {}));
    run.sendInputs(0, WASM.inputs[0] ?? Buffer.alloc(0), 1);
    await clock.pass(10);
    expect(await clock.settle(message(connect()))).toBe('double: another host has a run on this board. End that run first.');
  });
});

describe('negotiating the rate of a serial line', () => {
  it.each([
    { name: 'takes the higher one if it works', maxBaud: 1_000_000 },
    { name: 'keeps the lower one if the higher brings nothing', maxBaud: 115_200 },
  ])('$name', async ({ maxBaud }) => {
    const { clock, connect } = setUp({ maxBaud });
    const board = await clock.settle(connect());
    expect((await clock.settle(feed(board, 3))).last?.chain).toBe(WASM.chain);
  });
});
