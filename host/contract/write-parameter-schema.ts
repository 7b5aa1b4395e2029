import { UNITS } from '../../shared/units.js';
import type { Contract } from './contract.js';

/** JSON Schema (2020-12) of a parameter file: a mapping from parameter name to value. `unit` is our own keyword. */
export function parameterSchema(contract: Contract): object {
  const properties = Object.fromEntries(
    contract.parameters.map((one) => [
      one.name,
      {
        description: one.help,
        type: one.type === 'u32' ? 'integer' : 'number',
        minimum: one.min,
        maximum: one.max,
        default: one.default,
        unit: UNITS[one.unit].symbol,
        ...(one.choices === undefined ? {} : { $comment: one.choices.map((word, index) => `${index} ${word}`).join(', ') }),
      },
    ]),
  );
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'latchbench parameters',
    type: 'object',
    properties,
    additionalProperties: false,
  };
}
