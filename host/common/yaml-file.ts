import { Ajv2020, type ErrorObject } from 'ajv/dist/2020.js';
import { type Document, isMap, isNode, isScalar, LineCounter, type Node, type Pair, parseDocument } from 'yaml';
import { InputError, type InputErrorDetails, showValue } from './input-error.js';
import { oncePer } from './once.js';
import { readText } from './read-file.js';
import { describeSchema, ruleOf, type SchemaNode } from './schema-words.js';
import { checkMerged } from './text-file.js';
import { findInDocument, findInText } from './yaml-limits.js';
import { ALIASES_MAX, firstAlias, type SyntaxProblem, syntaxProblem } from './yaml-syntax.js';

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

/** Whether this is a day of the Gregorian calendar, as YYYY-MM-DD. */
function isDate(text: string): boolean {
  const [year = 0, month = 0, day = 0] = (/^(\d{4})-(\d{2})-(\d{2})$/.exec(text) ?? []).slice(1).map(Number);
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  const days = [31, isLeap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1] ?? 0;
  return day >= 1 && day <= days;
}

const ajv = new Ajv2020({ allErrors: false, strict: true, allowUnionTypes: true, verbose: true });
ajv.addKeyword({ keyword: 'unit', schemaType: 'string' });
// For documents and templates; limits apply after the conversion of units.
ajv.addKeyword({ keyword: 'quantity', schemaType: 'object' });
ajv.addFormat('date', isDate);
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

function placeInText(text: string, offset: number): YamlPlace {
  const before = text.slice(0, offset).split('\n');
  return { line: before.length, column: (before.at(-1) ?? '').length + 1 };
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
  const { properties = {}, additionalProperties } = (error.parentSchema ?? {}) as SchemaNode;
  const known = Object.keys(properties);
  const isOfKeys = keyword === 'additionalProperties' || (keyword === 'required' && additionalProperties === false);
  // A key that is missing may be there, misspelt.
  const stray = isOfKeys ? Object.keys(error.data as object).find((key) => !known.includes(key)) : undefined;
  if (stray !== undefined) return unknownKey(opened, path, stray, known);
  if (keyword === 'required') return missingKey(opened, path, String(params.missingProperty), properties[params.missingProperty]);
  const problem = showProblem(path, error.data);
  const rule = ruleOf(error);
  const allowed = path.length === 0 && rule === 'a mapping' ? 'a mapping, with lines of `key: value`' : rule;
  return new InputError({ file: opened.file, ...whereValue(opened, path), problem, value: error.data, allowed });
}

/** Parses a text. @throws InputError at the first problem of syntax, or at what takes too long or is not visible */
function parseText(text: string, file: string): Opened {
  const lines = new LineCounter();
  const refuse = (place: YamlPlace, found: SyntaxProblem): never => {
    throw new InputError({ file, ...place, problem: found.problem });
  };
  const excess = findInText(text);
  if (excess !== undefined) refuse(placeInText(text, excess.offset), excess);
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, uniqueKeys: false });
  const found = syntaxProblem(document, text) ?? findInDocument(document, text);
  if (found !== undefined) refuse(placeAt(lines, found.offset), found);
  return { file, document, lines };
}

function toValue({ file, document, lines }: Opened): unknown {
  try {
    return document.toJS({ maxAliasCount: ALIASES_MAX });
  } catch {
    const problem = `aliases repeat values more than ${ALIASES_MAX} times`;
    throw new InputError({ file, ...placeAt(lines, firstAlias(document)), problem });
  }
}

/**
 * Reads YAML from `text`; `file` is its name in errors. The caller vouches that values which satisfy `schema` are of type `T`.
 * @throws InputError with line and column of a syntax error, a duplicate key, or the first value or key that the JSON Schema refuses
 */
export function parseYaml<T>(text: string, file: string, schema: object): YamlFile<T> {
  checkMerged(text, file);
  const opened = parseText(text, file);
  const { document } = opened;
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
export const readYaml = <T>(file: string, schema: object): YamlFile<T> => parseYaml<T>(readText(file, 'yaml'), file, schema);
