import { describe, expect, it } from 'vitest';
import type { ParameterValues } from '../../host/contract/contract.js';
import { Bench } from '../support/bench.js';
import { ORIFICE_FLOW } from './figures/orifice-flow.js';

const KPA_PER_COUNT = 7.62939453125;

/** Returns the flow that the controller expects through an open supply valve, L/min, and its pressure drop, bar. */
function supplyFlow(values: ParameterValues, dropCounts: number): { litrePerMinute: number; dropBar: number } {
  const bench = new Bench(1, { strategy: 0, deadbandN: 1, ...values });
  bench.row(1, { pressureCounts: 1200 }).bank({ railCounts: 1200 + dropCounts, targetLoadN: 3000 });
  bench.start();
  // The expected step is flow·tick/compliance, kPa in a tick of 1 ms: 1 mL/ms is 60 L/min.
  const stepKpaPerTick = bench.records.get('pairState', 0, 'stepKpaPerTick');
  return { litrePerMinute: stepKpaPerTick * bench.probe('compliance') * 60, dropBar: (dropCounts * KPA_PER_COUNT) / 100 };
}

describe('flow of a valve', () => {
  it.each(ORIFICE_FLOW)('of $diameterMm mm at $dropBar bar is $litrePerMinute L/min, by Q = Cd·A·√(2·Δp/ρ)', (figure) => {
    const atHundred = ORIFICE_FLOW.find((one) => one.diameterMm === figure.diameterMm && one.dropBar === 100);
    const dropCounts = Math.round((figure.dropBar * 100) / KPA_PER_COUNT);
    const { litrePerMinute, dropBar } = supplyFlow({ valveFlowLpm: atHundred?.litrePerMinute ?? Number.NaN }, dropCounts);
    // The drop is rounded to counts; flow is proportional to its root.
    expect(litrePerMinute * Math.sqrt(figure.dropBar / dropBar)).toBeCloseTo(figure.litrePerMinute, 4);
  });

  it('of 8 L/min at 100 bar needs a sharp-edged orifice of 1.34 mm, or 1.25 mm with a discharge coefficient of 0.72', () => {
    const { litrePerMinute, dropBar } = supplyFlow({}, 1311);
    const atHundred = litrePerMinute * Math.sqrt(100 / dropBar);
    expect(atHundred).toBeCloseTo(8, 3);
    // Area is proportional to the square of the diameter; 1.5 mm pass 9.967 L/min at Cd 0.62.
    expect(1.5 * Math.sqrt(atHundred / 9.967143497848642)).toBeCloseTo(1.344, 3);
    expect(0.62 * (1.344 / 1.25) ** 2).toBeCloseTo(0.717, 3);
  });

  it('is the same if the nominal flow is specified at another drop', () => {
    // 8 L/min at 100 bar are 4 L/min at 25 bar.
    const one = supplyFlow({ valveFlowLpm: 8, valveFlowDropKpa: 10000 }, 1000).litrePerMinute;
    const other = supplyFlow({ valveFlowLpm: 4, valveFlowDropKpa: 2500 }, 1000).litrePerMinute;
    expect(other).toBeCloseTo(one, 4);
  });
});
