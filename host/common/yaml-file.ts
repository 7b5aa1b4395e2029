import { closeSync, readFileSync } from 'node:fs';
import { Ajv2020, type ErrorObject, type ValidateFunction } from 'ajv/dist/2020.js';
import { type Document, isMap, isNode, isScalar, LineCounter, type Node, type Pair, parseDocument } from 'yaml';
import { InputError, openToRead } from './input-error.js';

/** Largest file that a person would write, bytes. */
export const YAML_BYTES_MAX = 1 << 20;

export type YamlPath = readonly (string | number)[];

export interface YamlPlace {
  readonly line: number;
  readonly column: number;
}

/** A YAML file that was read and found to be as its schema says. */
export interface YamlFile<T> {
  readonly file: string;
  readonly value: T;
  /** Where the value at `path` stands; where its nearest ancestor does if there is none. */
  where(path: YamlPath): YamlPlace;
  /** An InputError about the value at `path`, for what a schema can't say. */
  wrong(path: YamlPath, what: string, allowed: string | readonly string[]): InputError;
}

const ajv = new Ajv2020({ allErrors: false, strict: true, allowUnionTypes: true, verbose: true });
ajv.addKeyword({ keyword: 'unit', schemaType: 'string' });
const validators = new WeakMap<object, ValidateFunction>();

function validatorOf(schema: object): ValidateFunction {
  const known = validators.get(schema);
  if (known !== undefined) return known;
  const made = ajv.compile(schema);
  validators.set(schema, made);
  return made;
}

interface Opened {
  readonly file: string;
  readonly document: Document.Parsed;
  readonly lines: LineCounter;
}

function placeAt(lines: LineCounter, offset: number): YamlPlace {
  const { line, col } = lines.linePos(offset);
  return { line, column: col };
}

const offsetOf = (node: unknown): number | undefined => (isNode(node) ? node.range?.[0] : undefined);

function whereValue({ document, lines }: Opened, path: YamlPath): YamlPlace {
  for (let length = path.length; length > 0; length--) {
    const offset = offsetOf(document.getIn(path.slice(0, length), true));
    if (offset !== undefined) return placeAt(lines, offset);
  }
  return placeAt(lines, offsetOf(document.contents) ?? 0);
}

function whereKey(opened: Opened, path: YamlPath, key: string): YamlPlace {
  const map = path.length === 0 ? opened.document.contents : opened.document.getIn(path, true);
  const pair = isMap(map) ? (map.items as Pair<Node>[]).find((one) => isScalar(one.key) && String(one.key.value) === key) : undefined;
  const offset = offsetOf(pair?.key);
  return offset === undefined ? whereValue(opened, path) : placeAt(opened.lines, offset);
}

interface SchemaNode {
  readonly title?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly unit?: string;
  readonly anyOf?: readonly SchemaNode[];
  readonly oneOf?: readonly SchemaNode[];
  readonly properties?: object;
  readonly description?: string;
}

const TYPE_WORDS: Readonly<Record<string, string>> = {
  integer: 'a whole number',
  number: 'a number',
  string: 'a text',
  boolean: 'true or false',
  array: 'a list',
  object: 'a mapping',
  null: 'nothing',
};

/** What a schema allows, in words: `a whole number from 1 to 48`. */
function describe(schema: SchemaNode): string {
  const either = schema.anyOf ?? schema.oneOf;
  if (either !== undefined) return either.map(describe).join(' or ');
  if (schema.enum !== undefined) return `one of ${schema.enum.join(', ')}`;
  if (schema.const !== undefined) return JSON.stringify(schema.const);
  const types = [schema.type ?? []].flat().map((type) => TYPE_WORDS[type] ?? type);
  const { minimum, maximum } = schema;
  const limits = [
    minimum !== undefined && maximum !== undefined ? `from ${minimum} to ${maximum}` : undefined,
    minimum !== undefined && maximum === undefined ? `from ${minimum} up` : undefined,
    minimum === undefined && maximum !== undefined ? `up to ${maximum}` : undefined,
  ];
  return [types.join(' or '), ...limits, schema.unit].filter((word) => word !== undefined && word !== '').join(' ');
}

/** JSON Pointer (RFC 6901) → path; numbers for places in a list. */
const readPointer = (pointer: string): (string | number)[] =>
  pointer
    .split('/')
    .slice(1)
    .map((part) => part.replaceAll('~1', '/').replaceAll('~0', '~'))
    .map((part) => (/^\d+$/.test(part) ? Number(part) : part));

const namePath = (path: YamlPath): string =>
  path.length === 0
    ? 'file'
    : path.map((part, index) => (typeof part === 'number' ? `[${part}]` : index === 0 ? part : `.${part}`)).join('');

/** Of the errors of an `anyOf` the innermost one tells most; where none lies deeper, the `anyOf` itself, which is reported last. */
function mostTelling(errors: readonly ErrorObject[]): ErrorObject | undefined {
  const depth = (error: ErrorObject): number => error.instancePath.split('/').length;
  return errors.reduce<ErrorObject | undefined>(
    (best, error) => (best === undefined || depth(error) >= depth(best) ? error : best),
    undefined,
  );
}

function schemaError(opened: Opened, error: ErrorObject): InputError {
  const { file } = opened;
  const path = readPointer(error.instancePath);
  const parent = (error.parentSchema ?? {}) as SchemaNode;
  if (error.keyword === 'additionalProperties' || error.keyword === 'unevaluatedProperties') {
    const key = String(error.params.additionalProperty ?? error.params.unevaluatedProperty);
    const what = path.length === 0 ? 'key' : `${namePath(path)} key`;
    return new InputError({ file, ...whereKey(opened, path, key), what, value: key, allowed: Object.keys(parent.properties ?? {}) });
  }
  const place = whereValue(opened, path);
  if (error.keyword === 'required') {
    const missing = String(error.params.missingProperty);
    const property = ((parent.properties ?? {}) as Record<string, SchemaNode>)[missing];
    const what = `${namePath([...path, missing])} is missing`;
    return new InputError({ file, ...place, what, allowed: describe(property ?? {}) || 'a value for it' });
  }
  const telling = ['type', 'enum', 'const', 'minimum', 'maximum', 'anyOf', 'oneOf'].includes(error.keyword);
  // A pattern says little to a person; a schema may say it in words.
  const told = error.keyword === 'pattern' ? parent.title : undefined;
  const words = told ?? ((telling ? describe(parent) : '') || (error.message ?? error.keyword));
  // As a list, so that of many names the nearest are shown.
  const allowed = error.keyword === 'enum' ? (parent.enum ?? []).map(String) : words;
  return new InputError({ file, ...place, what: namePath(path), value: error.data, allowed });
}

function checkSyntax({ file, document, lines }: Opened): void {
  const [trouble] = [...document.errors, ...document.warnings];
  if (trouble === undefined) return;
  const [what = ''] = trouble.message.split('\n');
  const allowed = trouble.code === 'DUPLICATE_KEY' ? 'each key once' : 'YAML 1.2';
  throw new InputError({ file, ...placeAt(lines, trouble.pos[0]), what, allowed });
}

function toValue({ file, document }: Opened): unknown {
  try {
    return document.toJS({ maxAliasCount: 100 });
  } catch (error) {
    throw new InputError({ file, line: 1, column: 1, what: (error as Error).message, allowed: 'at most 100 uses of aliases' });
  }
}

/**
 * Reads YAML from `text`; `file` is its name in errors. The caller says by `schema` what `T` is.
 * @throws InputError with line and column of the first value (or unknown key) that the JSON Schema refuses, of a
 * duplicated key or of a syntax error.
 */
export function parseYaml<T>(text: string, file: string, schema: object): YamlFile<T> {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, uniqueKeys: true });
  const opened: Opened = { file, document, lines };
  checkSyntax(opened);
  const value = toValue(opened);
  const validate = validatorOf(schema);
  if (!validate(value)) {
    const error = mostTelling(validate.errors ?? []);
    if (error !== undefined) throw schemaError(opened, error);
  }
  const where = (path: YamlPath): YamlPlace => whereValue(opened, path);
  const wrong = (path: YamlPath, what: string, allowed: string | readonly string[]): InputError => {
    const found = document.getIn(path);
    return new InputError({ file, ...where(path), what, ...(found === undefined || isNode(found) ? {} : { value: found }), allowed });
  };
  return { file, value: value as T, where, wrong };
}

/**
 * Reads a YAML file, see `parseYaml`.
 * @throws InputError also when there is no such file, it is larger than 1 MiB, or no UTF-8 text.
 */
export function readYaml<T>(file: string, schema: object): YamlFile<T> {
  const { fd, size } = openToRead(file);
  try {
    if (size > YAML_BYTES_MAX) throw new InputError({ file, what: 'size', value: size, allowed: `at most ${YAML_BYTES_MAX} bytes` });
    return parseYaml<T>(decodeText(readFileSync(fd), file), file, schema);
  } finally {
    closeSync(fd);
  }
}

function decodeText(bytes: Uint8Array, file: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new InputError({ file, what: 'text that is not UTF-8', allowed: 'UTF-8' });
  }
}
