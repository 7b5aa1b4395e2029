import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { LINK_LIMITS } from '../../../host/rig/rig-file.js';
import { simulateInLockstep } from '../../../host/rig/simulate-lockstep.js';
import { OrderQueue, simulateInRealTime } from '../../../host/rig/simulate-real-time.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { runAndEvaluate } from '../../../host/simulate/evaluated-run.js';
import { loadPlant } from '../../../host/simulate/plant.js';
import { resolveSettings } from '../../../host/simulate/run-options.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { DoubleBoard, type DoubleFaults, outputByte } from '../../support/double-board.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';
import { VirtualClock } from '../../support/virtual-clock.js';

const binaries = { controller: loadController(PROJECT.controllerWasm), plant: loadPlant() };

function scenarioWith(events = '') {
  const file = join(temporaryFolder(), 'short.yaml');
  writeFileSync(file, `title: A short field\nstory: Invented\nrows: 2\nseconds: 3\n${events}`);
  const scenario = readScenario(PROJECT, file);
  return { scenario, settings: resolveSettings(scenario, {}) };
}

const SHORT = scenarioWith();
const RESTART = scenarioWith('events:\n  - { what: restart, atS: 1.235 }\n');

describe('a scenario with a board in lockstep', () => {
  const simulate = ({ scenario, settings } = SHORT, faults: DoubleFaults = {}) =>
    simulateInLockstep(new DoubleBoard(binaries.controller, new VirtualClock(), faults), binaries, scenario, settings);

  it.each([
    ['', SHORT],
    [', also when the controller restarts', RESTART],
  ])('is bit for bit the pure simulation%s', async (_, { scenario, settings }) => {
    const pure = runAndEvaluate(binaries, scenario, settings);
    const result = await simulate({ scenario, settings });
    expect(result).toMatchObject({ sameTicks: 3000, divergence: undefined, stop: undefined });
    expect(result.run).toEqual(pure.run);
  });

  it('ends at the tick at which the board differs', async () => {
    const at = outputByte(binaries.controller.description.contract, 2, 'supplyOrder');
    const changes = (tick: number, output: Uint8Array): void => {
      if (tick === 1500) output[at] = 1;
    };
    const { sameTicks, divergence } = await simulate(SHORT, { changes });
    expect(sameTicks).toBe(1500);
    expect(divergence).toMatchObject({ tick: 1500, row: 2, signal: 'supplyOrder' });
  });
});

describe('a scenario with a board in real time', () => {
  const simulate = (latencyMs: number, leadMs: number, { scenario, settings } = SHORT) => {
    const clock = new VirtualClock();
    const board = new DoubleBoard(binaries.controller, clock, { latencyMs });
    return clock.settle(simulateInRealTime(board, binaries, scenario, settings, { limits: LINK_LIMITS, leadMs }, clock));
  };

  it('is explained, and the machine follows the orders after lead and latency', async () => {
    const result = await simulate(3, 10);
    expect(result.board).toMatchObject({ verdict: 'same', quality: { held: 0, sentLate: 0 } });
    // A report of step b arrives at b + 3. At most 2 ms before, the machine was simulated up to 10 ms ahead: its next step is b + 12 to b + 14.
    expect(result.orderDelaySteps.min).toBeGreaterThanOrEqual(12);
    expect(result.orderDelaySteps.p50).toBeLessThanOrEqual(14);
    expect(result.run.metrics.bank.assessedS).toBeGreaterThan(0.5);
  });

  it('is not judged if inputs are not sent far enough ahead', async () => {
    expect((await simulate(6, 2)).board).toMatchObject({ verdict: 'notJudged' });
  });

  it('refuses a scenario that restarts the controller', async () => {
    await expect(simulate(1, 10, RESTART)).rejects.toThrow('the controller restarts at tick 1235, which a board in real time does not');
  });
});

describe('orders that arrive in bunches', () => {
  const output = (value: number): Uint8Array => Uint8Array.of(value);

  it('keep the length of a stroke', () => {
    const queue = new OrderQueue(1);
    // A stroke of two steps on the board, 100 to 102; both reports arrive at once.
    queue.put(99, output(0));
    queue.put(100, output(1));
    queue.put(102, output(0));
    const applied = [110, 111, 112, 113].flatMap((step) => queue.next(step)?.output[0] ?? []);
    expect(applied).toEqual([1, 0]);
    const again = new OrderQueue(1);
    again.put(100, output(1));
    again.put(102, output(0));
    expect([110, 111, 112].map((step) => again.next(step)?.step)).toEqual([100, undefined, 102]);
  });

  it('that are far apart do not wait for each other', () => {
    const queue = new OrderQueue(1);
    queue.put(100, output(1));
    expect(queue.next(130)?.step).toBe(100);
    queue.put(200, output(0));
    // 20 steps of delay instead of 30: the link has become faster.
    expect(queue.next(220)?.step).toBe(200);
  });
});
