import { describeSchema, type SchemaNode } from './schema-words.js';

/** A node of a file's schema, as documents and templates describe it. */
export interface KeySchema extends SchemaNode {
  readonly description?: string;
  readonly default?: unknown;
  readonly required?: readonly string[];
  readonly items?: KeySchema;
  readonly properties?: Readonly<Record<string, KeySchema>>;
  readonly anyOf?: readonly KeySchema[];
  /** Of a quantity: its limits and default in the unit that its name ends with. */
  readonly quantity?: { readonly min: number; readonly max: number; readonly default?: number; readonly unit: string };
}

/** A key of a mapping in a file. */
export interface Key {
  readonly name: string;
  readonly isRequired: boolean;
  readonly unit: string;
  /** What it may be, in words. */
  readonly allowed: string;
  readonly default: string;
  readonly meaning: string;
}

/** A mapping in a file: the file itself, or one within it. */
export interface KeyMapping {
  /** `field.segments[]`; empty for the file. */
  readonly path: string;
  readonly description: string;
  readonly keys: readonly Key[];
}

const valueText = (value: unknown): string => (value === undefined ? '' : String(value));

function keyOf(name: string, schema: KeySchema, isRequired: boolean): Key {
  const { quantity, description = '', unit = '', default: byDefault, minimum, maximum } = schema;
  const limits = minimum === undefined || maximum === undefined || schema.enum !== undefined ? undefined : `${minimum} to ${maximum}`;
  return {
    name,
    isRequired,
    unit: quantity?.unit ?? unit,
    allowed: quantity === undefined ? (limits ?? describeSchema(schema)) : `${quantity.min} to ${quantity.max}`,
    default: isRequired ? '' : valueText(quantity?.default ?? byDefault),
    meaning: description,
  };
}

/** The mappings that a value may consist of, each with how its path continues. A schema with a title says itself what it allows. */
function within(schema: KeySchema): { readonly suffix: string; readonly schema: KeySchema }[] {
  if (schema.items !== undefined) return within(schema.items).map((one) => ({ ...one, suffix: `[]${one.suffix}` }));
  if (schema.anyOf !== undefined) return schema.anyOf.flatMap(within);
  if (typeof schema.additionalProperties === 'object')
    return within(schema.additionalProperties as KeySchema).map((one) => ({ ...one, suffix: `.NAME${one.suffix}` }));
  if (schema.properties === undefined || schema.title !== undefined) return [];
  const shared = sharedShape(Object.values(schema.properties));
  return [shared === undefined ? { suffix: '', schema } : { suffix: '.NAME', schema: shared }];
}

/** The mapping that all of several keys hold: such as limits for each of many parameters. Where they differ, so do the limits of values. */
export function sharedShape(all: readonly KeySchema[]): KeySchema | undefined {
  const [first, ...others] = all;
  if (first?.properties === undefined || others.length === 0) return undefined;
  const namesOf = ({ properties = {} }: KeySchema): string => Object.keys(properties).join(' ');
  if (others.some((one) => namesOf(one) !== namesOf(first))) return undefined;
  const properties = Object.entries(first.properties).map(([name, one]): [string, KeySchema] => {
    const isSame = others.every(({ properties: other }) => JSON.stringify(other?.[name]) === JSON.stringify(one));
    return [name, isSame ? one : { ...(one.description === undefined ? {} : { description: one.description }), title: 'as NAME allows' }];
  });
  return { ...first, properties: Object.fromEntries(properties) };
}

/** Returns the mapping of a schema, and those within it, from the top to the bottom. Paths begin with `path`. */
export function keyMappings(schema: KeySchema, path = ''): KeyMapping[] {
  const { properties = {}, required = [], description = '' } = schema;
  const keys = Object.entries(properties).map(([name, one]) => keyOf(name, one, required.includes(name)));
  const inner = Object.entries(properties).flatMap(([name, one]) =>
    within(one).flatMap((found) => {
      const mappings = keyMappings(found.schema, `${path === '' ? '' : `${path}.`}${name}${found.suffix}`);
      return mappings.map((mapping, index) =>
        index > 0 ? mapping : { ...mapping, description: mapping.description || (one.description ?? '') },
      );
    }),
  );
  return [{ path, description, keys }, ...inner];
}
