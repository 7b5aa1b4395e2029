import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ParameterValues } from '../../../host/contract/contract.js';
import { arbitraryStretch, type Stretch } from '../../support/arbitrary-bank.js';
import { startedBench } from '../../support/bench.js';
import { DrivenBank } from '../../support/driven-bank.js';
import { Noise } from '../../support/noise.js';

const LIVELY = { restMs: 8, maxPulseMs: 40, frozenMs: 31, loadFilterHz: 20, lugNotch: 1, reservoirUf: 3000 } as const;

/** A random number for a two-byte input. */
const word = (noise: Noise): number => noise.bits() & 0xffff;
/** Any bits as a float: also NaN and infinite. */
const anyFloat = (noise: Noise): number => new Float32Array(Uint32Array.of(noise.bits()).buffer)[0] ?? 0;

/** The parameter that says whether an input is there, and what fills it with random values. */
const INPUTS = {
  railFitted: ({ records }: DrivenBank, noise: Noise) => records.set('bankInput', 0, 'railCounts', word(noise)),
  temperatureFitted: ({ records }: DrivenBank, noise: Noise) => records.set('bankInput', 0, 'oilTemperatureC', anyFloat(noise)),
  speedFitted: ({ records }: DrivenBank, noise: Noise) => records.set('bankInput', 0, 'groundSpeedMmPerS', word(noise)),
  reservoirVoltageFitted: ({ records }: DrivenBank, noise: Noise) => records.set('bankInput', 0, 'reservoirMv', word(noise)),
  soilAheadFitted: ({ records, rows }: DrivenBank, noise: Noise) => {
    for (let row = 0; row < rows; row++) records.set('rowInput', row, 'soilAheadN', anyFloat(noise));
  },
  accelerationFitted: ({ records, rows }: DrivenBank, noise: Noise) => {
    for (let row = 0; row < rows; row++) records.set('rowInput', row, 'accelerationCounts', word(noise));
  },
} as const;
type Fitted = keyof typeof INPUTS;
const FITTED = Object.keys(INPUTS) as Fitted[];

/** State hashes of every tick, with random values in the input of `random`. */
function hashesOf(values: ParameterValues, plan: readonly Stretch[], seed: number, random?: Fitted): number[] {
  const bank = new DrivenBank(2, { ...LIVELY, ...values }, seed);
  const noise = new Noise(seed ^ 0x5555);
  const hashes: number[] = [];
  for (const stretch of plan) {
    for (let count = 0; count < stretch.ticks; count++) {
      bank.writeInputs(stretch);
      if (random !== undefined) INPUTS[random](bank, noise);
      bank.tick();
      hashes.push(bank.runner.stateHash());
    }
  }
  return hashes;
}

const arbitraryPlan = (): fc.Arbitrary<Stretch[]> =>
  fc.array(
    arbitraryStretch().map((stretch) => ({ ...stretch, kind: 'field' as const })),
    { minLength: 1, maxLength: 4 },
  );

describe('an input that is not fitted', () => {
  it.each(FITTED)('has no effect at all, whatever it holds: %s off', (fitted) => {
    fc.assert(
      fc.property(arbitraryPlan(), fc.integer({ min: 1, max: 0x7fffffff }), (plan, seed) => {
        expect(hashesOf({ [fitted]: 0 }, plan, seed, fitted)).toEqual(hashesOf({ [fitted]: 0 }, plan, seed));
      }),
      { seed: 5, numRuns: 25 },
    );
  });

  it.each(FITTED)('has an effect if it is fitted: %s on', (fitted) => {
    const [stretch] = fc.sample(arbitraryPlan(), { seed: 5, numRuns: 1 })[0] as [Stretch];
    const working = { ...stretch, ticks: 300, supplyMv: 12800, lowered: 1, enabled: 1, shutDown: 0, targetLoadN: 450 };
    expect(hashesOf({ [fitted]: 1 }, [working], 7, fitted)).not.toEqual(hashesOf({ [fitted]: 1 }, [working], 7));
  });

  it('sets no fault, and the bank works with the configured rail pressure and warm oil', () => {
    const bench = startedBench(1, { railFitted: 0, temperatureFitted: 0, speedFitted: 0, reservoirVoltageFitted: 0, lugNotch: 1 });
    bench.bank({ railCounts: 0, oilTemperatureC: Number.NaN, groundSpeedMmPerS: 65535, reservoirMv: 0 }).tick(1000);
    expect([bench.faults(), bench.mode]).toEqual([[], 'working']);
    expect([bench.bankProbe('railKpa'), bench.bankProbe('flowRatio'), bench.bankProbe('notchHz')]).toEqual([15000, 1, 0]);
  });
});
