import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { afterAll, describe, expect, it } from 'vitest';
import { assessRecording } from '../../../host/assess/assess-recording.js';
import { METRICS, type Metrics } from '../../../host/assess/metrics.js';
import { evaluateRequirements } from '../../../host/assess/requirements.js';
import { InputError } from '../../../host/common/input-error.js';
import { describeContract } from '../../../host/contract/contract.js';
import type { MessageName } from '../../../host/contract/messages.js';
import { RecordingWriter } from '../../../host/recording/writer.js';
import { UNITS } from '../../../shared/units.js';
import { KINDS, LIFTED, MadeRun, WORKING } from '../../support/made-run.js';

const contract = describeContract();
const [NONE, OPEN, CLOSE] = [0, 1, 2];

const SETTLED = 2000;

describe('the metrics of the load', () => {
  it('of a load 50 N above its target are 50 N, all in band', () => {
    const metrics = new MadeRun().set('truth', 1, { wheelN: 500 }).go(10000).finish();
    expect(metrics.over.loadRmsN.mean).toBeCloseTo(50, 6);
    expect(metrics.over).toMatchObject({
      inBandPercent: { mean: 100 },
      rawInBandPercent: { mean: 100 },
      liftOffPercent: { mean: 0 },
      meanLoadN: { mean: 500 },
      errorP50N: { mean: 50 },
      errorP90N: { mean: 50 },
      errorP99N: { mean: 50 },
    });
    expect({ seconds: metrics.seconds, assessedS: metrics.bank.assessedS }).toEqual({ seconds: 10, assessedS: 8 });
  });

  it.each([
    [299.5, 0],
    [300.5, 100],
    [599.5, 100],
    [600.5, 0],
  ])('have a load of %d N and a target of 450 N in band for %d %% of the time', (wheelN, percent) => {
    const { over } = new MadeRun().set('truth', 1, { wheelN }).go(3000).finish();
    expect([over.inBandPercent.mean, over.rawInBandPercent.mean]).toEqual([percent, percent]);
  });

  // Only of the raw load: a low-passed one is off by some 1e-9 N even in steady state.
  it.each([300, 600])('include the limit of %d N in the band', (wheelN) => {
    expect(new MadeRun().set('truth', 1, { wheelN }).go(3000).finish().over.rawInBandPercent.mean).toBe(100);
  });

  it('use the low-passed load, and the raw load for its own metrics', () => {
    const run = new MadeRun();
    for (let pair = 0; pair < 5000; pair++) run.set('truth', 1, { wheelN: 900 }).go(1).set('truth', 1, { wheelN: 0 }).go(1);
    const { over } = run.finish();
    expect(over).toMatchObject({ inBandPercent: { mean: 100 }, rawInBandPercent: { mean: 0 }, liftOffPercent: { mean: 50 } });
    expect(over.meanLoadN.mean).toBe(450);
    expect(over.loadRmsN.mean).toBeLessThan(1);
  });

  // A sine of 200 N has a mean square of 20,000 N²; half of it passes at the corner. 16 full periods are assessed.
  it('have half the power of a swing at 1 Hz', () => {
    const run = new MadeRun();
    for (let tick = 0; tick < 18000; tick++) run.set('truth', 1, { wheelN: 450 + 200 * Math.sin((2 * Math.PI * tick) / 1000) }).go(1);
    expect(run.finish().over.loadRmsN.mean).toBeCloseTo(100, 1);
  });

  // The load is constant, and so is its low-pass. The target makes errors of 1 to 100 N, equally often.
  it('are percentiles by nearest rank, and the RMS', () => {
    const run = new MadeRun().set('truth', 1, { wheelN: 500 }).go(SETTLED);
    for (let tick = 0; tick < 1000; tick++) run.set('probe', 0, { targetLoadN: 499 - (tick % 100) }).go(1);
    const { over } = run.finish();
    expect([over.errorP50N.mean, over.errorP90N.mean, over.errorP99N.mean]).toEqual([50, 90, 99]);
    // 1² + 2² + … + 100² = 338,350.
    expect(over.loadRmsN.mean).toBeCloseTo(Math.sqrt(3383.5), 6);
  });

  // The low-pass is in steady state at each load; only the targets differ.
  it('tell time above the band from time below it', () => {
    const run = new MadeRun().set('truth', 1, { wheelN: 500 }).go(SETTLED);
    for (const [targetLoadN, ticks] of [
      [349, 100],
      [351, 200],
      [649, 300],
      [651, 400],
    ] as const)
      run.set('probe', 0, { targetLoadN }).go(ticks);
    const { over } = run.finish();
    expect([over.highPercent.mean, over.lowPercent.mean, over.inBandPercent.mean]).toEqual([10, 40, 50]);
  });

  it('limit a percentile to 4095 N', () => {
    const { over } = new MadeRun().set('truth', 1, { wheelN: 9000 }).go(3000).finish();
    expect([over.errorP50N.mean, over.meanLoadN.mean]).toEqual([4095, 9000]);
  });

  it('are mean, min and max over rows', () => {
    const run = new MadeRun(3).set('truth', 1, { wheelN: 460 }).set('truth', 2, { wheelN: 470 }).set('truth', 3, { wheelN: 510 });
    const { byRow, over } = run.go(3000).finish();
    expect(byRow.meanLoadN).toEqual([460, 470, 510]);
    expect(over.meanLoadN).toEqual({ mean: 480, min: 460, max: 510 });
  });
});

describe('the metrics of the depth', () => {
  const made = (): MadeRun => new MadeRun().set('truth', 0, { setDepthMm: 60 }).set('truth', 1, { depthMm: 0 }).go(SETTLED);

  // 5 and 10 mm are exact in 32 bits, and not more than 5 and 10 mm.
  it('are shares of time below two limits, and the standard deviation', () => {
    const run = made();
    for (const depthMm of [66, 60, 55, 54.9, 50, 49.9, -300]) run.set('truth', 1, { depthMm }).go(10);
    const { over } = run.finish();
    expect(over.shallow5Percent.mean).toBeCloseTo(400 / 7, 9);
    expect(over.shallow10Percent.mean).toBeCloseTo(200 / 7, 9);
  });

  it('have a spread about their own mean', () => {
    const run = made();
    for (const depthMm of [58, 52]) run.set('truth', 1, { depthMm }).go(500);
    expect(run.finish().over.depthSdMm.mean).toBe(3);
  });

  it('count an unknown depth as shallow', () => {
    const { over } = made().set('truth', 1, { depthMm: Number.NaN }).go(10).finish();
    expect([over.shallow5Percent.mean, over.shallow10Percent.mean, over.depthSdMm.mean]).toEqual([100, 100, Number.NaN]);
  });
});

describe('the metrics of a lowering', () => {
  const lifted = (rows = 1): MadeRun => {
    const run = new MadeRun(rows).set('input', 0, { lowered: 0 });
    for (let row = 1; row <= rows; row++) run.set('truth', row, { wheelN: 0, chamberKpa: 9000 });
    return run.go(1000);
  };

  // The step of the low-pass from 0 N: 1 - exp(-a)·(cos a + sin a) with a = √2·π·t·1 Hz reaches 300/450 at a = 1.3041, t = 0.2935 s,
  // and overshoots by exp(-π), 4.3 %, at a = π.
  it('begin with the touch of the wheels, and end when the load stays in band', () => {
    const run = lifted().set('input', 0, { lowered: 1 }).set('truth', 1, { chamberKpa: 3000 }).go(700);
    const { over } = run
      .set('truth', 1, { wheelN: 450, chamberKpa: 4000 })
      .go(2000)
      .set('truth', 1, { chamberKpa: 8000 })
      .go(1000)
      .finish();
    expect(over.loweringS.max).toBeCloseTo(0.2935, 2);
    expect(over.loweringPeakN.max).toBeCloseTo(450 * (1 + Math.exp(-Math.PI)), 0);
    expect(over.loweringMaxKpa.max).toBe(4000);
  });

  it('are those of the worst lowering; one that is cut off counts with its time so far', () => {
    const run = lifted().set('input', 0, { lowered: 1 }).set('truth', 1, { wheelN: 450 }).go(3000);
    run.set('input', 0, { lowered: 0 }).set('truth', 1, { wheelN: 0 }).go(2000);
    run.set('input', 0, { lowered: 1 }).set('truth', 1, { wheelN: 900 }).go(1500);
    const { over } = run.finish();
    expect(over.loweringS.max).toBe(1.5);
    expect(over.loweringPeakN.max).toBeGreaterThan(900);
  });

  it('have no value for a row that was not lowered, or is off', () => {
    const run = lifted(2).set('input', 2, { enabled: 0 }).set('input', 0, { lowered: 1 });
    const { byRow, over } = run.set('truth', 1, { wheelN: 450 }).set('truth', 2, { wheelN: 900 }).go(2000).finish();
    expect([byRow.loweringS[1], byRow.loweringPeakN[1], byRow.loweringMaxKpa[1]]).toEqual([Number.NaN, Number.NaN, Number.NaN]);
    expect(over.loweringS.mean).toBe(byRow.loweringS[0]);
    expect(new MadeRun().go(3000).finish().over.loweringS.mean).toBeNaN();
  });
});

describe('the metrics after steps of the soil and stones', () => {
  /** Drives at 2 m/s and 1 kHz, with a load that begins in steady state at its target. */
  class Drive extends MadeRun {
    distanceM = 0;
    drive(ticks: number): this {
      for (let tick = 0; tick < ticks; tick++) {
        this.distanceM += 0.002;
        this.set('truth', 0, { distanceM: this.distanceM }).go(1);
      }
      return this;
    }
  }
  const started = (): Drive => new Drive().set('truth', 1, { soilN: 500 }).drive(2500);

  it('begin with a change of the soil force by more than 400 N', () => {
    const none = started().set('truth', 1, { soilN: 900 }).drive(1000).finish();
    expect(none.over.soilStepS.mean).toBeNaN();
    const run = started().set('truth', 1, { soilN: 901 }).drive(100);
    const { over } = run.set('probe', 0, { targetLoadN: 100 }).drive(400).set('probe', 0, { targetLoadN: 430 }).drive(3000).finish();
    expect(over.soilStepS.mean).toBeCloseTo(0.5, 1);
    expect(over.soilStepErrorN.mean).toBeCloseTo(350, 3);
  });

  it('ignore a change of the soil over more than half a metre, and one that is not assessed', () => {
    const run = started();
    for (let soilN = 500; soilN < 1100; soilN++) run.set('truth', 1, { soilN }).drive(1);
    expect(run.finish().over.soilStepS.mean).toBeNaN();
    const lifted = started().set('output', 0, { mode: LIFTED }).set('truth', 1, { soilN: 1100 });
    expect(lifted.drive(500).finish().over.soilStepS.mean).toBeNaN();
  });

  it('are means over the steps', () => {
    const run = started();
    for (const soilN of [1000, 500]) {
      run
        .set('truth', 1, { soilN })
        .set('probe', 0, { targetLoadN: soilN === 1000 ? 250 : 200 })
        .drive(1000);
      run.set('probe', 0, { targetLoadN: 450 }).drive(1500);
    }
    const { over } = run.finish();
    expect(over.soilStepErrorN.mean).toBeCloseTo((200 + 250) / 2, 3);
    expect(over.soilStepS.mean).toBeCloseTo(1, 1);
  });

  it('begin with each stone', () => {
    expect(started().drive(1000).finish().over.stoneRecoveryS.mean).toBeNaN();
    const run = started();
    for (const [stonesMet, outTicks] of [
      [1, 100],
      [2, 300],
    ] as const) {
      run.set('truth', 1, { stonesMet }).set('probe', 0, { targetLoadN: 200 }).drive(outTicks);
      run.set('probe', 0, { targetLoadN: 450 }).drive(2000);
    }
    expect(run.finish().over.stoneRecoveryS.mean).toBe(0.2);
  });

  it('are 0 s where the load stays in band', () => {
    const { over } = started().set('truth', 1, { soilN: 1200, stonesMet: 1 }).drive(2000).finish();
    expect([over.soilStepS.mean, over.stoneRecoveryS.mean]).toEqual([0, 0]);
  });
});

describe('assessment', () => {
  it('starts once the bank has been working for 2 s without a break', () => {
    const run = new MadeRun().go(5000).set('output', 0, { mode: LIFTED }).go(1).set('output', 0, { mode: WORKING });
    expect(run.go(5000).finish().bank.assessedS).toBe(3 + 3);
  });

  it('has one tick after 2001 ticks of work, at 1 kHz', () => {
    expect(new MadeRun().go(2000).finish().bank.assessedS).toBe(0);
    expect(new MadeRun().go(2001).finish().bank.assessedS).toBe(0.001);
    expect(new MadeRun(1, 500).go(1001).finish().bank.assessedS).toBe(0.002);
  });

  it('excludes a row while its switch is off, and for 2 s after', () => {
    const run = new MadeRun(2).set('truth', 1, { wheelN: 500 }).go(3000);
    run.set('input', 1, { enabled: 0 }).set('truth', 1, { wheelN: 2000 }).go(3000);
    run.set('input', 1, { enabled: 1 }).set('truth', 1, { wheelN: 500 }).go(3000);
    const { byRow, bank } = run.finish();
    expect(byRow.meanLoadN).toEqual([500, 450]);
    expect(byRow.loadRmsN[0]).toBeCloseTo(50, 0);
    expect(bank.assessedS).toBe(7);
  });

  it('excludes a row that is always off from mean, min and max', () => {
    const { byRow, over } = new MadeRun(2).set('input', 2, { enabled: 0 }).go(3000).finish();
    expect(byRow.meanLoadN).toEqual([450, Number.NaN]);
    expect(over.meanLoadN).toEqual({ mean: 450, min: 450, max: 450 });
    expect(over.pulsesPerMin).toEqual({ mean: 0, min: 0, max: 0 });
  });

  it('of a bank that never works gives NaN, in JSON null', () => {
    const metrics = new MadeRun().set('output', 0, { mode: LIFTED }).go(10000).finish();
    const { over, bank } = metrics;
    const quality = METRICS.filter((one) => one.scope === 'row' && one.during === 'assessed').map(({ name }) => over[name as 'loadRmsN']);
    expect(quality).toHaveLength(15);
    for (const spread of quality) expect(spread).toEqual({ mean: Number.NaN, min: Number.NaN, max: Number.NaN });
    expect([over.coilW.mean, over.pulsesPerMin.mean, bank.assessedS]).toEqual([0, 0, 0]);
    expect(JSON.parse(JSON.stringify(metrics)).over.loadRmsN).toEqual({ mean: null, min: null, max: null });
    expect(evaluateRequirements(metrics, [{ metric: 'loadRmsN', max: 1e9 }])).toMatchObject([{ measured: 'no value', met: false }]);
  });

  it('of a NaN load gives NaN; it is neither in band nor a small error', () => {
    const { over } = new MadeRun(2).go(2500).set('truth', 2, { wheelN: Number.NaN }).go(500).finish();
    expect([over.loadRmsN.mean, over.loadRmsN.max, over.meanLoadN.mean]).toEqual([Number.NaN, Number.NaN, Number.NaN]);
    expect([over.inBandPercent.min, over.rawInBandPercent.min, over.errorP99N.max]).toEqual([50, 50, 4095]);
  });
});

describe('the metrics of a whole run', () => {
  it('count a stroke once however long it lasts, and opening strokes as pulses', () => {
    const run = new MadeRun().go(1000);
    run.set('output', 1, { supplyOrder: OPEN }).go(2).set('output', 1, { supplyOrder: NONE }).go(8);
    run.set('output', 1, { supplyOrder: CLOSE }).go(2).set('output', 1, { supplyOrder: NONE }).go(8);
    run.set('output', 1, { returnOrder: OPEN }).go(2).set('output', 1, { returnOrder: CLOSE }).go(2);
    const { over, bank } = run.set('output', 1, { returnOrder: NONE }).go(4976).finish();
    // 2 pulses and 4 strokes in 6 s.
    expect([over.pulsesPerMin.mean, over.strokesPerMin.mean, bank.bankStrokesPerMin]).toEqual([20, 40, 40]);
  });

  it('count a stroke that is in progress in the first tick', () => {
    const { over } = new MadeRun().set('output', 1, { supplyOrder: CLOSE }).go(6000).finish();
    expect([over.pulsesPerMin.mean, over.strokesPerMin.mean]).toEqual([0, 10]);
  });

  it('are increases of counters, from 0 at the start of the run', () => {
    const run = new MadeRun(2);
    run.set('truth', 1, { oilMl: 50, coilJ: 0.5, coilLossJ: 0.25, reboundJ: 24, missedStrokes: 1 });
    run.set('truth', 2, { oilMl: 150, coilJ: 1, coilLossJ: 0.5, reboundJ: 48, missedStrokes: 2 }).set('truth', 0, { hydraulicJ: 300 });
    const { byRow, bank } = run.go(6000).finish();
    // 50 mL in 6 s are 0.5 L/min.
    expect(byRow).toMatchObject({ oilLpm: [0.5, 1.5], reboundW: [4, 8], missedStrokes: [1, 2] });
    expect(byRow.coilW[0]).toBeCloseTo(0.5 / 6, 12);
    expect(byRow.coilLossW[1]).toBeCloseTo(0.5 / 6, 12);
    expect(bank).toMatchObject({ oilTotalLpm: 2, hydraulicW: 50, coilTotalW: 0.25, coilTotalLossW: 0.125, missedStrokesTotal: 3 });
  });

  it('are increases from the first tick if that is not tick 0', () => {
    const run = new MadeRun(1, 1000, 60000).set('truth', 1, { oilMl: 1000 }).go(1);
    const { over, seconds } = run.set('truth', 1, { oilMl: 1050 }).go(6000).finish();
    expect([over.oilLpm.mean, seconds]).toEqual([0.5, 6.001]);
  });

  it('include extremes: of pressures, currents and voltages always, of travel while assessed', () => {
    const run = new MadeRun().set('truth', 0, { coilsA: 30, bankV: 12, railTrueKpa: 15000 });
    run.set('truth', 1, { chamberKpa: 4000, travelMm: -200 }).go(SETTLED);
    run.set('truth', 1, { chamberKpa: 6000, travelMm: 10 }).set('truth', 0, { coilsA: 12, bankV: 9.5, railTrueKpa: 9000 }).go(1);
    run.set('truth', 1, { chamberKpa: 3000, travelMm: -5 }).set('truth', 0, { coilsA: 0, bankV: 13, railTrueKpa: 14000 }).go(1);
    const { over, bank } = run.finish();
    expect(over).toMatchObject({ chamberMinKpa: { min: 3000 }, chamberMaxKpa: { max: 6000 } });
    expect(over).toMatchObject({ travelMinMm: { min: -5 }, travelMaxMm: { max: 10 } });
    expect(bank).toMatchObject({ peakCoilsA: 30, bankMinV: 9.5, railMinKpa: 9000 });
  });

  it('include waits, the time with both valves open, and valves open at the end', () => {
    const run = new MadeRun(1, 500).set('probe', 1, { waitTicks: 23 }).go(1).set('probe', 1, { waitTicks: 3 });
    run.set('truth', 1, { supplyOpening: 1, returnOpening: 0.5 }).go(5).set('truth', 1, { returnOpening: 0.51 }).go(7);
    const { over } = run.set('truth', 1, { supplyOpening: 0.2 }).go(1).finish();
    expect(over).toMatchObject({ longestWaitMs: { max: 46 }, bothOpenMs: { max: 14 }, openAtEnd: { max: 1 } });
  });

  it('count cycles of chamber pressure of 5 bar or more', () => {
    const run = new MadeRun(2);
    for (let cycle = 0; cycle < 4; cycle++) {
      for (const chamberKpa of [4000, 4400, 5000, 4400]) run.set('truth', 1, { chamberKpa }).set('truth', 2, { chamberKpa: 4000 }).go(1);
    }
    // The pressure of the second row swings once by 4.5 bar, then once by 6 bar.
    for (const chamberKpa of [4450, 4000, 4600]) run.set('truth', 1, { chamberKpa: 4000 }).set('truth', 2, { chamberKpa }).go(1);
    const { byRow, pressureCycles } = run.finish();
    // Row 1: eight half swings of 10 bar. Row 2: the swing of 6 bar at its end is half a cycle; that of 4.5 bar is not counted.
    expect(byRow.pressureCycles).toEqual([4, 0.5]);
    expect(pressureCycles).toEqual([
      { fromKpa: 500, count: 0.5 },
      { fromKpa: 1000, count: 4 },
    ]);
  });

  it('require consecutive ticks, and at least one', () => {
    const { assessor } = new MadeRun().go(5);
    expect(() => assessor.take(6)).toThrow('tick 6 after tick 4');
    expect(() => new MadeRun().finish()).toThrow('no tick');
  });
});

describe('the faults of a run', () => {
  // Bits as in shared/faults.ts: supplyLow 8 and railLow 11 of the bank, loadOpen 1 and pressureShort 5 of a row.
  it('are listed with row and time', () => {
    const run = new MadeRun(2)
      .go(1000)
      .set('output', 2, { faults: 1 << 1 })
      .go(500);
    run.set('output', 2, { faults: (1 << 1) | (1 << 5) }).set('output', 0, { faults: 1 << 8 });
    const { faults, bank } = run
      .go(500)
      .set('output', 2, { faults: 1 << 5 })
      .go(1000)
      .finish();
    expect(faults).toEqual([
      { name: 'loadOpen', scope: 'row', row: 2, fromS: 1, toS: 2, isSetAtEnd: false },
      { name: 'supplyLow', scope: 'bank', row: 0, fromS: 1.5, toS: 3, isSetAtEnd: true },
      { name: 'pressureShort', scope: 'row', row: 2, fromS: 1.5, toS: 3, isSetAtEnd: true },
    ]);
    expect(bank.faultsSet).toBe(3);
  });

  it('that flicker are all counted, and the first 20 listed', () => {
    const run = new MadeRun();
    for (let time = 0; time < 100; time++) run.set('output', 1, { faults: 2 }).go(1).set('output', 1, { faults: 0 }).go(1);
    const { faults, bank } = run
      .set('output', 0, { faults: 1 << 11 })
      .go(1)
      .finish();
    expect(bank.faultsSet).toBe(101);
    expect(faults.map(({ name }) => name)).toEqual([...new Array(20).fill('loadOpen'), 'railLow']);
  });
});

describe('the memory of the assessor', () => {
  it('does not grow with time', () => {
    setFlagsFromString('--expose-gc');
    const collect = runInNewContext('gc') as () => void;
    const run = new MadeRun(4);
    const drive = (ticks: number): number => {
      for (let count = 0; count < ticks; count++) {
        const swing = Math.sin(run.tick * 0.013) * Math.sin(run.tick * 0.00071);
        for (let row = 1; row <= 4; row++) run.set('truth', row, { wheelN: 450 + 400 * swing, chamberKpa: 4500 + 3000 * swing });
        run.set('output', 1, { faults: run.tick % 2 }).go(1);
      }
      collect();
      const { heapUsed, arrayBuffers } = process.memoryUsage();
      return heapUsed + arrayBuffers;
    };
    const early = drive(20_000);
    // One byte per row and tick would be 720,000 bytes.
    expect(drive(180_000) - early).toBeLessThan(200_000);
    expect(run.finish().bank.faultsSet).toBe(100_000);
  });
});

describe('a recording', () => {
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-assess-'));
  afterAll(() => rmSync(folder, { recursive: true }));
  const file = join(folder, 'run.mcap');

  /** Records 2.5 s of two rows with a rising load, without the messages for which `omits` returns true. */
  function record(omits: (kind: MessageName, tick: number) => boolean, messages: readonly MessageName[] = KINDS): Metrics {
    const run = new MadeRun(2);
    const writer = RecordingWriter.create(file, { contract, rows: 2, tickHz: 1000, messages });
    for (let tick = 0; tick < 2500; tick++) {
      run.set('truth', 2, { wheelN: 400 + tick / 10, oilMl: tick }).set('output', 1, { supplyOrder: tick % 5 });
      for (const kind of messages) if (!omits(kind, tick)) writer.write(kind, tick, run.views[kind]);
      run.go(1);
    }
    writer.close();
    return run.finish();
  }

  function refusal(): string {
    try {
      assessRecording(file, contract);
    } catch (error) {
      if (error instanceof InputError) return error.message.replaceAll(`${folder}/`, '');
      throw error;
    }
    throw new Error('no error was thrown');
  }

  it('has the metrics of its run', () => {
    const metrics = record(() => false);
    expect(metrics.over.loadRmsN.max).toBeGreaterThan(100);
    expect(assessRecording(file, contract)).toEqual(metrics);
  });

  it('is refused when a kind of message is missing', () => {
    record(() => false, ['input', 'output']);
    expect(refusal()).toBe(
      'run.mcap: the recording has no probe and no truth messages. Record input, output, probe, truth with `latchbench simulate -o`.',
    );
  });

  it('is refused when a tick lacks a kind of message, or a tick is missing', () => {
    record((kind, tick) => kind === 'truth' && tick === 17);
    expect(refusal()).toBe('run.mcap: tick 17 has no truth message.');
    record((_, tick) => tick === 17);
    expect(refusal()).toBe('run.mcap: tick 17 is missing.');
  });

  it('that ends within a tick is assessed up to the tick before', () => {
    record((kind, tick) => kind === 'probe' && tick === 2499);
    expect(assessRecording(file, contract).seconds).toBe(2.499);
  });
});

describe('the table of metrics', () => {
  const ENDINGS: Readonly<Record<string, string>> = {
    '1/min': 'PerMin',
    '%': 'Percent',
    'L/min': 'Lpm',
    kPa: 'Kpa',
    mm: 'Mm',
    ms: 'Ms',
    s: 'S',
  };

  it('has names that end in their unit', () => {
    const wrong = METRICS.filter(({ name, unit }) => {
      const { symbol } = UNITS[unit];
      return !new RegExp(`[a-z0-9]${ENDINGS[symbol] ?? symbol}$`).test(name);
    });
    expect(wrong).toEqual([]);
  });

  it('has each name once', () => {
    const names = METRICS.map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
  });
});
