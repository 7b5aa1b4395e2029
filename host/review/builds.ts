import { execFileSync } from 'node:child_process';
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, readFileSync, renameSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildController } from '../build/build-controller.js';
import { hashSources, hashTables, tablesFile } from '../build/source-hash.js';
import { sha256, shortHash } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { CONTROLLER_WASM, ROOT } from '../common/project.js';
import { toolVersion } from '../common/version.js';
import { describeContract } from '../contract/contract.js';
import { generatedFiles } from '../contract/generate/generated-files.js';
import { type Controller, readController } from '../runner/wasm-runner.js';
import { buildTrees, checkOut, commitOf } from './git.js';

/** A controller to review: its binary, its source map beside it where there is one, and what is known of it. */
export interface Build {
  readonly asked: string;
  readonly commit?: string | undefined;
  readonly file: string;
  readonly controller: Controller;
  /** SHA-256 of the binary. */
  readonly binaryHash: string;
}

/** Builds that were made once are kept here; it may be emptied at any time. */
const CACHE = join(ROOT, 'dist', 'builds');

export function readBuild(asked: string, file: string, commit?: string): Build {
  const controller = readController(file);
  return { asked, commit, file, controller, binaryHash: sha256(readFileSync(file)) };
}

const GENERATED = 'assembly/controller/generated/';

/** A binary describes itself by the tables that this program was built with: they must be those of its sources. @throws InputError */
function checkGenerated(): void {
  for (const [path, text] of Object.entries(generatedFiles())) {
    if (!path.startsWith(GENERATED) || readFileSync(join(ROOT, path), 'utf8') === text) continue;
    throw new InputError({
      file: path,
      what: 'file that is not of the contract that this program was built with',
      allowed: 'npm run build',
    });
  }
}

/** Tables are compiled into this program: what was changed since then it does not know of. @throws InputError */
function checkTables(): void {
  // Run from its sources it has the tables as they are.
  if (!fileURLToPath(import.meta.url).startsWith(join(ROOT, 'dist', sep))) return;
  const file = tablesFile(ROOT);
  if (existsSync(file) && readFileSync(file, 'utf8') === hashTables(ROOT)) return;
  throw new InputError({ file: 'shared', what: 'tables that are not those that this program was built with', allowed: 'npm run build' });
}

/** Compiles the sources as they are. @throws InputError with what the compiler says */
async function compileSources(file: string, options: readonly string[] = []): Promise<void> {
  checkGenerated();
  try {
    await buildController(ROOT, file, toolVersion(), options);
  } catch (error) {
    const what = `sources that don’t compile:\n${(error as Error).message.trimEnd()}\n`;
    throw new InputError({ file: 'assembly/controller', what, allowed: 'sources that do' });
  }
}

/** The sources as they are: the binary at hand if it was made of just them, otherwise a new one. */
async function buildOfSources(): Promise<Build> {
  checkTables();
  const sourceHash = hashSources(ROOT);
  const contractHash = describeContract().hash;
  const isOf = (file: string): boolean => {
    if (!existsSync(file)) return false;
    const { description } = readController(file);
    return description.sourceHash === sourceHash && description.contract.hash === contractHash;
  };
  const made = join(CACHE, 'sources.wasm');
  const file = [CONTROLLER_WASM, made].find(isOf);
  if (file !== undefined) return readBuild('.', file);
  await compileSources(made);
  return readBuild('.', made);
}

/**
 * The sources as they are, compiled with little optimisation: a third of the compiler's time, and the same bits in every record,
 * since WebAssembly's arithmetic leaves the optimiser no choice but in the payload of what is not a number.
 * @throws InputError with what the compiler says
 */
export async function buildQuickly(): Promise<Build> {
  checkTables();
  const file = join(CACHE, 'watched.wasm');
  await compileSources(file, ['--optimizeLevel', '1']);
  return readBuild('.', file);
}

/** Why commits did not build, by the file that each would have made: once is enough. */
const failures = new Map<string, string>();

/** Builds a commit in a folder of its own, by that commit's own build, with the packages that are installed here. */
function buildCommit(commit: string, file: string): void {
  const tree = mkdtempSync(join(tmpdir(), 'latchbench-build-'));
  let aside: string | undefined;
  try {
    checkOut(commit, tree);
    symlinkSync(join(ROOT, 'node_modules'), join(tree, 'node_modules'));
    execFileSync('npm', ['run', '--silent', 'build:controller'], { cwd: tree, stdio: ['ignore', 'pipe', 'pipe'], encoding: 'utf8' });
    mkdirSync(dirname(file), { recursive: true });
    const made = join(tree, 'dist', 'controller.wasm');
    // Two runs may build the same commit at once.
    aside = mkdtempSync(join(dirname(file), '.build-'));
    // The map first: a binary that is there has its map.
    for (const end of ['.map', '']) {
      copyFileSync(made + end, join(aside, `controller.wasm${end}`));
      renameSync(join(aside, `controller.wasm${end}`), file + end);
    }
  } catch (error) {
    const { stderr, message } = error as Error & { stderr?: string };
    failures.set(file, stderr || message);
  } finally {
    for (const folder of [tree, aside]) if (folder !== undefined) rmSync(folder, { recursive: true, force: true });
  }
}

/** Version of the compiler that is installed: commits are built with it, whatever they ask for. */
const compilerVersion = (): string =>
  String(JSON.parse(readFileSync(join(ROOT, 'node_modules', 'assemblyscript', 'package.json'), 'utf8')).version);

/** The controller of a commit, from the cache if it or one with the same sources has been built before. */
export function buildOfCommit(ref: string): Build {
  const commit = commitOf(ref);
  const file = join(CACHE, `${shortHash(buildTrees(commit) + compilerVersion())}.wasm`);
  if (!existsSync(file) && !failures.has(file)) buildCommit(commit, file);
  const failure = failures.get(file);
  if (failure !== undefined) {
    const what = `commit ${commit.slice(0, 10)} that does not build:\n${failure}`;
    throw new InputError({ file: ref, what, allowed: 'one that does' });
  }
  return readBuild(ref, file, commit);
}

/**
 * The build that a word names: `.` for the sources as they are, a file that ends in .wasm, or else a commit.
 * @throws InputError when there is no such thing, or it does not build
 */
export async function findBuild(word: string): Promise<Build> {
  if (word === '.') return buildOfSources();
  return word.endsWith('.wasm') ? readBuild(word, word) : buildOfCommit(word);
}
