import { describe, expect, it } from 'vitest';
import { replayFreely } from '../../../host/rig/replay-freely.js';
import { LINK_LIMITS } from '../../../host/rig/rig-file.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { DoubleBoard, type DoubleFaults, outputByte } from '../../support/double-board.js';
import { PROJECT } from '../../support/project.js';
import { VirtualClock } from '../../support/virtual-clock.js';

const controller = loadController(PROJECT.controllerWasm);
const VECTOR = readVector(PROJECT, 'relatch-at-rest');

const LAST_ORDER = outputByte(controller.description.contract, VECTOR.rows, 'supplyOrder');

async function run(faults: DoubleFaults, setup = {}) {
  const clock = new VirtualClock();
  const board = new DoubleBoard(controller, clock, faults);
  const plan = { period: 1, leadMs: 20, limits: LINK_LIMITS, ...setup };
  return clock.settle(replayFreely(board, controller, VECTOR, plan, clock, undefined, () => {}));
}

describe('a free run of a vector', () => {
  it('is explained bit for bit over a good link, and its times are those of the link', async () => {
    const result = await run({ latencyMs: 3 });
    expect(result.reasons).toEqual([]);
    expect(result).toMatchObject({ verdict: 'same', quality: { held: 0, lost: 0, skipped: 0, sentLate: 0, steps: result.ticks } });
    // All steps before the inputs, with inputs, and while valves close.
    expect(result.explanation.steps).toBeGreaterThan(result.ticks);
    expect(result.explanation.hashes).toBeGreaterThanOrEqual(Math.floor(result.ticks / 1000));
    expect(result.quality.reportMs).toMatchObject({ min: 3, max: 3 });
    // Sent 20 ms ahead, at the latest 2 ms later: between two looks at the board's step.
    expect(result.quality.inputMs.min).toBeGreaterThan(17);
    expect(result.quality.inputMs.max).toBeLessThanOrEqual(20);
  });

  it('is explained where inputs get lost, and counts the steps that held older ones', async () => {
    const result = await run({ losesInputs: (step) => step % 500 === 100 });
    expect(result.verdict).toBe('same');
    const lost = Array.from({ length: result.ticks }, (_, tick) => result.firstStep + tick).filter((step) => step % 500 === 100).length;
    expect(result.quality).toMatchObject({ held: lost, holdMsMax: 1 });
    expect(result.quality.ageSteps.max).toBe(1);
  });

  it.each<[string, DoubleFaults, RegExp]>([
    [
      'inputs of every tenth step are lost',
      { losesInputs: (step) => step % 10 === 0 },
      /^10 % of the steps held older inputs \(limit 1 %\)$/,
    ],
    ['a cut of 80 ms', { losesInputs: (step) => step >= 400 && step < 480 }, /^80 ms without new inputs \(limit 50 ms\)$/],
    [
      'every hundredth report is lost',
      { losesReport: (step) => step % 100 === 50 },
      /^the reports of 1 % of the steps are lost \(limit 0\.1 %\)$/,
    ],
  ])('is not judged where %s', async (_, faults, reason) => {
    const { verdict, reasons } = await run(faults);
    expect(verdict).toBe('notJudged');
    expect(
      reasons.some((one) => reason.test(one)),
      reasons.join('; '),
    ).toBe(true);
  });

  it('names the step, row and signal of a fault of the board, over a bad link too', async () => {
    const changes = (step: number, output: Uint8Array): void => {
      if (step === 700) output[LAST_ORDER] = 1;
    };
    const { verdict, explanation } = await run({ changes, losesInputs: (step) => step % 10 === 0 });
    expect(verdict).toBe('outputsDiffer');
    expect(explanation.divergence).toMatchObject({ tick: 700, row: VECTOR.rows });
    expect(explanation.steps).toBe(700);
  });

  it('goes on after lost reports, and a later hash shows that nothing else happened in them', async () => {
    const { explanation, verdict } = await run({ losesReport: (step) => step === 300 });
    expect(verdict).toBe('same');
    expect(explanation).toMatchObject({ lost: 1, unknownFrom: undefined, divergence: undefined });
  });

  it('says from which step on nothing is known if inputs and report of the same step are lost', async () => {
    const { verdict, reasons } = await run({ losesReport: (step) => step === 300, losesInputs: (step) => step === 300 });
    expect(verdict).toBe('notJudged');
    expect(reasons.join()).toContain('nothing can be said from step 300 on');
  });

  it('counts timer ticks that the board skips', async () => {
    const { quality, verdict } = await run({ skipsBefore: (step) => step === 200 || step === 600 });
    expect(verdict).toBe('same');
    expect(quality).toMatchObject({ skipped: 2, stepTicks: { max: 2 } });
  });

  it.each<[string, DoubleFaults, string]>([
    ['restarts', { restartsAt: 150 }, 'the board restarted during the run: watchdog'],
    ['ends the run', { endsAt: 150 }, 'the board ended the run at step 150: power failing'],
  ])('is stopped by a board that %s', async (_, faults, reason) => {
    const { verdict, reasons, explanation } = await run(faults);
    expect([verdict, reasons]).toEqual(['stopped', [reason]]);
    expect(explanation.steps).toBeGreaterThanOrEqual(149);
  });

  it('holds inputs between those of a longer period', async () => {
    const { verdict, quality } = await run({}, { period: 5 });
    expect(verdict).toBe('same');
    expect(quality).toMatchObject({ held: 0, ageSteps: { max: 0 } });
  });
});
