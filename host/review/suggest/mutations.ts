import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';
import type { Parameter } from '../../../shared/parameters.js';
import { columnOf, type InputBuffer, type InputSignal, inputSignals, withColumn } from '../shrink/input-buffer.js';

/*
 * Random changes of recorded inputs and of parameters. What the changed source names is changed most often, since it is what its
 * conditions depend on.
 */

/** Draws numbers; the same seed gives the same ones. */
export class Draw {
  constructor(private readonly generator: RandomGenerator) {}

  /** From 0 to below 1. */
  share(): number {
    return uniformFloat64(this.generator);
  }

  between(min: number, max: number): number {
    return min + (max - min) * this.share();
  }

  /** From 0 to `count` - 1. */
  index(count: number): number {
    return uniformInt(this.generator, 0, count - 1);
  }

  pick<T>(items: readonly T[]): T {
    return items[this.index(items.length)] as T;
  }

  /** One of the items, by their weights. */
  weighted<T>(items: readonly T[], weightOf: (item: T) => number): T {
    const weights = items.map(weightOf);
    let left = this.share() * weights.reduce((sum, weight) => sum + weight, 0);
    const found = items.find((_, index) => {
      left -= weights[index] ?? 0;
      return left < 0;
    });
    return found ?? (items.at(-1) as T);
  }
}

/** Names in the changed source, in three sizes of neighbourhood: how much each should be tried. */
export type Interest = (name: string) => number;

const INTEGER_MAX: Readonly<Record<string, number>> = { u8: 255, u16: 65535 };

/** A value that a signal may jump to: near its present one, elsewhere in its range, or none that it can have. */
function levelOf(now: number, { field: { type } }: InputSignal, draw: Draw): number {
  const max = INTEGER_MAX[type];
  // Switches are bytes.
  if (max === INTEGER_MAX.u8) return now === 0 ? 1 : 0;
  const near = (): number => now * draw.between(0.3, 1.3);
  const shifted = (): number => now + draw.between(-1, 1) * Math.max(50, Math.abs(now) / 4);
  const anywhere = (): number => (max === undefined ? draw.between(-250, 1500) : draw.between(0, draw.pick([max, max / 4])));
  const value = draw.pick([near, shifted, shifted, anywhere, () => 0, () => (max === undefined ? Number.NaN : max)])();
  return max === undefined ? Math.fround(value) : Math.min(max, Math.max(0, Math.round(value)));
}

/** Changes a signal for a while: to a level, along a ramp, or by noise. */
function changedColumn(values: number[], signal: InputSignal, draw: Draw): number[] {
  const from = draw.index(values.length);
  // Durations of a few ticks and of seconds are equally likely.
  const ticks = Math.ceil(values.length ** draw.share());
  const now = values[from] ?? 0;
  const level = levelOf(now, signal, draw);
  const isInteger = signal.field.type in INTEGER_MAX;
  const shape =
    isInteger && INTEGER_MAX[signal.field.type] === INTEGER_MAX.u8 ? 'level' : draw.pick(['level', 'level', 'ramp', 'noise'] as const);
  for (let tick = from; tick < Math.min(values.length, from + ticks); tick++) {
    const share = shape === 'level' ? 1 : shape === 'ramp' ? (tick - from + 1) / ticks : draw.share();
    const value = share === 1 ? level : now + share * (level - now);
    values[tick] = isInteger ? Math.round(value) : Math.fround(value);
  }
  return values;
}

/** Inputs with some signals changed at random. */
export function changedInputs(inputs: InputBuffer, interest: Interest, draw: Draw): InputBuffer {
  const signals = inputSignals(inputs.layout);
  let changed = inputs;
  for (let count = draw.index(5); count > 0; count--) {
    const signal = draw.weighted(signals, ({ name }) => interest(name));
    changed = withColumn(changed, signal, changedColumn(columnOf(changed, signal), signal, draw));
  }
  return changed;
}

/** A value of a parameter: an end of its range, near its default, or anywhere. */
function parameterValue({ type, min, max, default: typical }: Parameter, draw: Draw): number {
  const value = draw.pick([
    () => min,
    () => max,
    () => typical * 10 ** draw.between(-1.5, 0.5),
    () => draw.between(min, max),
    () => draw.between(min, max),
  ])();
  const limited = Math.min(max, Math.max(min, value));
  return type === 'f32' ? Math.fround(limited) : Math.round(limited);
}

/** Parameters with other values, at most three. */
export function changedParameters(parameters: readonly Parameter[], interest: Interest, draw: Draw): Record<string, number> {
  const free = parameters.filter(({ name }) => name !== 'tickHz');
  const chosen = Array.from({ length: draw.index(4) }, () => draw.weighted(free, ({ name }) => interest(name)));
  return Object.fromEntries(chosen.map((parameter) => [parameter.name, parameterValue(parameter, draw)]));
}
