import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { CACHE, type Compiled, compilerVersion } from '../build/compile.js';
import { type CacheEntry, cached } from '../build/compile-cache.js';
import {
  CONTROLLER,
  type ControllerSources,
  compileController,
  hashController,
  type Optimisation,
  versionIn,
} from '../build/controller.js';
import { hashTables, ownTablesHash } from '../build/own-sources.js';
import type { SourceTree } from '../build/sources.js';
import { sha256 } from '../common/hash.js';
import { TOOL_ROOT } from '../common/project.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';
import { generatedFiles } from '../contract/generate/generated-files.js';
import { describeBinary } from '../contract/read-contract.js';
import { readModule } from '../wasm/module.js';
import { buildTrees, readFiles } from './git.js';

const SETTINGS = 'asconfig.json';
const PACKAGE = 'package.json';
const TABLES = 'shared';

export interface CommitBuild extends Compiled {
  /** What the binary was compiled from, unless the commit's build used something else. */
  readonly from: ControllerSources | undefined;
}

/** The TypeScript and AssemblyScript files below a folder. */
const below = (files: ReadonlyMap<string, Buffer>, folder: string): SourceTree =>
  new Map(
    [...files].flatMap(([path, bytes]) =>
      path.startsWith(`${folder}/`) && path.endsWith('.ts') ? [[path, bytes.toString('utf8')] as const] : [],
    ),
  );

/**
 * Whether this program's contract describes a commit's binary: its tables are ours, and its generated sources, which lay out the
 * records, are just what we generate from them.
 */
function hasOurContract(sources: SourceTree, tables: SourceTree): boolean {
  if (hashTables(tables) !== ownTablesHash()) return false;
  const generated = Object.entries(generatedFiles()).filter(([path]) => path.startsWith(`${CONTROLLER}/generated/`));
  return generated.every(([path, text]) => sources.get(path) === text);
}

/** Recordings are large, and no build needs them. */
const isNeeded = (path: string): boolean => !path.startsWith('vectors/');

const isSource = (path: string): boolean =>
  [SETTINGS, PACKAGE].includes(path) || [CONTROLLER, TABLES].some((folder) => path.startsWith(`${folder}/`));

/** Builds a commit in a temporary folder by its own script, with the packages that are installed here. */
function runOwnBuild(commit: string, root: string): CacheEntry {
  const tree = makeTemporaryFolder('latchbench-build-');
  try {
    for (const [path, bytes] of readFiles(commit, isNeeded, root)) {
      mkdirSync(dirname(join(tree, path)), { recursive: true });
      writeFileSync(join(tree, path), bytes);
    }
    symlinkSync(join(TOOL_ROOT, 'node_modules'), join(tree, 'node_modules'));
    execFileSync('npm', ['run', '--silent', 'build:controller'], { cwd: tree, stdio: ['ignore', 'pipe', 'pipe'], encoding: 'utf8' });
    const wasm = join(tree, 'dist', 'controller.wasm');
    return { wasm: readFileSync(wasm), map: readFileSync(`${wasm}.map`, 'utf8'), messages: '' };
  } catch (error) {
    const { stderr, message } = error as Error & { stderr?: string };
    throw new Error(`its build script failed:\n${stderr || message}`);
  } finally {
    removeTemporaryFolder(tree);
  }
}

/**
 * Compiles the controller of a commit. Where the contract is ours, only its AssemblyScript is read and none of its code runs.
 * Otherwise only the commit's own host can write the description that its binary carries: then its build script runs.
 * @throws Error with the compiler's messages, as InputError if they are about the sources
 */
export async function compileCommit(commit: string, root: string, optimisation: Optimisation): Promise<CommitBuild> {
  const files = readFiles(commit, isSource, root);
  const text = (path: string): string | undefined => files.get(path)?.toString('utf8');
  const [settings, packageJson] = [text(SETTINGS), text(PACKAGE)];
  if (settings === undefined || packageJson === undefined) throw new Error(`it has no ${settings === undefined ? SETTINGS : PACKAGE}`);
  const from: ControllerSources = { sources: below(files, CONTROLLER), settings, version: versionIn(packageJson) };
  if (hasOurContract(from.sources, below(files, TABLES))) return { ...(await compileController(from, { optimisation })), from };
  const key = sha256(JSON.stringify(['own build', compilerVersion(), buildTrees(commit, root)]));
  const compiled = await cached(CACHE, 'controller', key, async () => runOwnBuild(commit, root));
  const { sourceHash } = describeBinary(readModule(compiled.wasm));
  return { ...compiled, from: sourceHash === hashController(from) ? from : undefined };
}
