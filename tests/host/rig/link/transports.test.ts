import { once } from 'node:events';
import { createServer } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { StateChain } from '../../../../host/chip/chain.js';
import { INJECTED } from '../../../../host/chip/protocol.js';
import type { Board, BoardAddress, ConnectOptions } from '../../../../host/rig/board.js';
import { connectBoard } from '../../../../host/rig/link/connect.js';
import { createWasmRunner, loadController } from '../../../../host/runner/wasm-runner.js';
import { arbitraryInputs } from '../../../support/arbitrary-inputs.js';
import { nativeFirmware } from '../../../support/chip-lines.js';
import { isChipMissing } from '../../../support/chip-tools.js';
import { type NativeBoard, startNativeBoard } from '../../../support/native-board.js';
import { PROJECT } from '../../../support/project.js';

const controller = loadController(PROJECT.controllerWasm);
const ROWS = 3;
const TICKS = 300;

/** Inputs of some ticks, and the wasm's chain after them. */
function runOnWasm() {
  const wasm = createWasmRunner(controller, ROWS);
  const chain = new StateChain(wasm.input.buffer as ArrayBuffer, controller.description.contract, ROWS);
  const inputs: Uint8Array[] = [];
  for (let tick = 0; tick < TICKS; tick++) {
    arbitraryInputs(wasm.input, tick);
    inputs.push(wasm.input.slice());
    wasm.tick();
    chain.update();
  }
  return { inputs, chain: chain.value };
}
const WASM = runOnWasm();

const boards: Board[] = [];
const natives: NativeBoard[] = [];
afterEach(async () => {
  for (const board of boards.splice(0)) await board.close();
  for (const { process } of natives.splice(0)) process.kill('SIGKILL');
});

async function connect(address: BoardAddress, options?: ConnectOptions): Promise<Board> {
  const board = await connectBoard(address, controller.description, options);
  boards.push(board);
  return board;
}

const firmware = (): BoardAddress => ({ kind: 'firmware', firmware: nativeFirmware() });

/** The address of a newly started board. */
async function addressOf(way: 'firmware' | 'process' | 'tcp' | 'udp' | 'serial'): Promise<BoardAddress> {
  if (way === 'firmware') return firmware();
  if (way === 'process') return { kind: 'process', program: nativeFirmware().image, words: [] };
  const native = await startNativeBoard(way === 'serial' ? 'pty' : way);
  natives.push(native);
  if (way === 'serial') return { kind: 'serial', path: native.address, baud: 115_200, maxBaud: 1_000_000 };
  const [host = '', port] = native.address.split(':');
  return { kind: way, host, port: Number(port) };
}

async function chainOn(board: Board): Promise<number | undefined> {
  const run = await board.lockstep(ROWS, {});
  const pieces = Array.from({ length: Math.ceil(TICKS / run.ticksMax) }, (_, index) =>
    Buffer.concat(WASM.inputs.slice(index * run.ticksMax, (index + 1) * run.ticksMax)),
  );
  return (await Promise.all(pieces.map((inputs) => run.runTicks(inputs)))).at(-1)?.chain;
}

const message = (promise: Promise<unknown>): Promise<string> =>
  promise.then(
    () => 'no error',
    (error: Error) => error.message,
  );

describe.skipIf(isChipMissing('native'))('a board', () => {
  it.each(['firmware', 'process', 'tcp', 'udp', 'serial'] as const)('runs the same over %s, also if a tenth is lost', async (way) => {
    const address = await addressOf(way);
    const clean = await connect(address);
    expect(clean.greeting.board).toBe('native');
    expect(await chainOn(clean)).toBe(WASM.chain);
    // While both ends of a serial line switch to the higher rate, something may get lost.
    if (way !== 'serial') expect(clean.statistics().received).toMatchObject({ lost: 0, doubled: 0, damaged: 0 });
    await clean.close();
    // A program ends with its link.
    const again = way === 'firmware' || way === 'process' ? await addressOf(way) : address;
    const lossy = await connect(again, { relay: { seed: 2, toBoard: { lose: 0.1 }, fromBoard: { lose: 0.1 } } });
    expect(await chainOn(lossy)).toBe(WASM.chain);
  });

  it('gives its parameters and its memory, and restarts', async () => {
    const board = await connect(firmware());
    await board.lockstep(ROWS, { gainLearning: 0 });
    expect(await board.readParameters()).toMatchObject({ gainLearning: 0, tickHz: 1000 });
    expect(await board.restart()).toMatchObject({ startCause: 'requested', isResumed: false });
    expect(await chainOn(board)).toBe(WASM.chain);
  });

  it('that stops in the middle of a run says why', async () => {
    const board = await connect(firmware());
    const run = await board.lockstep(ROWS, {});
    await board.inject(INJECTED.powerCut);
    expect(await message(run.runTicks(WASM.inputs[0] ?? Buffer.alloc(0)))).toBe('native has restarted: power');
  });

  it('runs by its timer, reports every step and stops', async () => {
    const board = await connect(await addressOf('tcp'));
    let [steps, lost, isEnded] = [0, 0, false];
    const run = await board.freeRun(
      ROWS,
      {},
      {},
      {
        onStep: ({ step }) => {
          expect(step).toBe(steps + lost);
          steps += 1;
        },
        onLost: (from, to) => {
          lost += to - from + 1;
        },
        onEvent: ({ what }) => {
          isEnded ||= what === 'run ended';
        },
      },
    );
    for (let next = 0; steps + lost < 100; next = Math.max(next + 1, Math.floor(run.stepAt(performance.now()).step))) {
      run.sendInputs(next, WASM.inputs[next % TICKS] ?? Buffer.alloc(0), 1);
      await new Promise((resolve) => setTimeout(resolve, 1));
    }
    await board.stop();
    const end = await run.end();
    expect(end).toMatchObject({ end: 'stopped', isComplete: true });
    expect(steps + lost).toBe(end.steps);
    expect(isEnded).toBe(true);
  });

  it('with a run is refused to a second host', async () => {
    const address = await addressOf('tcp');
    const board = await connect(address);
    const run = await board.freeRun(ROWS, {}, {}, {});
    run.sendInputs(0, WASM.inputs[0] ?? Buffer.alloc(0), 1);
    expect(await message(connect(address))).toMatch(/: another host has a run on this board\. End that run first\.$/);
  });
});

describe('what a user reads about a way that does not work', () => {
  it.each([
    { address: { kind: 'serial', path: '/dev/there-is-no-port', baud: 115_200 }, expected: '/dev/there-is-no-port: no such file.' },
    {
      address: { kind: 'serial', path: '/dev/null', baud: 115_200 },
      expected: /^\/dev\/null: this is not a serial port, or it does not support 115200 baud/,
    },
    { address: { kind: 'process', program: '/no/such/program', words: [] }, expected: /^\/no\/such\/program: the program does not start/ },
    { address: { kind: 'process', program: '/bin/false', words: [] }, expected: 'false has ended' },
    {
      address: { kind: 'process', program: '/bin/cat', words: [] },
      expected: /^cat: what is sent comes back unchanged, and nothing else\. Check that/,
    },
  ] as const)('$expected', async ({ address, expected }) => {
    const text = await message(connect(address, { silenceMs: 300 }));
    if (typeof expected === 'string') expect(text).toBe(expected);
    else expect(text).toMatch(expected);
  });

  it('a port that nobody listens at, by TCP and by UDP', async () => {
    // A port that was free a moment ago.
    const server = createServer().listen(0, '127.0.0.1');
    await once(server, 'listening');
    const { port } = server.address() as { port: number };
    server.close();
    await once(server, 'close');
    const options = { silenceMs: 300 };
    expect(await message(connect({ kind: 'tcp', host: '127.0.0.1', port }, options))).toBe(
      `127.0.0.1:${port}: nothing listens there. Check the address, and that the board is on.`,
    );
    expect(await message(connect({ kind: 'udp', host: '127.0.0.1', port }, options))).toBe(
      `127.0.0.1:${port} (UDP): nothing answers. Check the cable, the port and whether the board has power.`,
    );
  });

  it('a program that writes something else', async () => {
    const noise = { kind: 'process', program: '/bin/sh', words: ['-c', 'while true; do printf "a\\000b\\000"; sleep 0.01; done'] } as const;
    expect(await message(connect(noise, { silenceMs: 300 }))).toMatch(
      /^sh: only garbage arrives: \d+ bytes and no intact frame\. Check the baud rate/,
    );
  });
});
