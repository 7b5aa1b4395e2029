import { describe, expect, it } from 'vitest';
import { placeOf } from '../../../../host/contract/contract.js';
import { messageBytes } from '../../../../host/contract/messages.js';
import type { Board, FreeRun, FreeRunListener, Harm, LinkEvent, RelayOptions } from '../../../../host/rig/board.js';
import { connectOver } from '../../../../host/rig/link/connect.js';
import { loadController } from '../../../../host/runner/wasm-runner.js';
import { arbitraryInputs } from '../../../support/arbitrary-inputs.js';
import { type DoubleOptions, LinkDouble } from '../../../support/link-double.js';
import { PROJECT } from '../../../support/project.js';
import { VirtualClock } from '../../../support/virtual-clock.js';

const controller = loadController(PROJECT.controllerWasm);
const { contract } = controller.description;
const ROWS = 3;
const INPUT_BYTES = messageBytes(contract, 'input', ROWS);
/** Steps that inputs are sent ahead. */
const AHEAD = 20;

function setUp(options: DoubleOptions = {}, relay?: RelayOptions) {
  const clock = new VirtualClock();
  const double = new LinkDouble(controller, clock, options);
  const connect = (session?: number): Promise<Board> =>
    connectOver(double, controller.description, { ...(relay && { relay }), ...(session && { session }) }, clock);
  return { clock, double, connect };
}

/** Keeps what a run reports, as text where that is short. */
class Log implements FreeRunListener {
  readonly steps = new Map<number, { inputStep: number; timerTick: number; output: string; isEnding: boolean }>();
  readonly lost: [number, number][] = [];
  readonly events: string[] = [];
  readonly links: LinkEvent['kind'][] = [];
  readonly samples: { step: number; text: string }[] = [];
  readonly parameters: number[] = [];
  /** Steps in the order of their reports, each once: reported or lost. */
  private next = 0;

  onStep({ step, inputStep, timerTick, output, isEnding }: Parameters<NonNullable<FreeRunListener['onStep']>>[0]): void {
    expect(step).toBe(this.next);
    this.next += 1;
    this.steps.set(step, { inputStep, timerTick, output: Buffer.from(output).toString('hex'), isEnding });
  }
  onLost(from: number, to: number): void {
    expect(from).toBe(this.next);
    this.next = to + 1;
    this.lost.push([from, to]);
  }
  onEvent({ what, step, end }: Parameters<NonNullable<FreeRunListener['onEvent']>>[0]): void {
    this.events.push(`${what} ${step} ${end}`);
  }
  onLink({ kind }: LinkEvent): void {
    this.links.push(kind);
  }
  onSample(watch: number, step: number, bytes: Uint8Array): void {
    this.samples.push({ step, text: `${watch} ${Buffer.from(bytes).toString('hex')}` });
  }
  onParameters(step: number, result: number): void {
    this.parameters.push(step, result);
  }
  get lastOutput(): Uint8Array {
    return Buffer.from([...this.steps.values()].at(-1)?.output ?? '', 'hex');
  }
  get count(): number {
    return this.next;
  }
}

/** Sends inputs ahead of the board for a time; each frame has the stamps of the last two too, so that a single loss does no harm. */
async function drive(clock: VirtualClock, run: FreeRun, ms: number, period: number, sentTo = { step: 0 }): Promise<void> {
  const end = clock.nowMs() + ms;
  while (clock.nowMs() < end) {
    const ahead = run.stepAt(clock.nowMs()).step + AHEAD;
    for (; sentTo.step <= ahead; sentTo.step += period) {
      const first = Math.max(0, sentTo.step - 2 * period);
      const stamps = (sentTo.step - first) / period + 1;
      const bytes = new Uint8Array(stamps * INPUT_BYTES);
      for (let index = 0; index < stamps; index++)
        arbitraryInputs(bytes.subarray(index * INPUT_BYTES, (index + 1) * INPUT_BYTES), first + index * period);
      run.sendInputs(first, bytes, stamps);
    }
    await new Promise<void>((resolve) => clock.after(1, resolve));
  }
}

/** One free run over a line, and what the board really did. */
async function runOver(options: DoubleOptions, relay?: RelayOptions, period = 1, ms = 2500) {
  const { clock, double, connect } = setUp(options, relay);
  const board = await clock.settle(connect());
  const log = new Log();
  const run = await clock.settle(board.freeRun(ROWS, {}, { inputPeriod: period }, log));
  await clock.settle(drive(clock, run, ms, period));
  const end = await clock.settle(run.end());
  return { clock, double, board, log, run, end };
}

/** Every step that was reported is as it was on the board. */
function expectTrue({ log, double }: { log: Log; double: LinkDouble }): void {
  for (const [step, { inputStep, timerTick, output }] of log.steps) {
    const was = double.history[step];
    expect({ step, inputStep, timerTick, output }).toEqual({
      step,
      inputStep: was?.stamp,
      timerTick: was?.timerTick,
      output: Buffer.from(was?.output ?? []).toString('hex'),
    });
  }
}

const both = (harm: Harm): Pick<RelayOptions, 'toBoard' | 'fromBoard'> => ({ toBoard: harm, fromBoard: harm });

/** `held`: what share of the steps may have been without their inputs. */
const LINES: readonly (Omit<RelayOptions, 'seed'> & { readonly name: string; readonly held: number })[] = [
  { name: 'a perfect one', held: 0 },
  { name: '1 % lost', ...both({ lose: 0.01 }), held: 0.01 },
  { name: '10 % lost', ...both({ lose: 0.1 }), held: 0.02 },
  { name: '10 % damaged and 10 % doubled', ...both({ damage: 0.1, double: 0.1 }), held: 0.02 },
  { name: '20 % overtaken', ...both({ reorder: 0.2, reorderMs: 6 }), held: 0 },
];

describe('a free run over a line with', () => {
  it.each(LINES)('$name reports every step once and as it was', async ({ name, held, ...harm }) => {
    const result = await runOver({ journalBytes: 8192 }, { seed: 11, ...harm });
    expectTrue(result);
    const { log, double, end, board } = result;
    expect(log.lost).toEqual([]);
    expect(log.count).toBe(double.steps);
    expect(log.steps.size).toBe(double.steps);
    expect(double.steps).toBeGreaterThan(2400);
    expect(end).toEqual({ end: 'requested', steps: double.steps, isComplete: true });
    // Inputs for the first steps can't be there yet: a run starts without them.
    expect(double.counters.held).toBeLessThan(AHEAD + 10 + held * double.steps);
    expect(log.events[0]).toBe('run started 0 none');
    expect(log.events.at(-1)).toBe(`run ended ${double.steps} requested`);
    expect([...log.steps.values()].filter(({ isEnding }) => isEnding)).toHaveLength(21);
    expect(board.statistics().journalBytesLost).toBe(0);
    expect(board.statistics().board?.received).toBeGreaterThan(0);
  });

  it('50 % lost and a short journal reports each step as it was, or as lost', async () => {
    const result = await runOver({ journalBytes: 1024 }, { seed: 5, ...both({ lose: 0.5 }) });
    expectTrue(result);
    const { log, double, board } = result;
    expect(log.count).toBe(double.steps);
    expect(log.lost.length).toBeGreaterThan(0);
    expect(log.steps.size).toBeGreaterThan(100);
    expect(board.statistics().journalBytesLost).toBeGreaterThan(0);
  });

  it('inputs for every fourth step only', async () => {
    const result = await runOver({}, undefined, 4, 500);
    expectTrue(result);
    const stamps = [...result.log.steps.values()].slice(100, 400).map(({ inputStep }) => inputStep);
    expect(stamps).toEqual(stamps.map((_, index) => 100 + index - ((100 + index) % 4)));
  });

  it('a board that misses timer ticks shows when each step was', async () => {
    const { clock, double, connect } = setUp();
    const board = await clock.settle(connect());
    const log = new Log();
    const run = await clock.settle(board.freeRun(ROWS, {}, {}, log));
    const sent = { step: 0 };
    for (let round = 0; round < 5; round++) {
      await clock.settle(drive(clock, run, 50, 1, sent));
      double.overrunTicks = 2;
    }
    await clock.settle(run.end());
    expectTrue({ log, double });
    const ticks = [...log.steps.values()].map(({ timerTick }) => timerTick);
    const gaps = ticks.slice(1).filter((tick, index) => tick - (ticks[index] ?? 0) !== 1);
    expect(gaps).toHaveLength(5);
  });
});

describe('during a free run', () => {
  it('watched memory comes after its steps', async () => {
    const { clock, connect } = setUp();
    const board = await clock.settle(connect());
    const log = new Log();
    const run = await clock.settle(board.freeRun(ROWS, {}, {}, log));
    await clock.settle(run.watch(2, [{ at: placeOf(contract, 'bankOutput').at, bytes: 8 }], 10));
    await clock.settle(drive(clock, run, 200, 1));
    await clock.settle(run.watch(2, [], 0));
    await clock.settle(run.end());
    expect(log.samples.length).toBeGreaterThan(15);
    for (const { step, text } of log.samples) {
      expect(step % 10).toBe(0);
      expect(text).toBe(`2 ${log.steps.get(step)?.output.slice(0, 16)}`);
    }
  });

  it('new parameters are in force from the step that is reported', async () => {
    const { clock, connect } = setUp();
    const board = await clock.settle(connect());
    const log = new Log();
    const run = await clock.settle(board.freeRun(ROWS, {}, {}, log));
    await clock.settle(drive(clock, run, 100, 1));
    const step = await clock.settle(run.reconfigure({ gainLearning: 0 }));
    await clock.settle(run.end());
    expect(step).toBeGreaterThan(90);
    expect(log.parameters).toEqual([step, 0]);
  });

  it('a cable that is out for a moment is reported, and nothing that the board keeps is lost', async () => {
    const { clock, double, connect } = setUp({ journalBytes: 32_768 });
    const board = await clock.settle(connect());
    const log = new Log();
    const run = await clock.settle(board.freeRun(ROWS, {}, {}, log));
    const driven = drive(clock, run, 1200, 1);
    await clock.pass(200);
    double.pullOut();
    await clock.pass(50);
    double.isThere = true;
    await clock.settle(driven);
    await clock.settle(run.end());
    expect(log.links).toEqual(['gone', 'back']);
    expectTrue({ log, double });
    expect(log.lost).toEqual([]);
    expect(log.steps.size).toBe(double.steps);
    // The board gave the run up when no inputs came for 200 ms.
    expect(log.events.at(-1)).toMatch(/^run ended \d+ link lost$/);
  });

  it('a restart of the board ends the run with words', async () => {
    const { clock, double, connect } = setUp();
    const board = await clock.settle(connect());
    const log = new Log();
    const run = await clock.settle(board.freeRun(ROWS, {}, {}, log));
    await clock.settle(drive(clock, run, 100, 1));
    double.restart(3);
    await clock.pass(100);
    expect(log.links).toEqual(['restarted']);
    expect((await clock.settle(board.status())).state).toBe('stopped');
  });

  it('a board that stays silent is gone, and then lost', async () => {
    const { clock, double, connect } = setUp();
    const board = await clock.settle(connect());
    const log = new Log();
    const run = await clock.settle(board.freeRun(ROWS, {}, {}, log));
    await clock.settle(drive(clock, run, 100, 1));
    double.isSilent = true;
    await clock.pass(6000);
    expect(log.links).toEqual(['gone', 'lost']);
    await expect(clock.settle(run.end())).rejects.toThrow('double does not answer');
  });

  it('an emergency stop ends it, through a line that loses half of everything', async () => {
    const { clock, double, connect } = setUp({}, { seed: 9, ...both({ lose: 0.5 }) });
    const board = await clock.settle(connect());
    const run = await clock.settle(board.freeRun(ROWS, {}, {}, {}));
    await clock.settle(drive(clock, run, 50, 1));
    await clock.settle(board.stop());
    expect(double.end).toBe('stopped');
  });

  it('a host that starts again takes it up without losing a step', async () => {
    const { clock, double, connect } = setUp();
    const first = await clock.settle(connect(5));
    const [before, after] = [new Log(), new Log()];
    const run = await clock.settle(first.freeRun(ROWS, {}, {}, before));
    await clock.settle(drive(clock, run, 100, 1));
    const { journalOffset } = first;
    await clock.settle(first.close());
    const second = await clock.settle(connect(5));
    const nextStep = before.count;
    const listener: FreeRunListener = {
      onStep: ({ step }) => after.steps.set(step, { inputStep: 0, timerTick: 0, output: '', isEnding: false }),
    };
    const options = { journalOffset, nextStep, startTimerTick: run.startTimerTick, output: before.lastOutput };
    const resumed = await clock.settle(second.resumeFreeRun(ROWS, options, listener));
    const sent = { step: nextStep };
    await clock.settle(drive(clock, resumed, 1200, 1, sent));
    const { steps } = await clock.settle(resumed.end());
    expect(double.end).toBe('requested');
    expect([...after.steps.keys()]).toEqual(Array.from({ length: steps - nextStep }, (_, index) => nextStep + index));
  });
});
