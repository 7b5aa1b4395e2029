import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { sha256 } from '../common/hash.js';
import { refuseLinksOut } from '../common/links.js';
import type { Project } from '../common/project.js';
import { readText } from '../common/read-file.js';
import { toolVersion } from '../common/version.js';
import { writeAllAtomic } from '../common/write-atomic.js';
import { manifestText, readManifest } from './manifest.js';
import { hashesOf, programFiles } from './program-files.js';

/** What the new version and the team have made of a file, compared with the version that the project comes from. */
export const STATES = {
  replace: 'changed in the new version only: it can be replaced',
  merge: 'changed in the new version and by you: merge it',
  add: 'new in the new version',
  remove: 'no longer in the new version, and unchanged by you: it can be removed',
  keep: 'no longer in the new version, but changed by you: it stays',
} as const;
export type State = keyof typeof STATES;

export interface FileChange {
  readonly path: string;
  readonly state: State;
}

export interface Upgrade {
  /** Versions of latchbench. */
  readonly from: string;
  readonly to: string;
  /** Files that need something to be done, in the order of their paths. */
  readonly changes: readonly FileChange[];
  /** Files that were written, as paths below the project's folder. */
  readonly written: readonly string[];
}

/** Hash of a file of the project; undefined if there is none. @throws InputError if it can't be read */
function hashOf({ root }: Project, path: string): string | undefined {
  const file = join(root, path);
  refuseLinksOut(root, file);
  return existsSync(file) ? sha256(readText(file, 'yaml')) : undefined;
}

/**
 * What an upgrade does with a file, by the hashes of its three versions.
 * @param base what it was in the version that the project comes from
 * @param own what it is in the project
 * @param next what it is in the new version; each is undefined where there is no such file
 */
export function stateOf(base: string | undefined, own: string | undefined, next: string | undefined): State | undefined {
  if (own === next || base === next) return undefined;
  if (next === undefined) return own === base ? 'remove' : own === undefined ? undefined : 'keep';
  if (base === undefined && own === undefined) return 'add';
  return own === base ? 'replace' : 'merge';
}

/**
 * Compares controller and tables of a project with those of this version.
 * @param isWritten replaces and adds files that the team never changed, and puts those to merge beside the team's, ending in `.new`
 * @throws InputError if latchbench.json or a file can't be read or written; nothing is written then
 */
export function upgradeProject(project: Project, isWritten: boolean): Upgrade {
  const manifest = readManifest(project);
  const program = programFiles();
  const next = hashesOf(program);
  const paths = [...new Set([...Object.keys(manifest.files), ...program.keys()])].sort();
  const changes = paths.flatMap((path): FileChange[] => {
    const state = stateOf(manifest.files[path], hashOf(project, path), next[path]);
    return state === undefined ? [] : [{ path, state }];
  });
  const upgrade = { from: manifest.version, to: toolVersion(), changes, written: [] };
  if (!isWritten) return upgrade;
  const files = changes.flatMap(({ path, state }): [string, string][] => {
    const text = program.get(path);
    if (text === undefined) return [];
    return [[state === 'merge' ? `${path}.new` : path, text]];
  });
  const all: [string, string][] = [...files, ['latchbench.json', manifestText({ version: upgrade.to, files: next })]];
  for (const [path] of all) refuseLinksOut(project.root, join(project.root, path));
  writeAllAtomic(all.map(([path, text]) => [join(project.root, path), text] as const));
  return { ...upgrade, written: files.map(([path]) => path) };
}
