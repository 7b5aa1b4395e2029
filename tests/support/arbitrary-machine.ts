import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { expect } from 'vitest';
import { InputError } from '../../host/common/input-error.js';
import { describeContract } from '../../host/contract/contract.js';
import { type Machine, readMachine } from '../../host/machine/machine.js';
import { sizeMachine } from '../../host/sizing/size-machine.js';
import { MACHINE, type Part, type Quantity } from '../../shared/machine.js';
import { SIZING } from '../../shared/sizing.js';
import { PROJECT } from './project.js';

/** All parts of a machine file. */
export const PARTS: readonly Part[] = [...MACHINE, ...SIZING];

/** Returns the paths of all numbers that are not finite, and of all values of another type. */
export function notFinite(value: unknown, path = ''): string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path} ${value}`];
  if (typeof value === 'string') return [];
  if (typeof value !== 'object' || value === null) return [`${path} ${value}`];
  return Object.entries(value).flatMap(([name, one]) => notFinite(one, `${path}.${name}`));
}

/** Values of a quantity: its limits, its default, and anything between, with more small ones. */
function arbitraryValue({ min, max, default: byDefault, unit, isInteger = unit === 'count' }: Quantity): fc.Arbitrary<number> {
  const between = fc.double({ min: 0, max: 1, noNaN: true }).map((share) => min + (max - min) * share ** 3);
  const any = fc.oneof(fc.constantFrom(min, max, byDefault), between, between);
  return isInteger ? any.map(Math.round) : any;
}

/** Machine files with some quantities off their defaults, and sometimes `none` where a part may be missing. */
function arbitraryMachine(): fc.Arbitrary<object> {
  const partOf = ({ none, quantities }: Part): fc.Arbitrary<object | string> => {
    const record = fc.record(
      Object.fromEntries(
        quantities.map((one) => [
          one.name,
          fc.oneof({ weight: 25, arbitrary: fc.constant(one.default) }, { weight: 1, arbitrary: arbitraryValue(one) }),
        ]),
      ),
    );
    return none === undefined ? record : fc.oneof({ weight: 5, arbitrary: record }, { weight: 1, arbitrary: fc.constant('none') });
  };
  const parts = Object.fromEntries(PARTS.map((part) => [part.name, partOf(part)]));
  const controller = fc.record(
    {
      strokesAtOnce: fc.integer({ min: 1, max: 96 }),
      strokeMs: fc.double({ min: 1, max: 3, noNaN: true }),
      slotCount: fc.integer({ min: 1, max: 16 }),
    },
    { requiredKeys: [] },
  );
  return fc.record({ title: fc.constant('Made up'), ...parts, controller });
}

const contract = describeContract();

/** Writes and reads a machine file; undefined if it is refused, which must be with an InputError. */
export function machineFrom(written: object, folder: string): Machine | undefined {
  const file = join(folder, 'arbitrary.yaml');
  writeFileSync(file, JSON.stringify(written));
  try {
    return readMachine(PROJECT, file, contract);
  } catch (error) {
    expect(error).toBeInstanceOf(InputError);
    return undefined;
  }
}

/** Sizes `count` machines; those that are accepted must have finite values and a result for each check. */
export function sizeArbitraryMachines(count: number, folder: string): void {
  let accepted = 0;
  fc.assert(
    fc.property(arbitraryMachine(), (written) => {
      const machine = machineFrom(written, folder);
      if (machine === undefined) return;
      accepted += 1;
      const sizing = sizeMachine(machine);
      expect(notFinite(sizing)).toEqual([]);
      for (const one of sizing.checks) expect(['pass', 'marginal', 'fail']).toContain(one.result);
    }),
    // Shrinking 200 quantities takes too long.
    { numRuns: count, seed: 20, endOnFailure: true },
  );
  // The test is meaningless if most are refused.
  expect(accepted).toBeGreaterThan(count / 4);
}
