import { type ControllerSources, compileWorkingTree, type Optimisation } from '../build/controller.js';
import { abbreviated, sha256 } from '../common/hash.js';
import { InputError, type InputErrorDetails } from '../common/input-error.js';
import { readBytes } from '../common/read-file.js';
import type { BuildIdentity } from '../contract/run-identity.js';
import { type Controller, readController } from '../runner/wasm-runner.js';
import { compileCommit } from './commit-build.js';
import { commitOf } from './git.js';

/** A controller to review. */
export interface Build {
  /** As the user named it: a commit, a file, or `.` for the working tree. */
  readonly name: string;
  readonly commit?: string | undefined;
  /** The binary; it has its source map beside it, if there is one. */
  readonly file: string;
  readonly controller: Controller;
  /** SHA-256 of the binary. */
  readonly binaryHash: string;
  /** What it was compiled from, if this program knows. */
  readonly from?: ControllerSources | undefined;
}

/** Reads a binary. @throws InputError if it is missing or is no controller */
export function readBuild(name: string, file: string, known: Pick<Build, 'commit' | 'from'> = {}): Build {
  const controller = readController(file);
  return { name, ...known, file, controller, binaryHash: sha256(readBytes(file, 'binary')) };
}

async function workingTree(root: string, optimisation: Optimisation): Promise<Build> {
  const { file, from } = await compileWorkingTree(root, { optimisation });
  return readBuild('.', file, { from });
}

/** What identifies a build in a result. */
export function identifyBuild({ name, commit, controller, binaryHash }: Build): BuildIdentity {
  const { version, sourceHash, contract } = controller.description;
  return { name, commit, version, sourceHash, contractHash: contract.hash, binaryHash };
}

/** The working tree, compiled in less time: it runs slower, and computes the same bits. @throws InputError with the compiler's messages */
export const buildQuickly = (root: string): Promise<Build> => workingTree(root, 'quick');

/** For a name that is no commit. */
export const COMMIT_HINT = 'A build may also be a binary (*.wasm), or . for the working tree';

/** The controller of a commit. @throws InputError if there is no such commit, or it does not build */
export async function buildOfCommit(ref: string, root: string, optimisation: Optimisation = 'release'): Promise<Build> {
  const commit = commitOf(ref, root, COMMIT_HINT);
  try {
    const { file, from } = await compileCommit(commit, root, optimisation);
    return readBuild(ref, file, { commit, from });
  } catch (error) {
    const { details, message } = error as Error & { details?: InputErrorDetails };
    const reason = details?.problem ?? message.trim();
    const problem = `commit ${abbreviated(commit)} does not build: ${reason}`;
    throw new InputError({ file: ref, problem });
  }
}

/** Whether a build is named by a commit, branch or tag. */
export const isCommitName = (name: string): boolean => name !== '.' && !name.endsWith('.wasm');

/**
 * The build that a name stands for: `.` for the working tree, a file that ends in .wasm, or else a commit.
 * @throws InputError if there is no such thing, or it does not build
 */
export async function findBuild(name: string, root: string): Promise<Build> {
  if (name === '.') return workingTree(root, 'release');
  return isCommitName(name) ? buildOfCommit(name, root) : readBuild(name, name);
}
