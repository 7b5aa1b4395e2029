import { Ajv2020 } from 'ajv/dist/2020.js';
import { showValue } from '../common/input-error.js';
import { oncePer } from '../common/once.js';
import { ruleOf } from '../common/schema-words.js';
import { BadBinary } from '../wasm/bytes.js';
import { PAGE_BYTES } from '../wasm/inert.js';
import { type BinaryModule, customSections } from '../wasm/module.js';
import { type Contract, contractHash, recordOf, recordsInRow } from './contract.js';
import { CONTRACT_SCHEMA, DESCRIPTION_SCHEMA } from './contract-schema.js';
import { type BuildDescription, SECTION } from './embed.js';
import { isSignal } from './fields.js';
import { type Place, type RecordLayout, SIZE_OF } from './layout.js';
import { MESSAGES, placeName } from './messages.js';

/*
 * A contract that comes with a binary or a commit is data of somebody else. It is used only if every number and name in it is what
 * the rest of the program takes for granted.
 */

/** Ours has 110 kB, and as a file twice as much. */
const JSON_BYTES_MAX = 1 << 20;

const bad = (problem: string): BadBinary => new BadBinary(`its contract is not valid: ${problem}`);

const validatorOf = oncePer((schema: object) => new Ajv2020({ verbose: true }).compile(schema));

/** @throws BadBinary that names the first value that the schema refuses */
function checkSchema(value: unknown, schema: object): void {
  const validate = validatorOf(schema);
  if (validate(value)) return;
  const [error] = validate.errors ?? [];
  if (error === undefined) throw bad('it does not match the schema');
  const { keyword, params, instancePath: path, data } = error;
  const place = showValue(path);
  if (keyword === 'additionalProperties') throw bad(`${place} has the unknown key ${showValue(params.additionalProperty)}`);
  if (keyword === 'required') throw bad(`${place} has no ${params.missingProperty}`);
  throw bad(
    `${place} is ${showValue(typeof data === 'object' ? '…' : data)}; it must be ${[ruleOf(error)].flat().slice(0, 10).join(', ')}`,
  );
}

/** @throws BadBinary if it is too long, or no JSON in UTF-8 */
function parseJson(bytes: Uint8Array): unknown {
  if (bytes.length > JSON_BYTES_MAX) throw bad(`it has ${bytes.length} bytes; at most ${JSON_BYTES_MAX} are allowed`);
  try {
    return JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch {
    throw bad('it is not JSON');
  }
}

/** @throws BadBinary for a name that occurs twice, or that every object has */
function checkNames(what: string, named: readonly { readonly name: string }[]): void {
  const names = new Set<string>();
  for (const { name } of named) {
    if (name in {} || names.has(name))
      throw bad(`${what} ${showValue(name)} ${names.has(name) ? 'occurs twice' : 'is not a possible name'}`);
    names.add(name);
  }
}

/** Fields follow each other without gaps, so that none lies outside its record or over another one. */
function checkRecord({ name, size, fields }: RecordLayout, { enums }: Contract): void {
  checkNames(`${name}: field`, fields.filter(isSignal));
  let end = 0;
  for (const { name: field, offset, type, values } of fields) {
    const bytes = SIZE_OF[type];
    if (offset !== end || offset % bytes !== 0) throw bad(`${name}.${field} is at offset ${offset} instead of ${end}, or is not aligned`);
    if (values !== undefined && !Object.hasOwn(enums, values)) throw bad(`${name}.${field} has values of ${values}, which is not listed`);
    end += bytes;
  }
  if (size !== end || size === 0) throw bad(`${name} has a size of ${size}, but its fields have ${end} bytes`);
}

interface Range {
  readonly name: string;
  readonly from: number;
  readonly to: number;
}

/** @throws BadBinary if two ranges overlap, or one lies outside */
function checkRanges(ranges: readonly Range[], start: number, end: number): void {
  let last: Range = { name: 'the start', from: start, to: start };
  for (const range of [...ranges].sort((a, b) => a.from - b.from)) {
    if (range.from < last.to) throw bad(`${range.name} at ${range.from} overlaps ${last.name}, which ends at ${last.to}`);
    last = range;
  }
  if (last.to > end) throw bad(`${last.name} ends at ${last.to}, beyond ${end}`);
}

/** @throws BadBinary if a place does not have the records that its `each` says */
function checkCount(contract: Contract, { name, each, count, record }: Place): void {
  if (!contract.records.some((one) => one.name === record)) throw bad(`place ${name} has records ${record}, which are not listed`);
  const inRow = recordsInRow(contract, each);
  const expected = each === 'bank' ? 1 : inRow * contract.rowsMax;
  if (count === 0 || (expected > 0 && count !== expected)) throw bad(`place ${name} has ${count} records instead of ${expected}`);
}

/** Places of the bank, and the block of each row, which is repeated: none overlaps another, all are inside memory. */
function checkPlaces(contract: Contract): void {
  const { places, rowsMax, memoryBytes } = contract;
  for (const place of places) checkCount(contract, place);
  const sizeOf = ({ record }: Place): number => recordOf(contract, record).size;
  const inRows = places.filter(({ stride }) => stride !== undefined);
  const [first] = [...inRows].sort((a, b) => a.at - b.at);
  const blocks = first?.stride === undefined ? [] : [{ name: "the rows' state", from: first.at, to: first.at + rowsMax * first.stride }];
  const plain = places.filter(({ stride }) => stride === undefined);
  checkRanges(
    [...plain.map((place) => ({ name: place.name, from: place.at, to: place.at + place.count * sizeOf(place) })), ...blocks],
    0,
    memoryBytes,
  );
  if (first?.stride === undefined) return;
  const other = inRows.find(({ stride, each }) => stride !== first.stride || recordsInRow(contract, each) === 0);
  if (other !== undefined) throw bad(`place ${other.name} has a stride of ${other.stride}, and ${first.name} of ${first.stride}`);
  const ofRow = inRows.map((place) => ({
    name: place.name,
    from: place.at,
    to: place.at + recordsInRow(contract, place.each) * sizeOf(place),
  }));
  checkRanges(ofRow, first.at, first.at + first.stride);
}

/** The bank's record of a message is followed by those of its rows. */
function checkMessages(contract: Contract): void {
  for (const { bank, row } of [MESSAGES.input, MESSAGES.output, MESSAGES.probe]) {
    const [ofBank, ofRow] = [bank, row].map((record) => contract.places.find(({ name }) => name === placeName(record)));
    if (ofBank?.record !== bank || ofRow?.record !== row) throw bad(`it has no ${bank} and ${row}`);
    if (ofRow.at !== ofBank.at + recordOf(contract, bank).size) throw bad(`${row} does not follow ${bank}`);
    if (ofBank.each !== 'bank' || ofRow.each !== 'row') throw bad(`${bank} and ${row} are not those of the bank and its rows`);
  }
}

function checkParameters({ parameters, rules, records, places }: Contract): void {
  const fields = records.find(({ name }) => name === 'Parameters')?.fields ?? [];
  if (places.find(({ name }) => name === 'parameters')?.record !== 'Parameters') throw bad('it has no parameters');
  for (const { name, type, min, max, default: value, choices } of parameters) {
    if (fields.find((field) => field.name === name)?.type !== type) throw bad(`parameter ${name} has no field of its type`);
    if (!(min <= value && value <= max)) throw bad(`parameter ${name} has the default ${value}, outside ${min} to ${max}`);
    if (choices !== undefined && choices[value] === undefined) throw bad(`parameter ${name} has the default ${value}, which is no choice`);
  }
  const unknown = rules.flatMap(({ left, right }) => [left, right]).find((name) => !parameters.some((one) => one.name === name));
  if (unknown !== undefined) throw bad(`a rule names ${unknown}, which is no parameter`);
}

/** Checks what the schema cannot express, and the hash, which must be that of the content. @throws BadBinary that says what is wrong */
function checkContract(contract: Contract): void {
  checkNames('record', contract.records);
  checkNames('place', contract.places);
  checkNames('parameter', contract.parameters);
  checkNames(
    'fault',
    contract.faults.map(({ name, scope }) => ({ name: `${scope}.${name}` })),
  );
  checkNames(
    'enumeration',
    Object.keys(contract.enums).map((name) => ({ name })),
  );
  for (const record of contract.records) checkRecord(record, contract);
  checkPlaces(contract);
  checkMessages(contract);
  checkParameters(contract);
  const { hash, ...content } = contract;
  const computed = contractHash(content);
  if (computed !== hash) throw bad(`its content has hash ${computed}, but it states ${hash}`);
}

/** Reads a contract as JSON, such as that of a commit. @throws BadBinary that says what is wrong with it */
export function parseContract(bytes: Uint8Array): Contract {
  const contract = parseJson(bytes);
  checkSchema(contract, CONTRACT_SCHEMA);
  checkContract(contract as Contract);
  return contract as Contract;
}

/** Returns the description in a binary. @throws BadBinary if it has none, or two, or one that is not valid */
export function describeBinary(binary: BinaryModule): BuildDescription {
  const sections = customSections(binary, SECTION);
  const [section] = sections;
  if (section === undefined || sections.length > 1)
    throw new BadBinary(`it has ${sections.length} custom sections "${SECTION}" instead of one`);
  const description = parseJson(section) as BuildDescription;
  checkSchema(description, DESCRIPTION_SCHEMA);
  checkContract(description.contract);
  const bytes = (binary.memories[0]?.min ?? 0) * PAGE_BYTES;
  const { memoryBytes } = description.contract;
  if (memoryBytes > bytes) throw bad(`it needs ${memoryBytes} bytes of memory, but the binary has ${bytes}`);
  return description;
}
