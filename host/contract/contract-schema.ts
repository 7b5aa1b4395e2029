import { REACTIONS } from '../../shared/faults.js';
import { UNITS } from '../../shared/units.js';
import { SIZE_OF } from './layout.js';

/** More than any contract of this project has, by far; they bound what a binary can make the host do. */
const LIST_MAX = 1000;
const FIELDS_MAX = 4000;
export const ROWS_LIMIT = 1000;
/** 16 pages of WebAssembly memory. */
const MEMORY_LIMIT = 1 << 20;

const NAME = { type: 'string', pattern: '^[A-Za-z][A-Za-z0-9]{0,63}$', title: 'a name of up to 64 letters and digits' };
const TEXT = {
  type: 'string',
  maxLength: 2000,
  pattern: '^[^\\p{Cc}\\p{Cf}]*$',
  title: 'a text of up to 2000 characters without control characters',
};
const number = { type: 'number' };
const integer = (minimum: number, maximum: number) => ({ type: 'integer', minimum, maximum });
const address = integer(0, MEMORY_LIMIT);
const oneOf = (values: readonly string[]) => ({ enum: values });
const list = (items: object, maxItems = LIST_MAX) => ({ type: 'array', items, maxItems });

/** A mapping with these keys only. */
const mapping = (required: Readonly<Record<string, object>>, optional: Readonly<Record<string, object>> = {}) => ({
  type: 'object',
  properties: { ...required, ...optional },
  required: Object.keys(required),
  additionalProperties: false,
});

const FIELD = mapping(
  { name: NAME, type: oneOf(Object.keys(SIZE_OF)), unit: oneOf(Object.keys(UNITS)), help: TEXT, offset: address },
  { values: NAME },
);
const RECORD = mapping({
  name: NAME,
  kind: oneOf(['parameter', 'derived', 'input', 'output', 'probe', 'state']),
  help: TEXT,
  size: address,
  fields: list(FIELD, FIELDS_MAX),
});
const EACH = ['bank', 'row', 'valve', 'channel', 'channelKind', 'bankFault', 'rowFault', 'rowFaultKind'] as const;
const PLACE = mapping({ name: NAME, record: NAME, each: oneOf(EACH), at: address, count: address }, { stride: address });
const PARAMETER = mapping(
  {
    group: TEXT,
    name: NAME,
    type: oneOf(['f32', 'u32']),
    unit: oneOf(Object.keys(UNITS)),
    min: number,
    max: number,
    default: number,
    decimals: integer(0, 20),
    help: TEXT,
  },
  { needsRestart: { const: true }, choices: list(NAME) },
);
const FAULT = mapping({
  name: NAME,
  scope: oneOf(['bank', 'row']),
  code: integer(0, 31),
  fmi: integer(0, 31),
  reaction: oneOf(Object.keys(REACTIONS)),
  debounceMs: number,
  recoveryMs: number,
  help: TEXT,
});

/** JSON Schema of a contract, in the order of `Contract`. */
export const CONTRACT_SCHEMA = mapping({
  rowsMax: integer(1, ROWS_LIMIT),
  memoryBytes: integer(1, MEMORY_LIMIT),
  records: list(RECORD),
  places: list(PLACE),
  enums: { type: 'object', propertyNames: NAME, additionalProperties: list(NAME), maxProperties: LIST_MAX },
  parameters: list(PARAMETER),
  rules: list(mapping({ left: NAME, is: oneOf(['<', '<=', '>=']), right: NAME })),
  faults: list(FAULT, 64),
  hash: { type: 'string', pattern: '^[0-9a-f]{16}$', title: '16 hexadecimal digits' },
});

/** JSON Schema of a build's description. */
export const DESCRIPTION_SCHEMA = mapping({
  version: { type: 'string', pattern: '^[0-9A-Za-z.+-]{1,64}$', title: 'a version of up to 64 characters' },
  sourceHash: { type: 'string', pattern: '^[0-9a-f]{64}$', title: 'a SHA-256 of 64 hexadecimal digits' },
  contract: CONTRACT_SCHEMA,
});
