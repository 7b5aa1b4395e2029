import { SIZED_MACHINE, SIZED_PARAMETERS, SIZING, type SizingName } from '../../shared/sizing.js';
import { PARAMETERS } from '../contract/tables.js';
import type { Machine } from '../machine/machine.js';

export type SizingInputName = (typeof SIZED_MACHINE)[number] | SizingName | (typeof SIZED_PARAMETERS)[number];

const SIZING_NAMES = SIZING.flatMap(({ quantities }) => quantities.map(({ name }) => name));

/** Names of all numbers that sizing uses. */
export const SIZING_INPUT_NAMES: readonly SizingInputName[] = [...SIZED_MACHINE, ...SIZING_NAMES, ...SIZED_PARAMETERS];

/** All numbers that sizing uses, by name, each in the unit that its name ends in. */
export type SizingInput = Readonly<Record<SizingInputName, number>>;

/**
 * Returns the numbers of a machine that sizing uses. Controller parameters that the machine does not set have their defaults.
 * @throws Error for a name that no table has, which is a bug
 */
export function sizingInputOf({ values, sizing, parameters }: Machine): SizingInput {
  const defaultOf = (name: string): number | undefined => PARAMETERS.find((one) => one.name === name)?.default;
  const entry = (name: SizingInputName, value: number | undefined): [SizingInputName, number] => {
    if (value === undefined) throw new Error(`no table has ${name}`);
    return [name, value];
  };
  return Object.fromEntries([
    ...SIZED_MACHINE.map((name) => entry(name, values[name])),
    ...SIZING_NAMES.map((name) => entry(name, sizing[name])),
    ...SIZED_PARAMETERS.map((name) => entry(name, parameters[name] ?? defaultOf(name))),
  ]) as SizingInput;
}
