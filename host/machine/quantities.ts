import type { Quantity } from '../../shared/machine.js';
import { UNITS } from '../../shared/units.js';
import { NUMBER, NUMBER_LENGTH_MAX } from '../common/parse-number.js';
import { convertibleSymbols, findConversion } from '../common/unit-conversion.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';

/** A quantity as written in a file: a number in the unit that its name ends with, or text with another unit, such as `12 bar`. */
export type WrittenQuantity = number | string;

const NUMBER_WITH_UNIT = new RegExp(`^(${NUMBER})\\s*(\\S.*)$`, 'i');

/** What may be written, in words: `a number in kPa, or text with another unit`. */
function formText({ unit }: Quantity): string {
  const { symbol, si } = UNITS[unit];
  if (symbol === '') return 'a number';
  return si === '1' ? `a number (${symbol})` : `a number in ${symbol}, or text with another unit`;
}

/**
 * JSON Schema of quantities by name. `readQuantity` checks the limits, because they apply after the conversion of units.
 * @param hasDefaults whether a quantity that is left out has its default, for documents
 */
export const quantityProperties = (quantities: readonly Quantity[], hasDefaults = true): Record<string, object> =>
  Object.fromEntries(
    quantities.map((one) => [
      one.name,
      {
        description: one.help,
        title: formText(one),
        type: ['number', 'string'],
        maxLength: NUMBER_LENGTH_MAX,
        quantity: { min: one.min, max: one.max, unit: UNITS[one.unit].symbol, ...(hasDefaults ? { default: one.default } : {}) },
      },
    ]),
  );

const mustBeInteger = ({ unit, isInteger }: Quantity): boolean => isInteger === true || unit === 'count';

/** The limits in words: `an integer between 1 and 48`. */
function limitsText(quantity: Quantity): string {
  const { unit, min, max } = quantity;
  return `${mustBeInteger(quantity) ? 'an integer ' : ''}between ${min} and ${max} ${UNITS[unit].symbol}`.trimEnd();
}

/** The units that text may have; of a number without a dimension its own only. */
function unitSymbols({ unit }: Quantity): string[] {
  if (UNITS[unit].si !== '1') return convertibleSymbols(unit);
  return unit === 'count' ? ['counts'] : ['%'];
}

function convert(quantity: Quantity, text: string, file: YamlFile<unknown>, path: YamlPath): number {
  const [, number = '', unit = ''] = NUMBER_WITH_UNIT.exec(text.trim()) ?? [];
  const symbols = unitSymbols(quantity);
  const hasUnit = UNITS[quantity.unit].si !== '1' || symbols.includes(unit);
  const conversion = hasUnit ? findConversion(unit, quantity.unit) : undefined;
  if (conversion !== undefined) return Number(number) * conversion.gain + conversion.bias;
  const unitText = symbols.length > 1 ? `one of the units ${symbols.join(', ')}` : `the unit ${symbols[0]}`;
  const forms = mustBeInteger(quantity) ? '' : `, as a number or as text with ${unitText}`;
  throw file.errorAt(path, { allowed: `${limitsText(quantity)}${forms}` });
}

/**
 * Returns a quantity in the unit that its name ends with.
 * @param path where it is in the file
 * @throws InputError there for text without a suitable unit, or a value beyond the limits
 */
export function readQuantity(quantity: Quantity, written: WrittenQuantity, file: YamlFile<unknown>, path: YamlPath): number {
  const value = typeof written === 'number' ? written : convert(quantity, written, file, path);
  const isKind = !mustBeInteger(quantity) || Number.isInteger(value);
  // Written so that NaN is refused.
  if (isKind && value >= quantity.min && value <= quantity.max) return value;
  throw file.errorAt(path, { allowed: limitsText(quantity) });
}

/**
 * Returns those of the quantities that are written in the mapping at `path`.
 * @throws InputError as `readQuantity` does
 */
export function readQuantities(
  quantities: readonly Quantity[],
  written: object,
  file: YamlFile<unknown>,
  path: YamlPath,
): Record<string, number> {
  const values = written as Readonly<Record<string, WrittenQuantity | undefined>>;
  const read: Record<string, number> = {};
  for (const one of quantities) {
    const value = values[one.name];
    if (value !== undefined) read[one.name] = readQuantity(one, value, file, [...path, one.name]);
  }
  return read;
}

export const defaultsOf = (quantities: readonly Quantity[]): Record<string, number> =>
  Object.fromEntries(quantities.map(({ name, default: byDefault }) => [name, byDefault]));
