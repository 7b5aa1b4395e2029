import fc from 'fast-check';
import type { ParameterValues } from '../../host/contract/contract.js';
import { PARAMETERS, type Parameter, RULES } from '../../shared/parameters.js';

/** A value within a parameter's limits, as the controller stores it; often at a limit. */
function arbitraryValue({ type, min, max }: Parameter): fc.Arbitrary<number> {
  if (type === 'u32') return fc.integer({ min, max });
  const inside = fc.double({ min, max, noNaN: true }).map((value) => Math.min(max, Math.max(min, Math.fround(value))));
  return fc.oneof({ weight: 6, arbitrary: inside }, { weight: 1, arbitrary: fc.constant(min) }, { weight: 1, arbitrary: fc.constant(max) });
}

/** Looks up a parameter's value by name: the given one or its default, in single precision. */
export const valueIn =
  (values: ParameterValues) =>
  (name: string): number =>
    Math.fround(values[name] ?? PARAMETERS.find((one) => one.name === name)?.default ?? Number.NaN);

const HOLDS = {
  '<': (left: number, right: number) => left < right,
  '<=': (left: number, right: number) => left <= right,
  '>=': (left: number, right: number) => left >= right,
} as const;

/** Resets values to their defaults until no rule is broken. */
function resetBroken(values: ParameterValues): ParameterValues {
  const kept: Record<string, number> = { ...values };
  for (let round = 0; round < RULES.length; round++) {
    for (const { left, is, right } of RULES) {
      const parameter = valueIn(kept);
      if (HOLDS[is](parameter(left), parameter(right))) continue;
      delete kept[left];
      delete kept[right];
    }
  }
  return kept;
}

/** Parameters that the controller must accept: all of them arbitrary, or the defaults with a few arbitrary ones. */
export function arbitraryParameters(): fc.Arbitrary<ParameterValues> {
  const all = fc.record(Object.fromEntries(PARAMETERS.map((one) => [one.name, arbitraryValue(one)])));
  const few = fc
    .array(
      fc.constantFrom(...PARAMETERS).chain((one) => arbitraryValue(one).map((value) => [one.name, value] as const)),
      { maxLength: 12 },
    )
    .map((pairs) => Object.fromEntries(pairs));
  // Short waits, so that the bank works within a short run; any of them may be overridden.
  const lively = { restMs: 8, maxPulseMs: 40, relatchS: 1, frozenMs: 0, loadFilterHz: 20 };
  const busy = fc.record({
    some: few,
    tickHz: fc.constantFrom(500, 1000, 2000),
    strategy: fc.integer({ min: 0, max: 2 }),
    accelerationFitted: fc.integer({ min: 0, max: 1 }),
    strokesAtOnce: fc.integer({ min: 1, max: 6 }),
    // Long strokes, so that much happens during a stroke; a small reservoir, so that strokes wait for energy.
    stroke: fc.constantFrom({}, { strokeMs: 20, minPulseMs: 20 }),
    reservoirUf: fc.constantFrom(0, 0, 0, 3000),
  });
  const busyValues = busy.map(({ some, stroke, ...others }) => ({ ...lively, ...others, ...stroke, ...some }));
  return fc.oneof({ weight: 1, arbitrary: all }, { weight: 5, arbitrary: busyValues }).map(resetBroken);
}

/** Inputs of a bank for some time. */
export interface Stretch {
  readonly ticks: number;
  /** field: sensors follow the orders. counts: random ADC counts. bytes: random bytes in every input. */
  readonly kind: 'field' | 'counts' | 'bytes';
  readonly targetLoadN: number;
  readonly oilTemperatureC: number;
  readonly supplyMv: number;
  readonly reservoirMv: number;
  readonly groundSpeedMmPerS: number;
  readonly lowered: number;
  readonly enabled: number;
  readonly shutDown: number;
}

const mostly = <T>(typical: T, rare: fc.Arbitrary<T>, weight = 6): fc.Arbitrary<T> =>
  fc.oneof({ weight, arbitrary: fc.constant(typical) }, { weight: 1, arbitrary: rare });
const anyU16 = fc.integer({ min: 0, max: 65535 });

export const arbitraryStretch = (): fc.Arbitrary<Stretch> =>
  fc.record({
    ticks: fc.integer({ min: 1, max: 400 }),
    kind: fc.constantFrom('field', 'field', 'field', 'field', 'field', 'counts', 'bytes'),
    targetLoadN: fc.oneof(
      { weight: 6, arbitrary: fc.integer({ min: 100, max: 2000 }) },
      { weight: 1, arbitrary: fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, -1, 1e30, 0) },
    ),
    oilTemperatureC: mostly(40, fc.constantFrom(Number.NaN, Number.NEGATIVE_INFINITY, -50, 150, -15, 1e30)),
    supplyMv: mostly(12800, fc.oneof(anyU16, fc.constantFrom(9499, 7499, 8500, 0))),
    reservoirMv: mostly(12800, anyU16),
    groundSpeedMmPerS: mostly(3000, anyU16),
    lowered: mostly(1, fc.integer({ min: 0, max: 255 }), 8),
    enabled: mostly(1, fc.integer({ min: 0, max: 255 }), 8),
    shutDown: mostly(0, fc.integer({ min: 1, max: 255 }), 8),
  });
