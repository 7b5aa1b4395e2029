import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { TOOL_ROOT } from '../common/project.js';
import { projectTables } from '../contract/tables-in-force.js';
import { hashSources, readSources, type SourceTree } from './sources.js';

/** Folders that are compiled to dist. */
export const TABLES = 'shared';
export const HOST = 'host';

/** SHA-256 over the contract's tables among sources. */
export const hashTables = (sources: SourceTree): string => hashSources(sources, TABLES, '');

/** SHA-256 over the contract's tables of a project's working tree. */
export const readTablesHash = (root: string): string => hashTables(readSources(root, TABLES));

/** What the program was compiled from, and what that resulted in. It is removed before a build and written at its end: a build without it is incomplete. */
export interface BuildSeal {
  /** SHA-256 over the sources in each folder. */
  readonly tables: string;
  readonly host: string;
  /** SHA-256 over the compiler's version and settings, and over the versions of what is imported. */
  readonly settings: string;
  /** SHA-256 over the compiled files. */
  readonly outputs: string;
}

const sealOf = (root: string): string => join(root, 'dist', HOST, 'build.json');

export const removeSeal = (root: string): void => rmSync(sealOf(root), { force: true });

/** Writes what the program in a folder has been compiled from. */
export const writeSeal = (root: string, seal: BuildSeal): void => writeFileSync(sealOf(root), JSON.stringify(seal));

/** Undefined if there was no build, or it was interrupted. */
export function readSeal(root: string): BuildSeal | undefined {
  try {
    return JSON.parse(readFileSync(sealOf(root), 'utf8')) as BuildSeal;
  } catch {
    return undefined;
  }
}

/** The part of a seal that follows from the sources. */
export const hashWorkingTree = (root: string): Pick<BuildSeal, 'tables' | 'host'> => ({
  tables: readTablesHash(root),
  host: hashSources(readSources(root, HOST), HOST, ''),
});

/** Run from its sources, the program is that of its working tree. */
const isCompiled = (): boolean => fileURLToPath(import.meta.url).startsWith(join(TOOL_ROOT, 'dist', sep));

/** SHA-256 over the tables that this program works with, the project's or those that it was built with; empty if its build is incomplete. */
export const ownTablesHash = (): string =>
  projectTables()?.hash ?? (isCompiled() ? (readSeal(TOOL_ROOT)?.tables ?? '') : readTablesHash(TOOL_ROOT));

/** An installed package has no sources that could be edited. */
const isInstalled = (): boolean => !existsSync(join(TOOL_ROOT, 'tsconfig.json'));

/** Whether this program's sources were edited after it was compiled. */
export function isProgramStale(): boolean {
  if (!isCompiled() || isInstalled()) return false;
  const [seal, now] = [readSeal(TOOL_ROOT), hashWorkingTree(TOOL_ROOT)];
  return seal?.host !== now.host || seal.tables !== now.tables;
}
