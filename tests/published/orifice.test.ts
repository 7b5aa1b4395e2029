import { describe, expect, it } from 'vitest';
import type { ParameterValues } from '../../host/contract/contract.js';
import { Bench } from '../support/bench.js';
import { ORIFICE_FLOW } from './figures/orifice-flow.js';

const KPA_PER_CODE = 7.62939453125;

/** Flow that the controller expects of an open supply valve, L/min, and the pressure drop that it stands for, bar. */
function supplyFlow(values: ParameterValues, dropCodes: number): { litrePerMinute: number; dropBar: number } {
  const bench = new Bench(1, { strategy: 0, deadbandN: 1, ...values });
  bench.row(1, { pressureCounts: 1200 }).bank({ railCounts: 1200 + dropCodes, targetLoadN: 3000 });
  bench.start();
  // The expected step is flow·tick/compliance, kPa in a tick of 1 ms: 1 mL/ms is 60 L/min.
  const stepKpaPerTick = bench.records.get('pairState', 0, 'stepKpaPerTick');
  return { litrePerMinute: stepKpaPerTick * bench.probe('compliance') * 60, dropBar: (dropCodes * KPA_PER_CODE) / 100 };
}

describe('flow of a valve', () => {
  it.each(ORIFICE_FLOW)('of $diameterMm mm at $dropBar bar is $litrePerMinute L/min, as Q = Cd·A·sqrt(2·dp/rho) says', (figure) => {
    const atHundred = ORIFICE_FLOW.find((one) => one.diameterMm === figure.diameterMm && one.dropBar === 100);
    const dropCodes = Math.round((figure.dropBar * 100) / KPA_PER_CODE);
    const { litrePerMinute, dropBar } = supplyFlow({ valveFlowLpm: atHundred?.litrePerMinute ?? Number.NaN }, dropCodes);
    // The nearest code is not quite the drop of the table; flow goes with its root.
    expect(litrePerMinute * Math.sqrt(figure.dropBar / dropBar)).toBeCloseTo(figure.litrePerMinute, 4);
  });

  it('8 L/min at 100 bar take a sharp-edged orifice of 1.34 mm, or one of 1.25 mm with a discharge coefficient of 0.72', () => {
    const { litrePerMinute, dropBar } = supplyFlow({}, 1311);
    const atHundred = litrePerMinute * Math.sqrt(100 / dropBar);
    expect(atHundred).toBeCloseTo(8, 3);
    // Area goes with the square of the diameter; 1.5 mm pass 9.967 L/min at Cd 0.62.
    expect(1.5 * Math.sqrt(atHundred / 9.967143497848642)).toBeCloseTo(1.344, 3);
    expect(0.62 * (1.344 / 1.25) ** 2).toBeCloseTo(0.717, 3);
  });

  it('is the same flow when it is given at another drop', () => {
    // 8 L/min at 100 bar are 4 L/min at 25 bar.
    const one = supplyFlow({ valveFlowLpm: 8, valveFlowDropKpa: 10000 }, 1000).litrePerMinute;
    const other = supplyFlow({ valveFlowLpm: 4, valveFlowDropKpa: 2500 }, 1000).litrePerMinute;
    expect(other).toBeCloseTo(one, 4);
  });
});
