import { existsSync, mkdirSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { InputError } from '../common/input-error.js';
import type { Project } from '../common/project.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';
import type { Contract } from '../contract/contract.js';
import { isVectorPath, readVector, readVectorFolder, type VectorCase, vectorNames } from '../vector/vector.js';
import { type Build, COMMIT_HINT, isCommitName } from './builds.js';
import { commitOf, fileIds, listFiles, type StoredFile, writeStored } from './git.js';

/** The files of a vector. */
const FILES = ['case.yaml', 'expected.csv', 'input.mcap'] as const;
export type VectorFile = (typeof FILES)[number];

/** A larger file of a commit is not copied out of it, bytes. */
const STORED_BYTES_MAX = 2 ** 31;

/** The vectors of a working tree or a commit. */
export interface SideVectors {
  readonly names: readonly string[];
  /** Id of a vector's file in git; undefined if it is missing. */
  id(name: string, file: VectorFile): string | undefined;
  /** @throws InputError if a file is invalid */
  read(name: string): VectorCase;
  /** Removes the copies that `read` has made. */
  close(): void;
}

/** Names are those of folders that we make, and part of what git reads line by line. */
const isVectorName = (name: string): boolean => !/^\.|[/\\\p{Cc}]/u.test(name);

/** Those of the working tree. */
export function workingTreeVectors(project: Project, contract: Contract): SideVectors {
  const names = vectorNames(project).filter(isVectorName);
  const paths = names.flatMap((name) => FILES.map((file) => join(project.vectors, name, file))).filter((path) => existsSync(path));
  const ids = new Map(fileIds(paths, project.root).map((id, index) => [paths[index], id]));
  return {
    names,
    id: (name, file) => ids.get(join(project.vectors, name, file)),
    read: (name) => readVector(project, name, contract),
    close: () => {},
  };
}

/** Files of each vector in a commit. */
function storedVectors(commit: string, { root, vectors }: Project): Map<string, Map<string, StoredFile>> {
  const folder = relative(root, vectors).split(sep).join('/');
  const found = new Map<string, Map<string, StoredFile>>();
  for (const stored of listFiles(commit, root)) {
    if (!stored.path.startsWith(`${folder}/`)) continue;
    const [name = '', file = '', ...deeper] = stored.path.slice(folder.length + 1).split('/');
    if (deeper.length === 0 && isVectorName(name)) found.set(name, (found.get(name) ?? new Map()).set(file, stored));
  }
  return new Map([...found].filter(([, files]) => files.has('case.yaml')).sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** Those of a commit; a vector's files are copied out of it when it is read. */
export function commitVectors(commit: string, project: Project, contract: Contract): SideVectors {
  const vectors = storedVectors(commit, project);
  let copies: string | undefined;
  const copy = (name: string): string => {
    copies ??= makeTemporaryFolder('latchbench-');
    const target = join(copies, name);
    mkdirSync(target, { recursive: true });
    for (const file of FILES) {
      const stored = vectors.get(name)?.get(file);
      if (stored === undefined || existsSync(join(target, file))) continue;
      if (stored.bytes > STORED_BYTES_MAX)
        throw new InputError({
          file: stored.path,
          problem: `it has ${stored.bytes} bytes in the commit; at most ${STORED_BYTES_MAX} are read`,
        });
      writeStored(stored.id, join(target, file), project.root);
    }
    return target;
  };
  return {
    names: [...vectors.keys()],
    id: (name, file) => vectors.get(name)?.get(file)?.id,
    read: (name) => readVectorFolder(copy(name), contract, { checksHistory: false }),
    close: () => void (copies !== undefined && removeTemporaryFolder(copies)),
  };
}

/** The vectors of a side; undefined for a binary, which has none. @throws InputError if git cannot read them */
export function vectorsOf({ name, commit, controller }: Build, project: Project): SideVectors | undefined {
  const { contract } = controller.description;
  if (commit !== undefined) return commitVectors(commit, project, contract);
  return name === '.' ? workingTreeVectors(project, contract) : undefined;
}

/**
 * Reads those vectors among `names` that the working tree has; the builds may have others.
 * @throws InputError at a name that neither the working tree nor a commit among the builds knows, or at an invalid vector
 */
export function readKnown(project: Project, names: readonly string[], builds: readonly string[]): VectorCase[] {
  const own = vectorNames(project);
  const isOwn = (name: string): boolean => isVectorPath(name) || own.includes(name);
  const unknown = names.filter((name) => !isOwn(name));
  const commits = unknown.length === 0 ? [] : builds.filter(isCommitName).map((name) => commitOf(name, project.root, COMMIT_HINT));
  const stored = new Set(commits.flatMap((commit) => [...storedVectors(commit, project).keys()]));
  return names.filter((name) => !stored.has(name) || isOwn(name)).map((name) => readVector(project, name));
}
