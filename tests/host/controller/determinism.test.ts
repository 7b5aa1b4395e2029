import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Runner } from '../../../host/runner/runner.js';
import { createWasmRunner } from '../../../host/runner/wasm-runner.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { arbitraryInputs } from '../../support/arbitrary-inputs.js';
import { Bench, controller, loadCountsAt } from '../../support/bench.js';
import { Noise } from '../../support/noise.js';
import { PROJECT } from '../../support/project.js';
import { simulatedRun } from '../../support/simulated-run.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const LIVELY = { restMs: 5, frozenMs: 0, relatchS: 1, loadFilterHz: 20 } as const;

function outputsOf(runner: Runner, ticks: number): string[] {
  return Array.from({ length: ticks }, (_, tick) => {
    arbitraryInputs(runner.input, tick);
    runner.tick();
    return `${Buffer.from(runner.output).toString('hex')} ${runner.stateHash()}`;
  });
}

describe('the same inputs', () => {
  it('give the same outputs and state in another instance', () => {
    const one = outputsOf(createWasmRunner(controller, 7, LIVELY), 3000);
    const other = outputsOf(createWasmRunner(controller, 7, LIVELY), 3000);
    expect(new Set(one).size).toBeGreaterThan(2900);
    expect(other).toEqual(one);
  });

  it('give the same outputs from a restored state as from the state itself', () => {
    const fresh = new Bench(2, LIVELY);
    const used = new Bench(2, LIVELY).row(1, { loadCounts: loadCountsAt(0) }).tick(2000);
    used.runner.restoreState(fresh.runner.saveState());
    expect(outputsOf(used.runner, 1000)).toEqual(outputsOf(fresh.runner, 1000));
  });
});

describe('rows do not affect one another while there are slots for all', () => {
  it('one row of three makes the same strokes as alone', () => {
    const values = { ...LIVELY, strokesAtOnce: 96 };
    const alone = new Bench(1, values);
    const three = new Bench(3, values);
    const noises = [new Noise(1), new Noise(2), new Noise(3)];
    for (let tick = 0; tick < 4000; tick++) {
      const loads = noises.map((noise) => loadCountsAt(450 + 300 * Math.sin(tick / 300) + noise.between(-40, 40)));
      for (const [index, loadCounts] of loads.entries()) three.row(index + 1, { loadCounts });
      alone.row(1, { loadCounts: loads[1] ?? 0 }).tick();
      three.tick();
    }
    const own = (bench: Bench, row: number): string[] =>
      bench.strokes.filter((stroke) => stroke.row === row).map(({ tick, valve, order }) => `${tick} ${order} ${valve}`);
    expect(own(alone, 1).length).toBeGreaterThan(20);
    expect(own(three, 2)).toEqual(own(alone, 1));
  });
});

describe.each([500, 1000, 2000])('at %d Hz', (tickHz) => {
  const ticksIn = (ms: number): number => (ms * tickHz) / 1000;

  it('a stroke takes 2 ms', () => {
    const bench = new Bench(1, { tickHz }).tick();
    expect(bench.tickUntil(() => bench.order('supply') === 'none')).toBe(ticksIn(2));
  });

  it('a debounce of 20 ms and a recovery of 500 ms are exact', () => {
    const bench = new Bench(1, { tickHz }).start().row(1, { loadCounts: 4095 });
    expect(bench.tick(ticksIn(20) - 1).faults(1)).toEqual([]);
    expect(bench.tick().faults(1)).toEqual(['loadOpen']);
    bench.row(1, { loadCounts: loadCountsAt(450) });
    expect(bench.tick(ticksIn(500) - 1).faults(1)).toContain('loadOpen');
    expect(bench.tick().faults(1)).not.toContain('loadOpen');
  });

  it('a closed valve is re-latched every second', () => {
    const bench = new Bench(1, { tickHz, relatchS: 1 }).bank({ enabled: 0 }).tick(ticksIn(2500));
    const ticks = bench.strokes.filter(({ valve }) => valve === 'supply').map(({ tick }) => tick);
    expect(ticks).toEqual([0, ticksIn(1000), ticksIn(2000)]);
  });

  it('a load error of 40 N moves the set point by 120 kPa in a second', () => {
    const bench = new Bench(1, { tickHz, deadbandN: 1000, integralDeadbandN: 0 }).row(1, { loadCounts: 1024 }).bank({ targetLoadN: 477.5 });
    bench.start();
    const first = bench.probe('setPointKpa');
    expect(bench.tick(ticksIn(1000)).probe('setPointKpa') - first).toBeCloseTo(120, 0);
  });

  it('a step of the load reaches half of its size after 57 ms behind a low-pass of 4 Hz', () => {
    // Second-order Butterworth, step response 1 - e^(-x)(cos x + sin x), x = sqrt(2)·pi·4·t: half at x = 1.01348, t = 57.03 ms.
    const bench = new Bench(1, { tickHz, loadRateNPerMs: 10000, loadFilterHz: 4 }).row(1, { loadCounts: 1024 }).tick(10);
    bench.row(1, { loadCounts: 2048 });
    // 2048 counts are 2000 N, so half of the step is at 1218.75 N. The first tick is 1, and the median of 3 adds one.
    const ticks = bench.tickUntil(() => bench.probe('loadN') >= 1218.75);
    expect(((ticks - 2) * 1000) / tickHz).toBeGreaterThan(55);
    expect(((ticks - 2) * 1000) / tickHz).toBeLessThan(59);
  });
});

describe('500, 1000 and 2000 Hz in a closed loop', () => {
  const folder = temporaryFolder();

  /** Metrics of 4 rows in 30 s on a field of class D. */
  function drive(tickHz: number): { pulsesPerMin: number; loadRmsN: number } {
    const file = join(folder, `at-${tickHz}.yaml`);
    writeFileSync(file, `title: A field\nstory: Invented.\nrows: 4\nseconds: 30\nseed: 42\ntickHz: ${tickHz}\nfield: { class: D }\n`);
    const { over } = simulatedRun(readScenario(PROJECT, file)).metrics;
    return { pulsesPerMin: over.pulsesPerMin.mean, loadRmsN: over.loadRmsN.mean };
  }

  it('pulses and load are about the same', () => {
    const [slow, middle, fast] = [drive(500), drive(1000), drive(2000)];
    for (const other of [slow, fast]) {
      expect(other.pulsesPerMin / middle.pulsesPerMin).toBeGreaterThan(0.85);
      expect(other.pulsesPerMin / middle.pulsesPerMin).toBeLessThan(1.15);
      expect(other.loadRmsN / middle.loadRmsN).toBeGreaterThan(0.9);
      expect(other.loadRmsN / middle.loadRmsN).toBeLessThan(1.1);
    }
    // Measured: 100 N and 167 pulses per minute; better is as suspicious as worse.
    expect(middle.loadRmsN).toBeGreaterThan(70);
    expect(middle.loadRmsN).toBeLessThan(130);
  });
});
