import type { ParameterValues } from '../../host/contract/contract.js';
import { Bench } from './bench.js';

/** ADC counts 1024 and 3072 are exactly 437.5 N and 3562.5 N of load, and 4687.5 kPa and 20,312.5 kPa of pressure. */
const LOW = 1024;
const HIGH = 3072;

/**
 * Response of the controller's load or pressure filter to a step from 0 to 1, sample by sample, from its probe. The one tick that the
 * median of 3 before the filter delays a step is removed.
 */
export function stepResponse(channel: 'load' | 'pressure', samples: number, values: ParameterValues, speedMmPerS = 0): number[] {
  const { probe, counts, size, rest } = {
    load: { probe: 'loadN', counts: 'loadCounts', size: 3125, rest: 437.5 },
    pressure: { probe: 'pressureKpa', counts: 'pressureCounts', size: 15625, rest: 4687.5 },
  }[channel];
  const bench = new Bench(1, { loadRateNPerMs: 10000, pressureRateKpaPerMs: 20000, ...values });
  bench
    .bank({ groundSpeedMmPerS: speedMmPerS, enabled: 0 })
    .row(1, { [counts]: LOW })
    .tick(50);
  bench.row(1, { [counts]: HIGH }).tick();
  return Array.from({ length: samples }, () => (bench.tick().probe(probe) - rest) / size);
}

/** Gain of a filter at a frequency, dB, from its step response: a discrete Fourier sum over its differences, the impulse response. */
export function gainDb(step: readonly number[], hertz: number, rateHz: number): number {
  let real = 0;
  let imaginary = 0;
  for (const [index, value] of step.entries()) {
    const impulse = value - (index === 0 ? 0 : (step[index - 1] ?? 0));
    const angle = (2 * Math.PI * hertz * index) / rateHz;
    real += impulse * Math.cos(angle);
    imaginary -= impulse * Math.sin(angle);
  }
  return 20 * Math.log10(Math.hypot(real, imaginary));
}
