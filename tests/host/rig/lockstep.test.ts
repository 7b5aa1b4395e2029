import { describe, expect, it } from 'vitest';
import { replayInLockstep } from '../../../host/rig/lockstep.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { DoubleBoard, type DoubleFaults, outputByte } from '../../support/double-board.js';
import { PROJECT } from '../../support/project.js';
import { VirtualClock } from '../../support/virtual-clock.js';

const controller = loadController(PROJECT.controllerWasm);
const VECTOR = readVector(PROJECT, 'target-step');
const LAST_ORDER = outputByte(controller.description.contract, VECTOR.rows, 'supplyOrder');
/** From its expected.csv: nine seconds at 1 kHz. */
const TICKS = 9000;

async function replay(faults: DoubleFaults = {}) {
  const board = new DoubleBoard(controller, new VirtualClock(), faults);
  return { board, result: await replayInLockstep(board, controller, VECTOR) };
}

describe('a vector on a board in lockstep', () => {
  it('is the same, tick by tick', async () => {
    const { result } = await replay();
    expect(result).toMatchObject({ verdict: 'same', ticks: TICKS, divergence: undefined, stop: undefined });
    expect(result.chipChain).toBe(result.wasmChain);
    expect(result.meanCounts).toBe(1);
  });

  it('differs at the tick at which the board gives another output', async () => {
    // A stroke that nobody ordered, in ticks 1234 and 1235.
    const { result } = await replay({
      changes: (tick, output) => {
        if (tick === 1234 || tick === 1235) output[LAST_ORDER] = 1;
      },
    });
    expect(result).toMatchObject({ verdict: 'outputsDiffer', ticks: 1234, divergence: { tick: 1234, row: VECTOR.rows } });
  });

  it('is stopped by a board that restarts each time, and says after how many ticks', async () => {
    const { board, result } = await replay({ restartsAt: 500 });
    expect(board.restarts).toBe(1);
    expect(result.verdict).toBe('stopped');
    expect(result.stop).toMatch(/^after \d+ ticks: double has restarted: watchdog$/);
    expect(result.ticks).toBeLessThanOrEqual(500);
  });
});
