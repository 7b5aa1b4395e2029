import { type KeySchema, sharedShape } from '../common/schema-keys.js';
import { describeSchema } from '../common/schema-words.js';

/*
 * A file of a kind with comments, from its schema: keys that have a value are written with it, the others as comments. Limits,
 * units, defaults and meanings are those of the schema that checks the file.
 */

/** Values of a template: those of the keys that it sets. */
export type Values = Readonly<Record<string, unknown>>;

const LINE_LENGTH = 110;

/** Text on one line; quoted where YAML would take it for something else. */
function scalar(value: unknown): string {
  if (typeof value !== 'string') return String(value);
  return /^[\w./-][\w ./()-]*$/.test(value) && !/^(true|false|null|none|yes|no|[\d.-].*)$/i.test(value) ? value : JSON.stringify(value);
}

/** A value as it is written within a line: `{ atM: 3, row: [1, 2] }`. */
function flow(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(flow).join(', ')}]`;
  if (typeof value !== 'object' || value === null) return scalar(value);
  const pairs = Object.entries(value).map(([key, one]) => `${key}: ${flow(one)}`);
  return pairs.length === 0 ? '{}' : `{ ${pairs.join(', ')} }`;
}

/** Comment lines of at most LINE_LENGTH characters. */
function comment(text: string, indent: string): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const last = lines.at(-1);
    if (last === undefined || last.length + 1 + word.length > LINE_LENGTH) lines.push(`${indent}# ${word}`);
    else lines[lines.length - 1] = `${last} ${word}`;
  }
  return lines;
}

/** `kg, 5 to 1000, default 85: Mass of the row`. @param isSet whether the key has a value, beside which its default is of interest */
function about(schema: KeySchema, isSet = true): string {
  const { quantity, minimum, maximum, unit = '', description = '', default: byDefault } = schema;
  const symbol = quantity?.unit ?? unit;
  const limits =
    quantity !== undefined
      ? `${quantity.min} to ${quantity.max}`
      : minimum !== undefined && maximum !== undefined
        ? `${minimum} to ${maximum}`
        : schema.enum !== undefined
          ? `one of ${schema.enum.join(', ')}`
          : describeSchema(schema);
  const standard = isSet ? (quantity?.default ?? byDefault) : undefined;
  const facts = [symbol, limits, standard === undefined ? '' : `default ${standard}`].filter((text) => text !== '').join(', ');
  return `${facts}${description === '' ? '' : `: ${description}`}`;
}

/** What each value of a mapping with free names, or with many names for the same, may hold. */
const elementOf = ({ properties = {}, additionalProperties }: KeySchema): KeySchema | undefined =>
  typeof additionalProperties === 'object' ? (additionalProperties as KeySchema) : sharedShape(Object.values(properties));

const SHORT = 40;

/** Comments with the keys of each entry of a list; of many, only their names and units. */
function entryKeys({ properties = {} }: KeySchema, indent: string): string[] {
  const all = Object.entries(properties);
  const symbolOf = ({ quantity, unit }: KeySchema): string => quantity?.unit ?? unit ?? '';
  if (all.length > SHORT) return comment(`keys: ${all.map(([name, one]) => `${name} ${symbolOf(one)}`.trimEnd()).join(', ')}`, indent);
  return all.flatMap(([name, one]) => comment(`${name}: ${about(one)}`, indent));
}

function listLines(schema: KeySchema, values: readonly unknown[], indent: string): string[] {
  return [...entryKeys(schema.items ?? {}, indent), ...values.map((one) => `${indent}- ${flow(one)}`)];
}

/** A key that the template sets. */
function setKey(name: string, schema: KeySchema, value: unknown, indent: string): string[] {
  const head = [...comment(schema.description ?? '', indent), `${indent}${name}:`];
  const element = elementOf(schema);
  if (Array.isArray(value)) return [...head, ...listLines(schema, value, `${indent}  `)];
  if (typeof value !== 'object' || value === null) {
    const line = `${indent}${name}: ${scalar(value)}  # ${about(schema)}`;
    return line.length <= LINE_LENGTH ? [line] : [...comment(about(schema), indent), `${indent}${name}: ${scalar(value)}`];
  }
  if (schema.properties !== undefined && schema.title === undefined)
    return [...head, ...mappingLines(schema, value as Values, `${indent}  `)];
  const inner = Object.entries(value).flatMap(([key, one]) =>
    element?.properties === undefined || element.title !== undefined
      ? [`${indent}  ${key}: ${flow(one)}`]
      : [`${indent}  ${key}:`, ...mappingLines(element, one as Values, `${indent}    `, false)],
  );
  return [...head, ...inner];
}

/** A key that the template leaves out, as a comment. */
function unsetKey(name: string, schema: KeySchema, indent: string): string[] {
  const standard = schema.quantity?.default ?? schema.default;
  return comment(`${name}:${standard === undefined ? '' : ` ${flow(standard)}`}  # ${about(schema, false)}`, indent);
}

/** @param hasUnset whether keys without a value are there as comments */
function mappingLines({ properties = {} }: KeySchema, values: Values, indent: string, hasUnset = true): string[] {
  return Object.entries(properties).flatMap(([name, one]) => {
    if (name in values) return setKey(name, one, values[name], indent);
    return hasUnset ? unsetKey(name, one, indent) : [];
  });
}

/** Returns the text of a file. @param head what it is, as a comment */
export const writeTemplate = (schema: KeySchema, values: Values, head: string): string =>
  `${[...comment(head, ''), ...mappingLines(schema, values, '')].join('\n')}\n`;
