import { existsSync, readFileSync } from 'node:fs';
import { join, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { TOOL_ROOT } from '../common/project.js';
import { hashSources, readSources, type SourceTree } from './sources.js';

const TABLES = 'shared';

/** SHA-256 over the contract's tables among sources. */
export const hashTables = (sources: SourceTree): string => hashSources(sources, TABLES, '');

/** SHA-256 over the contract's tables of a project's working tree. */
export const readTablesHash = (root: string): string => hashTables(readSources(root, TABLES));

/** Where the build of the host writes the hash of the tables that it compiled. */
export const tablesFile = (root: string): string => join(root, 'dist', 'shared', 'tables.sha256');

/** SHA-256 over the tables that this program was built with; empty if the build did not write it. */
export function ownTablesHash(): string {
  // Run from its sources, the program has the tables of its working tree.
  if (!fileURLToPath(import.meta.url).startsWith(join(TOOL_ROOT, 'dist', sep))) return readTablesHash(TOOL_ROOT);
  const file = tablesFile(TOOL_ROOT);
  return existsSync(file) ? readFileSync(file, 'utf8') : '';
}
