import fc from 'fast-check';
import type { ParameterValues } from '../../host/contract/contract.js';
import { PARAMETERS, type Parameter, RULES } from '../../shared/parameters.js';

/** A number within a parameter's limits as the controller stores it, often on a limit. */
function arbitraryValue({ type, min, max }: Parameter): fc.Arbitrary<number> {
  if (type === 'u32') return fc.integer({ min, max });
  const inside = fc.double({ min, max, noNaN: true }).map((value) => Math.min(max, Math.max(min, Math.fround(value))));
  return fc.oneof({ weight: 6, arbitrary: inside }, { weight: 1, arbitrary: fc.constant(min) }, { weight: 1, arbitrary: fc.constant(max) });
}

export const inForceOf =
  (values: ParameterValues) =>
  (name: string): number =>
    Math.fround(values[name] ?? PARAMETERS.find((one) => one.name === name)?.default ?? Number.NaN);

const HOLDS = {
  '<': (left: number, right: number) => left < right,
  '<=': (left: number, right: number) => left <= right,
  '>=': (left: number, right: number) => left >= right,
} as const;

/** Takes values back to their defaults until no rule is broken. */
function mend(values: ParameterValues): ParameterValues {
  const mended: Record<string, number> = { ...values };
  for (let round = 0; round < RULES.length; round++) {
    for (const { left, is, right } of RULES) {
      const inForce = inForceOf(mended);
      if (HOLDS[is](inForce(left), inForce(right))) continue;
      delete mended[left];
      delete mended[right];
    }
  }
  return mended;
}

/** Parameters that the controller must accept: every value anywhere, or the defaults with a few values anywhere. */
export function arbitraryParameters(): fc.Arbitrary<ParameterValues> {
  const all = fc.record(Object.fromEntries(PARAMETERS.map((one) => [one.name, arbitraryValue(one)])));
  const few = fc
    .array(
      fc.constantFrom(...PARAMETERS).chain((one) => arbitraryValue(one).map((value) => [one.name, value] as const)),
      { maxLength: 12 },
    )
    .map((pairs) => Object.fromEntries(pairs));
  // Short waits, so that a short run sees a bank at work; still any of them may be overridden.
  const lively = { lowerSettleMs: 5, restMs: 8, maxPulseMs: 40, relatchS: 1, frozenMs: 0, loadFilterHz: 20 };
  const busy = fc.record({
    some: few,
    tickHz: fc.constantFrom(500, 1000, 2000),
    strategy: fc.integer({ min: 0, max: 2 }),
    accelerationFitted: fc.integer({ min: 0, max: 1 }),
    strokesAtOnce: fc.integer({ min: 1, max: 6 }),
    // Long strokes make much of what happens in mid-stroke, a small reservoir of what must wait for energy.
    stroke: fc.constantFrom({}, { strokeMs: 20, minPulseMs: 20 }),
    reservoirUf: fc.constantFrom(0, 0, 0, 3000),
  });
  const busyValues = busy.map(({ some, stroke, ...others }) => ({ ...lively, ...others, ...stroke, ...some }));
  return fc.oneof({ weight: 1, arbitrary: all }, { weight: 5, arbitrary: busyValues }).map(mend);
}

/** How a bank is driven for a while. */
export interface Stretch {
  readonly ticks: number;
  /** field: sensors follow the orders. codes: random sensor codes. bytes: random bytes in every input. */
  readonly kind: 'field' | 'codes' | 'bytes';
  readonly targetLoadN: number;
  readonly oilTemperatureC: number;
  readonly supplyMv: number;
  readonly reservoirMv: number;
  readonly groundSpeedMmPerS: number;
  readonly lowered: number;
  readonly enabled: number;
  readonly shutDown: number;
}

const often = <T>(usual: T, rare: fc.Arbitrary<T>, weight = 6): fc.Arbitrary<T> =>
  fc.oneof({ weight, arbitrary: fc.constant(usual) }, { weight: 1, arbitrary: rare });
const anyU16 = fc.integer({ min: 0, max: 65535 });

export const arbitraryStretch = (): fc.Arbitrary<Stretch> =>
  fc.record({
    ticks: fc.integer({ min: 1, max: 400 }),
    kind: fc.constantFrom('field', 'field', 'field', 'field', 'field', 'codes', 'bytes'),
    targetLoadN: fc.oneof(
      { weight: 6, arbitrary: fc.integer({ min: 100, max: 2000 }) },
      { weight: 1, arbitrary: fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, -1, 1e30, 0) },
    ),
    oilTemperatureC: often(40, fc.constantFrom(Number.NaN, Number.NEGATIVE_INFINITY, -50, 150, -15, 1e30)),
    supplyMv: often(12800, fc.oneof(anyU16, fc.constantFrom(9499, 7499, 8500, 0))),
    reservoirMv: often(12800, anyU16),
    groundSpeedMmPerS: often(3000, anyU16),
    lowered: often(1, fc.integer({ min: 0, max: 255 }), 8),
    enabled: often(1, fc.integer({ min: 0, max: 255 }), 8),
    shutDown: often(0, fc.integer({ min: 1, max: 255 }), 8),
  });
