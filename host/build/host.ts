import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { chmodSync, existsSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { join, posix } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { Sha256, sha256 } from '../common/hash.js';
import { type BuildSeal, HOST, hashWorkingTree, readSeal, removeSeal, TABLES, writeSeal } from './own-sources.js';

/** The files whose content decides what becomes of the sources. The lock has the versions of what they import. */
const SETTINGS = ['tsconfig.json', 'package-lock.json', 'node_modules/typescript/package.json'];

/** Compiled files as paths below dist, in order. */
function compiledFiles(root: string): string[] {
  const below = (folder: string): string[] =>
    existsSync(join(root, 'dist', folder))
      ? readdirSync(join(root, 'dist', folder), { recursive: true, encoding: 'utf8' }).map((path) =>
          posix.join(folder, path.replaceAll('\\', '/')),
        )
      : [];
  return [HOST, TABLES]
    .flatMap(below)
    .filter((path) => path.endsWith('.js'))
    .sort();
}

function hashCompiled(root: string): string {
  const hash = new Sha256();
  for (const path of compiledFiles(root))
    hash
      .update(path)
      .update('\0')
      .update(readFileSync(join(root, 'dist', path)));
  return hash.digest();
}

const sealNow = (root: string): BuildSeal => ({
  ...hashWorkingTree(root),
  settings: sha256(SETTINGS.map((path) => readFileSync(join(root, path), 'utf8')).join('\0')),
  outputs: hashCompiled(root),
});

/** Removes what the compiler made of sources that are gone. */
function removeOrphans(root: string): void {
  for (const path of compiledFiles(root)) if (!existsSync(join(root, path.replace(/\.js$/, '.ts')))) rmSync(join(root, 'dist', path));
}

/** Compiles a program, which prints what is wrong with it. Returns whether nothing is. */
async function runCompiler(root: string): Promise<boolean> {
  const script = join(root, 'node_modules', 'typescript', 'bin', 'tsc');
  const [status] = await once(spawn(process.execPath, [script], { cwd: root, stdio: ['ignore', 2, 2] }), 'exit');
  return status === 0;
}

/**
 * Compiles the program in a folder, unless that is done: sources, settings and results are the same as at the end of its last build.
 * @param onStart is called before the compiler starts
 * @returns whether the program is compiled
 */
export async function buildHost(root: string, onStart: () => void, compile = runCompiler): Promise<boolean> {
  const [last, now] = [readSeal(root), sealNow(root)];
  if (isDeepStrictEqual(last, now)) return true;
  onStart();
  // The compiler trusts that what it wrote once is still there.
  if (last?.outputs !== now.outputs) rmSync(join(root, 'dist', HOST, 'tsconfig.tsbuildinfo'), { force: true });
  removeSeal(root);
  if (!(await compile(root))) return false;
  removeOrphans(root);
  chmodSync(join(root, 'dist', HOST, 'cli', 'main.js'), 0o755);
  writeSeal(root, { ...now, outputs: hashCompiled(root) });
  return true;
}
