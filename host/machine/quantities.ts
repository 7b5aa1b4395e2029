import type { Quantity } from '../../shared/machine.js';
import { UNITS } from '../../shared/units.js';
import type { InputError } from '../common/input-error.js';
import { convertibleUnits, findConversion } from '../common/unit-conversion.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';

/** A quantity as a person writes it: a number in the unit that its name says, or a text with another unit, such as `12 bar`. */
export type Written = number | string;

const NUMBER = '[-+]?(?:\\d+\\.?\\d*|\\.\\d+)(?:e[-+]?\\d+)?';
const PLAIN_NUMBER = new RegExp(`^\\s*${NUMBER}\\s*$`, 'i');
const NUMBER_WITH_UNIT = new RegExp(`^\\s*(${NUMBER})\\s*(\\S.*?)\\s*$`, 'i');

/** A finite decimal number; undefined when the text is none. */
export function numberIn(text: string): number | undefined {
  const value = Number(text);
  return PLAIN_NUMBER.test(text) && Number.isFinite(value) ? value : undefined;
}

/** JSON Schema of quantities by name. Their limits hold after conversion and are `readQuantity`'s part. */
export const quantityProperties = (some: readonly Quantity[]): Record<string, object> =>
  Object.fromEntries(some.map(({ name, help }) => [name, { description: help, type: ['number', 'string'] }]));

/** What a quantity may be, in words. */
function limitsOf({ unit, min, max, isInteger }: Quantity): string {
  const number = isInteger || unit === 'count' ? 'a whole number' : 'a number';
  return `${number} from ${min} to ${max} ${UNITS[unit].symbol}`.trimEnd();
}

/** Words of the units that a quantity may be written with. */
function wordsOf({ unit }: Quantity): string[] {
  if (UNITS[unit].si !== '1') return convertibleUnits(unit);
  return unit === 'count' ? ['counts'] : ['%'];
}

function convert(one: Quantity, text: string, wrong: (allowed: string) => InputError): number {
  const [, number = '', word = ''] = NUMBER_WITH_UNIT.exec(text) ?? [];
  const words = wordsOf(one);
  const line = words.includes(word) ? findConversion(word, one.unit) : undefined;
  if (line === undefined)
    throw wrong(`${limitsOf(one)}, or a text of a number and ${words.length > 1 ? 'one of ' : ''}${words.join(', ')}`);
  return Number(number) * line.gain + line.bias;
}

/**
 * A quantity's number in the unit that its name says.
 * @param path where it stands in the file
 * @throws InputError there when a text is not a number with a unit of the same kind, or the value is beyond the limits
 */
export function readQuantity(one: Quantity, written: Written, file: YamlFile<unknown>, path: YamlPath): number {
  const wrong = (allowed: string): InputError => file.wrong(path, one.name, allowed);
  const value = typeof written === 'number' ? written : convert(one, written, wrong);
  const isKind = !(one.isInteger || one.unit === 'count') || Number.isInteger(value);
  // So written that NaN is refused.
  if (isKind && value >= one.min && value <= one.max) return value;
  throw wrong(limitsOf(one));
}

/**
 * Numbers of those quantities that are written in the mapping at `path`; the others are left out.
 * @throws InputError as `readQuantity`
 */
export function readQuantities(
  some: readonly Quantity[],
  written: object,
  file: YamlFile<unknown>,
  path: YamlPath,
): Record<string, number> {
  const values = written as Readonly<Record<string, Written | undefined>>;
  const read: Record<string, number> = {};
  for (const one of some) {
    const value = values[one.name];
    if (value !== undefined) read[one.name] = readQuantity(one, value, file, [...path, one.name]);
  }
  return read;
}

export const defaultsOf = (some: readonly Quantity[]): Record<string, number> =>
  Object.fromEntries(some.map(({ name, default: byDefault }) => [name, byDefault]));
