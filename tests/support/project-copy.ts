import { execFileSync, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect } from 'vitest';
import { projectAt } from '../../host/common/project.js';
import { latchbenchIn, type Result } from './command.js';
import { PROJECT } from './project.js';

/** An identity, so that commits can be made wherever the tests run. */
const IDENTITY = {
  GIT_AUTHOR_NAME: 'latchbench tests',
  GIT_AUTHOR_EMAIL: 'tests@example.invalid',
  GIT_COMMITTER_NAME: 'latchbench tests',
  GIT_COMMITTER_EMAIL: 'tests@example.invalid',
  GIT_CONFIG_GLOBAL: '/dev/null',
  GIT_CONFIG_SYSTEM: '/dev/null',
};

/** A copy of the project with a few vectors and its own history. */
export interface ProjectCopy {
  readonly root: string;
  git(...words: string[]): string;
  /** Replaces a text that occurs once in a file. */
  edit(path: string, from: string, to: string): void;
  /** Commits everything and returns the commit's hash. */
  commit(subject: string): string;
  /** Runs a command on the copy, in this process; relative paths are below the copy. */
  run(...argv: string[]): Promise<Result>;
  /** Runs the copy's own compiled program: needed once its tables were changed and built. */
  spawn(...argv: string[]): Result;
  /** Runs one of the copy's npm scripts. */
  npm(script: string): void;
}

/** Copies the project's sources, its compiled host and some vectors; installed packages are shared. */
export function copyProject(folder: string, ...vectors: string[]): ProjectCopy {
  const root = join(folder, 'project');
  const tracked = execFileSync('git', ['ls-files', '-z', '--', 'assembly', 'host', 'shared', 'tests', '*.json', '.gitignore'], {
    cwd: PROJECT.root,
    encoding: 'utf8',
  });
  for (const path of tracked.split('\0').filter(Boolean)) {
    mkdirSync(dirname(join(root, path)), { recursive: true });
    cpSync(join(PROJECT.root, path), join(root, path));
  }
  for (const name of vectors) cpSync(join(PROJECT.root, 'vectors/cases', name), join(root, 'vectors/cases', name), { recursive: true });
  for (const path of ['vectors/scenarios', 'vectors/machines', 'dist/host', 'dist/shared', 'dist/plant.wasm'])
    cpSync(join(PROJECT.root, path), join(root, path), { recursive: true });
  symlinkSync(join(PROJECT.root, 'node_modules'), join(root, 'node_modules'));
  const env = { ...process.env, ...IDENTITY };
  const git = (...words: string[]): string => execFileSync('git', words, { cwd: root, encoding: 'utf8', env }).trim();
  git('init', '--quiet', '--initial-branch=main');
  // A pattern for folders would not ignore the link.
  writeFileSync(join(root, '.git/info/exclude'), 'node_modules\n');
  return {
    root,
    git,
    edit(path, from, to) {
      const parts = readFileSync(join(root, path), 'utf8').split(from);
      expect(parts, `“${from}” occurs once in ${path}`).toHaveLength(2);
      writeFileSync(join(root, path), parts.join(to));
    },
    commit(subject) {
      git('add', '--all');
      git('commit', '--quiet', '--message', subject);
      return git('rev-parse', 'HEAD');
    },
    async run(...argv) {
      const folder = process.cwd();
      process.chdir(root);
      try {
        return await latchbenchIn(projectAt(root), argv);
      } finally {
        process.chdir(folder);
      }
    },
    spawn(...argv) {
      const { status, stdout, stderr } = spawnSync(process.execPath, [join(root, 'dist/host/cli/main.js'), ...argv], {
        cwd: root,
        encoding: 'utf8',
        env,
        maxBuffer: 1 << 28,
        timeout: 120_000,
      });
      return { status, out: stdout, err: stderr };
    },
    npm(script) {
      const { status, stdout, stderr } = spawnSync('npm', ['run', '--silent', script], { cwd: root, env, encoding: 'utf8' });
      if (status !== 0) throw new Error(`npm run ${script}:\n${stdout}${stderr}`);
    },
  };
}
