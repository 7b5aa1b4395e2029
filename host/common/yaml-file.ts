import { closeSync, readFileSync } from 'node:fs';
import { Ajv2020, type ErrorObject } from 'ajv/dist/2020.js';
import { type Document, type ErrorCode, isMap, isNode, isScalar, LineCounter, type Node, type Pair, parseDocument } from 'yaml';
import { InputError, type InputErrorDetails, openToRead, showValue } from './input-error.js';
import { oncePer } from './once.js';
import { describeSchema, ruleOf, type SchemaNode } from './schema-words.js';

/** No file written by hand is larger, bytes. */
const YAML_BYTES_MAX = 1 << 20;

export type YamlPath = readonly (string | number)[];

export interface YamlPlace {
  readonly line: number;
  readonly column: number;
}

/** What is wrong with a value: without a `problem`, the error says what the value is. */
export type ValueProblem = Partial<Pick<InputErrorDetails, 'problem' | 'allowed' | 'hint'>>;

/** The value of a YAML file that satisfies its schema, with the places of all values. */
export interface YamlFile<T> {
  readonly file: string;
  readonly value: T;
  /** Returns where the value at `path` is; if there is none, where its nearest ancestor is. */
  where(path: YamlPath): YamlPlace;
  /** Returns an InputError about the value at `path`, for rules that a schema can't express. */
  errorAt(path: YamlPath, problem: ValueProblem): InputError;
}

const ajv = new Ajv2020({ allErrors: false, strict: true, allowUnionTypes: true, verbose: true });
ajv.addKeyword({ keyword: 'unit', schemaType: 'string' });
const validatorOf = oncePer((schema: object) => ajv.compile(schema));

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

/** JSON Pointer (RFC 6901) → path; numbers for positions in a list. */
const readPointer = (pointer: string): (string | number)[] =>
  pointer
    .split('/')
    .slice(1)
    .map((part) => part.replaceAll('~1', '/').replaceAll('~0', '~'))
    .map((part) => (/^\d+$/.test(part) ? Number(part) : part));

/** `signals[0].row`, as an error names a value. */
const namePath = (path: YamlPath): string =>
  path.map((part, index) => (typeof part === 'number' ? `[${part}]` : index === 0 ? part : `.${part}`)).join('');

/** `signals[0].row is 49`. */
function showProblem(path: YamlPath, value: unknown): string {
  const name = path.length === 0 ? 'the file' : namePath(path);
  if (value === undefined) return `${name} is missing`;
  if (value === null) return `${name} is empty`;
  if (Array.isArray(value)) return `${name} is a list`;
  return `${name} is ${typeof value === 'object' ? 'a mapping' : showValue(value)}`;
}

/** The innermost error of an `anyOf` is the most specific; if none is deeper, the `anyOf` itself, which is reported last. */
function innermost(errors: readonly ErrorObject[]): ErrorObject | undefined {
  const depth = (error: ErrorObject): number => error.instancePath.split('/').length;
  return errors.reduce<ErrorObject | undefined>(
    (best, error) => (best === undefined || depth(error) >= depth(best) ? error : best),
    undefined,
  );
}

function unknownKey(opened: Opened, path: YamlPath, key: string, known: readonly string[]): InputError {
  const place = whereKey(opened, path, key);
  const problem = `unknown key \`${key}\`${path.length === 0 ? '' : ` in ${namePath(path)}`}`;
  return new InputError({ file: opened.file, ...place, problem, value: key, allowed: known });
}

function missingKey(opened: Opened, path: YamlPath, key: string, schema: SchemaNode | undefined): InputError {
  const problem = `${namePath([...path, key])} is missing`;
  return new InputError({ file: opened.file, ...whereValue(opened, path), problem, allowed: describeSchema(schema ?? {}) || undefined });
}

function schemaError(opened: Opened, error: ErrorObject): InputError {
  const path = readPointer(error.instancePath);
  const { keyword, params } = error;
  const properties = ((error.parentSchema as SchemaNode | undefined)?.properties ?? {}) as Record<string, SchemaNode>;
  if (keyword === 'additionalProperties') return unknownKey(opened, path, String(params.additionalProperty), Object.keys(properties));
  if (keyword === 'required') return missingKey(opened, path, String(params.missingProperty), properties[params.missingProperty]);
  const problem = showProblem(path, error.data);
  const rule = ruleOf(error);
  const allowed = path.length === 0 && rule === 'a mapping' ? 'a mapping, with lines of `key: value`' : rule;
  return new InputError({ file: opened.file, ...whereValue(opened, path), problem, value: error.data, allowed });
}

/** Syntax errors in our words: the parser's own use terms of its implementation. */
const SYNTAX_PROBLEMS: Readonly<Record<ErrorCode, string>> = {
  ALIAS_PROPS: 'an alias can have no anchor or tag',
  BAD_ALIAS: 'this is not a valid alias or anchor name',
  BAD_COLLECTION_TYPE: 'this tag does not fit a list or a mapping',
  BAD_DIRECTIVE: 'this is not a valid YAML directive',
  BAD_DQ_ESCAPE: 'this escape sequence is not valid in double quotes',
  BAD_INDENT: 'the indentation does not match the lines above',
  BAD_PROP_ORDER: 'an anchor or a tag must come before the value, after the indicator',
  BAD_SCALAR_START: 'text that starts with this character needs quotes',
  BLOCK_AS_IMPLICIT_KEY: 'a mapping cannot start here; check the indentation, or put text that holds a colon in quotes',
  BLOCK_IN_FLOW: 'an indented list or mapping cannot be inside brackets or braces',
  DUPLICATE_KEY: 'this key appears twice',
  IMPOSSIBLE: 'this is not valid YAML',
  KEY_OVER_1024_CHARS: 'this key is longer than 1024 characters',
  MISSING_CHAR: 'a quote, bracket, comma, colon or space is missing',
  MULTILINE_IMPLICIT_KEY: 'this key extends over several lines, or the colon after it is missing',
  MULTIPLE_ANCHORS: 'this value has two anchors',
  MULTIPLE_DOCS: 'a second document starts here; the file must hold one',
  MULTIPLE_TAGS: 'this value has two tags',
  NON_STRING_KEY: 'this key is not text',
  RESOURCE_EXHAUSTION: 'values are nested too deeply',
  TAB_AS_INDENT: 'a tab is used as indentation; YAML allows only spaces',
  TAG_RESOLVE_FAILED: 'this tag is unknown',
  UNEXPECTED_TOKEN: 'this character is out of place',
};

/** What is not closed, by the parser's message. */
function unclosed(message: string): string | undefined {
  const [, quote] = /^Missing closing (['"])quote/.exec(message) ?? [];
  if (quote !== undefined) return `a ${quote === '"' ? 'double' : 'single'} quote is not closed`;
  const [, bracket] = /end with an? ([}\]])$/.exec(message) ?? [];
  if (bracket !== undefined) return `a ${bracket === '}' ? 'brace' : 'bracket'} is not closed: \`${bracket}\` is missing`;
  return undefined;
}

function checkSyntax({ file, document, lines }: Opened, text: string): void {
  const [found] = [...document.errors, ...document.warnings];
  if (found === undefined) return;
  const [offset] = found.pos;
  const [key] = /^("[^"\n]*"|'[^'\n]*'|[^:\n]+)(?=\s*:)/.exec(text.slice(offset)) ?? [];
  const isNamed = found.code === 'DUPLICATE_KEY' && key !== undefined;
  const problem = isNamed ? `the key \`${key}\` appears twice` : (unclosed(found.message) ?? SYNTAX_PROBLEMS[found.code]);
  throw new InputError({ file, ...placeAt(lines, offset), problem });
}

function toValue({ file, document }: Opened): unknown {
  try {
    return document.toJS({ maxAliasCount: 100 });
  } catch (error) {
    const [, name] = /^Unresolved alias.*: (.*)/.exec((error as Error).message) ?? [];
    const problem = name === undefined ? 'aliases repeat values more than 100 times' : `the alias *${name} has no anchor before it`;
    throw new InputError({ file, line: 1, column: 1, problem });
  }
}

/**
 * Reads YAML from `text`; `file` is its name in errors. The caller vouches that values which satisfy `schema` are of type `T`.
 * @throws InputError with line and column of a syntax error, a duplicate key, or the first value or key that the JSON Schema refuses
 */
export function parseYaml<T>(text: string, file: string, schema: object): YamlFile<T> {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, uniqueKeys: true });
  const opened: Opened = { file, document, lines };
  checkSyntax(opened, text);
  const value = toValue(opened);
  const validate = validatorOf(schema);
  if (!validate(value)) {
    const error = innermost(validate.errors ?? []);
    if (error !== undefined) throw schemaError(opened, error);
  }
  const where = (path: YamlPath): YamlPlace => whereValue(opened, path);
  const errorAt = (path: YamlPath, problem: ValueProblem): InputError => {
    const found = document.getIn(path);
    const details = found === undefined || isNode(found) ? {} : { value: found };
    return new InputError({ file, ...where(path), ...details, ...problem, problem: problem.problem ?? showProblem(path, found) });
  };
  return { file, value: value as T, where, errorAt };
}

/**
 * Reads a YAML file, see `parseYaml`.
 * @throws InputError also if there is no such file, it is larger than 1 MiB, or it is not UTF-8
 */
export function readYaml<T>(file: string, schema: object): YamlFile<T> {
  const { fd, size } = openToRead(file);
  try {
    if (size > YAML_BYTES_MAX)
      throw new InputError({ file, problem: `the file has ${size} bytes`, value: size, allowed: `at most ${YAML_BYTES_MAX}` });
    return parseYaml<T>(decodeText(readFileSync(fd), file), file, schema);
  } finally {
    closeSync(fd);
  }
}

function decodeText(bytes: Uint8Array, file: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new InputError({ file, problem: 'the text is not UTF-8' });
  }
}
