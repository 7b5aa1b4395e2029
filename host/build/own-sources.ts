import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { TOOL_ROOT } from '../common/project.js';
import { hashSources, readSources, type SourceTree } from './sources.js';

const TABLES = 'shared';
const HOST = 'host';

/** SHA-256 over the contract's tables among sources. */
export const hashTables = (sources: SourceTree): string => hashSources(sources, TABLES, '');

/** SHA-256 over the contract's tables of a project's working tree. */
export const readTablesHash = (root: string): string => hashTables(readSources(root, TABLES));

/** SHA-256 over the sources of this program in its working tree. */
const readHostHash = (): string => hashSources(readSources(TOOL_ROOT, HOST), HOST, '');

/** Where the build of the host writes the hash of the sources in a folder that it compiled. */
const hashFileOf = (folder: string): string => join(TOOL_ROOT, 'dist', folder, 'sources.sha256');

/** Writes which sources this program was compiled from. */
export function writeOwnHashes(): void {
  writeFileSync(hashFileOf(TABLES), readTablesHash(TOOL_ROOT));
  writeFileSync(hashFileOf(HOST), readHostHash());
}

/** Run from its sources, the program is that of its working tree. */
const isCompiled = (): boolean => fileURLToPath(import.meta.url).startsWith(join(TOOL_ROOT, 'dist', sep));

/** Empty if the build did not write it. */
const writtenHash = (folder: string): string => (existsSync(hashFileOf(folder)) ? readFileSync(hashFileOf(folder), 'utf8') : '');

/** SHA-256 over the tables that this program was built with; empty if the build did not write it. */
export const ownTablesHash = (): string => (isCompiled() ? writtenHash(TABLES) : readTablesHash(TOOL_ROOT));

/** Whether this program's sources were edited after it was compiled. */
export const isProgramStale = (): boolean =>
  isCompiled() && (writtenHash(HOST) !== readHostHash() || writtenHash(TABLES) !== readTablesHash(TOOL_ROOT));
