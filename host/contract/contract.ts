import type { Fault } from '../../shared/faults.js';
import { MEMORY_BYTES, ROWS_MAX } from '../../shared/limits.js';
import type { Parameter, Rule } from '../../shared/parameters.js';
import type { Each } from '../../shared/records.js';
import { shortHash } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { countInRow, layOutMemory, type Place, type RecordLayout } from './layout.js';
import { ENUMS, FAULTS, PARAMETERS, RULES } from './tables.js';

/** A build's interface and memory layout, embedded in its binary as JSON, see embed.ts. */
export interface Contract {
  readonly rowsMax: number;
  readonly memoryBytes: number;
  readonly records: readonly RecordLayout[];
  readonly places: readonly Place[];
  readonly enums: Readonly<Record<string, readonly string[]>>;
  readonly parameters: readonly Parameter[];
  readonly rules: readonly Rule[];
  readonly faults: readonly Fault[];
  /** First 16 hexadecimal digits of the SHA-256 over everything above except help texts. */
  readonly hash: string;
}

/** Parameter values by name; the others keep their defaults. */
export type ParameterValues = Readonly<Record<string, number>>;

/** The hash of a contract. A changed help text does not make a new one. */
export const contractHash = (content: Omit<Contract, 'hash'>): string =>
  shortHash(JSON.stringify(content, (key, value) => (key === 'help' ? undefined : value)));

const contracts = new Map<number, Contract>();

/** The contract by the tables in shared/, for a binary with room for `rowsMax` rows. The same object each time: schemas are kept by it. */
export function describeContract(rowsMax: number = ROWS_MAX): Contract {
  const contract = contracts.get(rowsMax) ?? makeContract(rowsMax);
  contracts.set(rowsMax, contract);
  return contract;
}

/** The same, as a new object. */
export function makeContract(rowsMax: number): Contract {
  const { records, places } = layOutMemory(rowsMax);
  const content = {
    rowsMax,
    memoryBytes: MEMORY_BYTES,
    records,
    places,
    enums: ENUMS,
    parameters: PARAMETERS,
    rules: RULES,
    faults: FAULTS,
  };
  return { ...content, hash: contractHash(content) };
}

/** The error of a command that works with something that a project has removed from its tables. */
export const lacks = (problem: string): InputError =>
  new InputError({
    file: 'shared/records.ts',
    problem: `${problem}, which this command works with`,
    hint: 'Restore it, or do without this command',
  });

/** @throws InputError if the contract has no such record */
export function recordOf(contract: Contract, name: string): RecordLayout {
  const record = contract.records.find((one) => one.name === name);
  if (record === undefined) throw lacks(`there is no record ${name}`);
  return record;
}

/** @throws InputError if the contract has no such place */
export function placeOf(contract: Contract, name: string): Place {
  const place = contract.places.find((one) => one.name === name);
  if (place === undefined) throw lacks(`there is no place ${name}`);
  return place;
}

/** Number of records at a place that belong to one row, by the build's own list of faults; 0 if they do not belong to rows. */
export const recordsInRow = (contract: Pick<Contract, 'faults'>, each: Each): number =>
  each === 'rowFault' ? contract.faults.filter(({ scope }) => scope === 'row').length : countInRow(each);

/** Number of records at a place that are in use with this number of rows. */
export function countInUse(contract: Contract, { each, count }: Place, rows: number): number {
  const inRow = recordsInRow(contract, each);
  return inRow === 0 ? count : Math.min(count, rows * inRow);
}

/** Address of the record with this index at a place, bytes from the start of memory. */
export function recordAddress(contract: Contract, place: Place, index: number): number {
  const { size } = recordOf(contract, place.record);
  if (place.stride === undefined) return place.at + index * size;
  const inRow = recordsInRow(contract, place.each);
  return place.at + Math.floor(index / inRow) * place.stride + (index % inRow) * size;
}

export interface MemoryRange {
  readonly at: number;
  readonly bytes: number;
}

const HASHED = ['output', 'probe', 'state'];

/** Outputs, probes and state of the rows in use, in the order of addresses: what a state hash covers. */
export function hashedRanges(contract: Contract, rows: number): MemoryRange[] {
  const hashed = contract.places.filter((place) => HASHED.includes(recordOf(contract, place.record).kind));
  const ranges = hashed
    .filter(({ stride }) => stride === undefined)
    .map((place) => {
      const { size } = recordOf(contract, place.record);
      return { at: place.at, bytes: countInUse(contract, place, rows) * size };
    });
  // The rows' blocks are contiguous: one range.
  const first = hashed.find(({ stride }) => stride !== undefined);
  return first?.stride === undefined ? ranges : [...ranges, { at: first.at, bytes: rows * first.stride }];
}
