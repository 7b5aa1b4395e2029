import { Ajv2020 } from 'ajv/dist/2020.js';
import { InputError, showValue } from '../common/input-error.js';
import { oncePer } from '../common/once.js';
import { ruleOf } from '../common/schema-words.js';

/** The compiler's options by name, as asconfig.json has them. */
export type CompilerOptions = Readonly<Record<string, string | number | boolean | readonly string[]>>;

const integer = (minimum: number, maximum: number) => ({ type: 'integer', minimum, maximum });
const listOf = (items: object) => ({ anyOf: [items, { type: 'array', items, maxItems: 50 }] });
const FEATURES = listOf({ type: 'string', pattern: '^[a-z][a-z0-9-]{0,40}$', title: 'the name of a feature' });
const PAGES_MAX = 256;

/**
 * The options that a build may have. None of them names a file, a folder or code to run: the compiler's transforms are programs, and
 * the settings may come from a commit or a checkout of somebody else.
 */
const OPTIONS = {
  runtime: { enum: ['stub', 'minimal', 'incremental'] },
  use: listOf({ type: 'string', pattern: '^[A-Za-z_][A-Za-z0-9_./]{0,60}=[A-Za-z0-9_./-]{0,60}$', title: 'NAME=VALUE' }),
  memoryBase: integer(0, PAGES_MAX * 65536),
  initialMemory: integer(0, PAGES_MAX),
  maximumMemory: integer(0, PAGES_MAX),
  enable: FEATURES,
  disable: FEATURES,
  optimizeLevel: integer(0, 3),
  shrinkLevel: integer(0, 2),
  converge: { type: 'boolean' },
  noAssert: { type: 'boolean' },
};

const SCHEMA = {
  type: 'object',
  properties: { options: { type: 'object', properties: OPTIONS, additionalProperties: false } },
  required: ['options'],
};

const validatorOf = oncePer((schema: object) => new Ajv2020({ verbose: true, allowUnionTypes: true }).compile(schema));

function parse(text: string, file: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new InputError({ file, problem: 'this is not JSON' });
  }
}

/** Returns the options of an asconfig.json. @throws InputError if it has one that is not among those above */
export function parseOptions(text: string, file = 'asconfig.json'): CompilerOptions {
  const settings = parse(text, file);
  const validate = validatorOf(SCHEMA);
  if (validate(settings)) return (settings as { options: CompilerOptions }).options;
  const [error] = validate.errors ?? [];
  if (error?.keyword === 'additionalProperties') {
    const name = String(error.params.additionalProperty);
    throw new InputError({ file, problem: `unknown compiler option ${showValue(name)}`, value: name, allowed: Object.keys(OPTIONS) });
  }
  const place = (error?.instancePath ?? '').split('/').slice(1).join('.') || 'the file';
  const problem = `${showValue(place)} is ${showValue(error?.data)}`;
  throw new InputError({ file, problem, value: error?.data, allowed: error === undefined ? undefined : ruleOf(error) });
}
