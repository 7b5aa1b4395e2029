import type { ErrorObject } from 'ajv/dist/2020.js';

/** The parts of a JSON Schema that errors describe. */
export interface SchemaNode {
  /** What it allows, in words, if the other parts don't say it well. */
  readonly title?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly unit?: string;
  readonly anyOf?: readonly SchemaNode[];
  readonly oneOf?: readonly SchemaNode[];
  readonly properties?: Readonly<Record<string, SchemaNode>>;
  readonly additionalProperties?: unknown;
}

const TYPE_WORDS: Readonly<Record<string, string>> = {
  integer: 'an integer',
  number: 'a number',
  string: 'text',
  boolean: 'true or false',
  array: 'a list',
  object: 'a mapping',
  null: 'empty',
};

/** The limits of a number, in words: `between 1 and 48`. */
function describeLimits({ minimum, maximum, unit = '' }: SchemaNode): string {
  if (minimum === undefined && maximum === undefined) return unit === '' ? '' : `in ${unit}`;
  if (maximum === undefined) return `at least ${minimum} ${unit}`.trimEnd();
  if (minimum === undefined) return `at most ${maximum} ${unit}`.trimEnd();
  return `between ${minimum} and ${maximum} ${unit}`.trimEnd();
}

/** What a schema allows, in words: `an integer between 1 and 48`. */
export function describeSchema(schema: SchemaNode): string {
  const either = schema.anyOf ?? schema.oneOf;
  if (schema.title !== undefined) return schema.title;
  if (either !== undefined) return `${either.slice(0, -1).map(describeSchema).join(', ')}, or ${describeSchema(either.at(-1) ?? {})}`;
  if (schema.enum !== undefined) return `one of ${schema.enum.join(', ')}`;
  if (schema.const !== undefined) return String(schema.const);
  const types = [schema.type ?? []].flat().map((type) => TYPE_WORDS[type] ?? type);
  return [types.join(' or '), describeLimits(schema)].filter((word) => word !== '').join(' ');
}

/** What a value must be, by the keyword of the schema that it breaks. */
export function ruleOf({ keyword, params, parentSchema }: ErrorObject): string | readonly string[] {
  const schema = (parentSchema ?? {}) as SchemaNode;
  const { limit } = params as { limit?: number };
  // A list, so that only a few of many names are shown.
  if (schema.enum !== undefined) return schema.enum.map(String);
  switch (keyword) {
    case 'minimum':
    case 'maximum':
      return describeLimits(schema);
    case 'minLength':
      return limit === 1 ? 'non-empty text' : `at least ${limit} characters long`;
    case 'maxLength':
      return `at most ${limit} characters long`;
    case 'minItems':
      return `a list of at least ${limit}`;
    case 'maxItems':
      return `a list of at most ${limit}`;
    case 'minProperties':
      return `a mapping with at least ${limit} keys`;
    case 'maxProperties':
      return `a mapping with at most ${limit} keys`;
    case 'pattern':
      return schema.title ?? `text that matches ${params.pattern}`;
    default:
      return describeSchema(schema);
  }
}
