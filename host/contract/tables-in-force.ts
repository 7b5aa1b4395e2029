import { getEnvironmentData, setEnvironmentData } from 'node:worker_threads';
import type { Check, Fault } from '../../shared/faults.js';
import type { Parameter, Rule } from '../../shared/parameters.js';
import type { RecordTable } from '../../shared/records.js';

/** What a contract is written from. Plain data: it is sent to threads. */
export interface ContractTables {
  readonly PARAMETERS: readonly Parameter[];
  readonly RULES: readonly Rule[];
  readonly FAULTS: readonly Fault[];
  readonly CHECKS: readonly Check[];
  readonly RECORDS: readonly RecordTable[];
  readonly ENUMS: Readonly<Record<string, readonly string[]>>;
}

/** The tables of a team's project. */
export interface ProjectTables {
  readonly tables: ContractTables;
  /** SHA-256 over their sources. */
  readonly hash: string;
}

/** Every new thread gets a copy of what its parent has under this name. */
const KEY = 'latchbench.tables';

/** Makes the tables of a project those of this thread and of threads that it starts; has no effect on modules that have read them already. */
export const useTables = (tables: ProjectTables): void => setEnvironmentData(KEY, tables as never);

/** The tables of the project; undefined in this program's own checkout. */
export const projectTables = (): ProjectTables | undefined => getEnvironmentData(KEY) as unknown as ProjectTables | undefined;
