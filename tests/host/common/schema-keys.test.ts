import { describe, expect, it } from 'vitest';
import { keyMappings } from '../../../host/common/schema-keys.js';
import { describeContract } from '../../../host/contract/contract.js';
import { FILE_KINDS } from '../../../host/files/kinds.js';

describe('the keys of a schema', () => {
  it('have unit, limits, default and meaning; mappings within have their paths', () => {
    const schema = {
      type: 'object',
      required: ['rows'],
      properties: {
        rows: { type: 'integer', minimum: 1, maximum: 48, description: 'Rows' },
        massKg: { type: ['number', 'string'], quantity: { min: 5, max: 9, default: 7, unit: 'kg' }, description: 'Mass' },
        parts: { type: 'array', description: 'Parts', items: { type: 'object', properties: { gap: { type: 'number', unit: 'mm' } } } },
        limits: {
          type: 'object',
          properties: {
            a: { type: 'object', properties: { min: { type: 'number', minimum: 1, maximum: 2 } } },
            b: { type: 'object', properties: { min: { type: 'number', minimum: 3, maximum: 4 } } },
          },
        },
      },
    };
    const [file, ...others] = keyMappings(schema);
    expect(file?.keys.slice(0, 2)).toEqual([
      { name: 'rows', isRequired: true, unit: '', allowed: '1 to 48', default: '', meaning: 'Rows' },
      { name: 'massKg', isRequired: false, unit: 'kg', allowed: '5 to 9', default: '7', meaning: 'Mass' },
    ]);
    expect(others.map(({ path, description, keys }) => [path, description, keys.map(({ name, allowed }) => [name, allowed])])).toEqual([
      ['parts[]', 'Parts', [['gap', 'a number in mm']]],
      ['limits.NAME', '', [['min', 'as NAME allows']]],
    ]);
  });

  it.each(Object.entries(FILE_KINDS))('of a %s file all have a meaning', (_, { schema }) => {
    const keys = keyMappings(schema(describeContract())).flatMap(({ path, keys: of }) => of.map((one) => ({ path, ...one })));
    expect(keys.length).toBeGreaterThan(5);
    expect(keys.filter(({ meaning }) => meaning === '').map(({ path, name }) => `${path} ${name}`)).toEqual([]);
  });
});
