import { FAULTS, type Fault } from '../../shared/faults.js';
import { MEMORY_BYTES, ROWS_MAX } from '../../shared/limits.js';
import { PARAMETERS, type Parameter, RULES, type Rule } from '../../shared/parameters.js';
import { type Each, ENUMS } from '../../shared/records.js';
import { shortHash } from '../common/hash.js';
import { countInRow, type LaidRecord, layOut, type Place } from './layout.js';

/** All that a build says of itself: carried in the binary as JSON, see embed.ts. */
export interface Contract {
  readonly rowsMax: number;
  readonly memoryBytes: number;
  readonly records: readonly LaidRecord[];
  readonly places: readonly Place[];
  readonly enums: Readonly<Record<string, readonly string[]>>;
  readonly parameters: readonly Parameter[];
  readonly rules: readonly Rule[];
  readonly faults: readonly Fault[];
  /** First 16 hexadecimal digits of the SHA-256 over everything above but help texts. */
  readonly hash: string;
}

/** Parameter values by name; what is not named keeps its default. */
export type ParameterValues = Readonly<Record<string, number>>;

/** Help texts may be mended without making a new contract. */
const withoutHelp = (key: string, value: unknown): unknown => (key === 'help' ? undefined : value);

/** The contract that the tables in shared/ describe, for a binary of `rowsMax` rows. */
export function describeContract(rowsMax: number = ROWS_MAX): Contract {
  const { records, places } = layOut(rowsMax);
  const told = {
    rowsMax,
    memoryBytes: MEMORY_BYTES,
    records,
    places,
    enums: ENUMS,
    parameters: PARAMETERS,
    rules: RULES,
    faults: FAULTS,
  };
  return { ...told, hash: shortHash(JSON.stringify(told, withoutHelp)) };
}

/** @throws Error when the contract has no such record. */
export function recordOf(contract: Contract, name: string): LaidRecord {
  const record = contract.records.find((one) => one.name === name);
  if (record === undefined) throw new Error(`the contract has no record ${name}`);
  return record;
}

/** @throws Error when the contract has no such place. */
export function placeOf(contract: Contract, name: string): Place {
  const place = contract.places.find((one) => one.name === name);
  if (place === undefined) throw new Error(`the contract has no place ${name}`);
  return place;
}

/** How many of the records at a place belong to one row, by the build's own list of faults; 0 if none does. */
const recordsInRow = (contract: Contract, each: Each): number =>
  each === 'rowFault' ? contract.faults.filter(({ scope }) => scope === 'row').length : countInRow(each);

/** How many of the records at a place are in use with so many rows. */
export function countInUse(contract: Contract, { each, count }: Place, rows: number): number {
  const inRow = recordsInRow(contract, each);
  return inRow === 0 ? count : Math.min(count, rows * inRow);
}

/** Where a record stands: the one of this index at a place, bytes from the start of memory. */
export function recordAddress(contract: Contract, place: Place, index: number): number {
  const { size } = recordOf(contract, place.record);
  if (place.stride === undefined) return place.at + index * size;
  const inRow = recordsInRow(contract, place.each);
  return place.at + Math.floor(index / inRow) * place.stride + (index % inRow) * size;
}

/** A piece of memory. */
export interface MemoryRange {
  readonly at: number;
  readonly bytes: number;
}

const HASHED = ['output', 'probe', 'state'];

/** Outputs, probes and state of the rows in use, in memory's order: what state hashes go over. */
export function hashedRanges(contract: Contract, rows: number): MemoryRange[] {
  const hashed = contract.places.filter((place) => HASHED.includes(recordOf(contract, place.record).kind));
  const ranges = hashed
    .filter(({ stride }) => stride === undefined)
    .map((place) => {
      const { size } = recordOf(contract, place.record);
      return { at: place.at, bytes: countInUse(contract, place, rows) * size };
    });
  // What stands in blocks, one for each row, is one piece.
  const first = hashed.find(({ stride }) => stride !== undefined);
  return first?.stride === undefined ? ranges : [...ranges, { at: first.at, bytes: rows * first.stride }];
}
