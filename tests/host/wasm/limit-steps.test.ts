import { readFileSync } from 'node:fs';
import binaryen from 'binaryen';
import { describe, expect, it } from 'vitest';
import { placeOf } from '../../../host/contract/contract.js';
import { messageBytes } from '../../../host/contract/messages.js';
import { limitSteps, STEPS_LEFT, STEPS_MAX } from '../../../host/wasm/limit-steps.js';
import { readModule } from '../../../host/wasm/module.js';
import { arbitraryInputs } from '../../support/arbitrary-inputs.js';
import { controller } from '../../support/bench.js';
import { PROJECT } from '../../support/project.js';
import { RawController } from '../../support/raw-controller.js';

type Exports = Record<string, (...values: number[]) => number> & Record<typeof STEPS_LEFT | typeof STEPS_MAX, WebAssembly.Global>;

/** A limited copy of a module in text form. */
function limited(text: string, stepsMax: number): Exports {
  const bytes = limitSteps(readModule(binaryen.parseText(text).emitBinary()), stepsMax);
  return new WebAssembly.Instance(new WebAssembly.Module(bytes)).exports as unknown as Exports;
}

/** Calls itself with each number down to 0. */
const RECURSION = `(module (func $f (export "f") (param i32)
  (if (local.get 0) (then (call $f (i32.sub (local.get 0) (i32.const 1)))))))`;
/** Counts down to 0. */
const LOOP = `(module (global $other (mut i32) (i32.const 5)) (func $g (export "f") (param i32)
  (loop $l (local.set 0 (i32.sub (local.get 0) (i32.const 1))) (br_if $l (local.get 0)))))`;

describe('limitSteps', () => {
  it.each([
    // local.get, if, local.get, i32.const, i32.sub, call, end, end: 8 in each of 4 calls.
    ['each call', RECURSION, 3, 32],
    // 9 in the function: loop, local.get, i32.const, i32.sub, local.set, local.get, br_if, end, end; 7 of them in each of 3 rounds.
    ['each round of a loop', LOOP, 3, 30],
  ])('counts the instructions of a function for %s', (_, text, argument, steps) => {
    const enough = limited(text, steps);
    enough.f?.(argument);
    expect(enough[STEPS_LEFT].value).toBe(0);
    const short = limited(text, steps - 1);
    expect(() => short.f?.(argument)).toThrow(WebAssembly.RuntimeError);
    expect(short[STEPS_LEFT].value).toBeLessThan(0);
    // The next call starts again.
    short.f?.(1);
    short[STEPS_MAX].value = steps;
    short.f?.(argument);
  });

  it('a limited controller computes what the original does', () => {
    const { contract } = controller.description;
    const plain = new RawController(new WebAssembly.Module(readFileSync(PROJECT.controllerWasm)));
    const counted = new RawController();
    for (const one of [plain, counted]) expect(one.writeParameters().configure(5)).toBe(0);
    for (let tick = 0; tick < 2000; tick++) {
      for (const one of [plain, counted]) {
        arbitraryInputs(new Uint8Array(one.memory, placeOf(contract, 'bankInput').at, messageBytes(contract, 'input', 5)), tick);
        one.tick();
      }
      if (tick % 100 === 99) expect(Buffer.from(plain.memory).equals(Buffer.from(counted.memory))).toBe(true);
    }
  });
});
