import { createHash } from 'node:crypto';
import { FAULTS, type Fault } from '../../shared/faults.js';
import { MEMORY_BYTES, ROWS_MAX } from '../../shared/limits.js';
import { PARAMETERS, type Parameter, RULES, type Rule } from '../../shared/parameters.js';
import { ENUMS } from '../../shared/records.js';
import { type LaidRecord, layOut, type Place } from './layout.js';

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

export const shortHash = (text: string | Uint8Array): string => createHash('sha256').update(text).digest('hex').slice(0, 16);

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
