import binaryen from 'binaryen';
import { describe, expect, it } from 'vitest';
import { Bench } from '../support/bench.js';

/*
 * Probes of IEEE 754 single precision; expected values from numpy float32. Every runner must compute the same bits, so nothing may
 * fuse a multiplication with an addition, flush subnormal numbers, or use double precision for intermediate results.
 */
const bitsOf = (value: number): number => new DataView(new Float32Array([value]).buffer).getUint32(0, true);

/** Single-precision functions, compiled to WebAssembly and run by this engine. */
function probes(): { madd(a: number, b: number, c: number): number; half(a: number): number; add(a: number, b: number): number } {
  const text = `(module
    (func (export "madd") (param f32 f32 f32) (result f32) (f32.add (f32.mul (local.get 0) (local.get 1)) (local.get 2)))
    (func (export "half") (param f32) (result f32) (f32.mul (local.get 0) (f32.const 0.5)))
    (func (export "add") (param f32 f32) (result f32) (f32.add (local.get 0) (local.get 1))))`;
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(binaryen.parseText(text).emitBinary() as BufferSource));
  return exports as unknown as ReturnType<typeof probes>;
}

describe('this engine', () => {
  it('does not fuse a·b + c: (1 + 2⁻¹²)² - (1 + 2⁻¹¹) is 0; fused it would be 5.96e-8', () => {
    expect(probes().madd(1.000244140625, 1.000244140625, -1.00048828125)).toBe(0);
  });

  it('keeps subnormal numbers: half of 0x00800000 is 0x00400000', () => {
    expect(bitsOf(probes().half(2 ** -126))).toBe(0x00400000);
  });

  it('rounds 0.1 + 0.2 once: 0x3e99999a', () => {
    expect(bitsOf(probes().add(0.1, 0.2))).toBe(0x3e99999a);
  });
});

describe('the controller', () => {
  // Load from -500.3 to 4500.7 N: slope 1.52618408203125, offset -1125.425048828125. counts·slope + offset in numpy float32,
  // and in double precision rounded once, as a fused multiply-add would compute it.
  it.each([
    { counts: 737, unfused: -0.62744140625, fused: -0.62738037109375 },
    { counts: 739, unfused: 2.425048828125, fused: 2.42498779296875 },
    { counts: 735, unfused: -3.6796875, fused: -3.67974853515625 },
    { counts: 671, unfused: -101.35546875, fused: -101.35552978515625 },
  ])('does not fuse counts·slope + offset at $counts counts', ({ counts, unfused, fused }) => {
    const bench = new Bench(1, { loadAtTenPercentN: -500.3, loadAtNinetyPercentN: 4500.7 }).row(1, { loadCounts: counts }).tick();
    expect(bench.probe('loadRawN')).toBe(unfused);
    expect(bench.probe('loadRawN')).not.toBe(fused);
  });
});
