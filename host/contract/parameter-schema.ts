import type { Parameter } from '../../shared/parameters.js';
import { UNITS } from '../../shared/units.js';
import { oncePer } from '../common/once.js';
import type { Contract } from './contract.js';

/** A number within its limits, or a choice as name or number. `unit` is a custom keyword. */
function propertyOf(one: Parameter): object {
  const { help: description, default: defaultValue } = one;
  if (one.choices !== undefined) return { description, enum: [...one.choices, ...one.choices.keys()], default: one.choices[defaultValue] };
  const type = one.type === 'u32' ? 'integer' : 'number';
  return { description, type, minimum: one.min, maximum: one.max, default: defaultValue, unit: UNITS[one.unit].symbol };
}

/** JSON Schema (2020-12) of a parameter file: a mapping from parameter name to value. */
export const parameterSchema = oncePer((contract: Contract): object => ({
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'latchbench parameters',
  type: 'object',
  properties: Object.fromEntries(contract.parameters.map((one) => [one.name, propertyOf(one)])),
  additionalProperties: false,
}));

/** The same as properties of a file in which the tick rate is separate. */
export function parameterProperties(contract: Contract): { tickHz: object; parameters: object } {
  const properties = Object.fromEntries(contract.parameters.map((one) => [one.name, propertyOf(one)]));
  const { tickHz = {}, ...others } = properties;
  const description = 'Values of parameters by name; the others have their defaults';
  return {
    tickHz,
    parameters: { description, title: 'a mapping of parameters', type: 'object', properties: others, additionalProperties: false },
  };
}
