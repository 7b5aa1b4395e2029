import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { editsBetween } from '../../../host/review/causes/edits.js';
import { columnOf, type InputSignal, inputSignals, readInputs } from '../../../host/review/shrink/input-buffer.js';
import { interestOf } from '../../../host/review/suggest/interest.js';
import { changedInputs, changedParameters, Draw } from '../../../host/review/suggest/mutations.js';
import { readVector } from '../../../host/vector/vector.js';
import { PROJECT } from '../../support/project.js';

const drawOf = (seed: number): Draw => new Draw(xoroshiro128plus(seed));
const inputs = readInputs(readVector(PROJECT, 'relatch-at-rest').inputFile, describeContract());
const signals = inputSignals(inputs.layout);

/** Names of the signals that a change of the inputs has changed. */
function changedNames(seed: number, only: string): string[] {
  const changed = changedInputs(inputs, (name) => (name === only ? 1 : 0), drawOf(seed));
  const differs = (signal: InputSignal): boolean => `${columnOf(changed, signal)}` !== `${columnOf(inputs, signal)}`;
  return signals.filter(differs).map(({ name }) => name);
}

describe('random changes', () => {
  it('are the same for the same seed', () => {
    const bytesOf = (seed: number): Buffer => Buffer.from(changedInputs(inputs, () => 1, drawOf(seed)).bytes);
    expect(bytesOf(7).equals(bytesOf(7))).toBe(true);
    expect(bytesOf(7).equals(bytesOf(8))).toBe(false);
  });

  it('are of signals that are worth changing', () => {
    const found = [1, 2, 3, 4, 5, 6].flatMap((seed) => changedNames(seed, 'supplyMv'));
    expect([...new Set(found)]).toEqual(['supplyMv']);
  });

  it('keep parameters within their limits', () => {
    const { parameters } = describeContract();
    for (let seed = 0; seed < 200; seed++) {
      for (const [name, value] of Object.entries(changedParameters(parameters, () => 1, drawOf(seed)))) {
        const limits = parameters.find((one) => one.name === name);
        expect(value, name).toBeGreaterThanOrEqual(Math.fround(limits?.min ?? Number.NaN));
        expect(value, name).toBeLessThanOrEqual(Math.fround(limits?.max ?? Number.NaN));
      }
    }
  });
});

describe('interestOf', () => {
  const base = new Map([
    ['assembly/controller/a.ts', 'const isSaving = low || off;\n'],
    [
      'assembly/controller/b.ts',
      `${'x();\n'.repeat(20)}if (!isSaving && quiet >= p.relatchS) close();\n${'x();\n'.repeat(20)}p.strokeMj;\n`,
    ],
  ]);
  const head = new Map(base).set('assembly/controller/a.ts', 'const isSaving = low && off;\n');
  const interest = interestOf(editsBetween(base, head), base, head);

  it('is more for what stands where a name of the edit is used', () => {
    expect(interest('relatchS')).toBeGreaterThan(interest('strokeMj'));
    expect(interest('strokeMj')).toBe(1);
  });
});
