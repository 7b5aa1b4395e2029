import { execFileSync, spawnSync } from 'node:child_process';
import { cpSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Project, projectAt } from '../../host/common/project.js';
import { latchbenchIn, type Result } from './command.js';
import { replaceOnce } from './patched-controller.js';
import { PROJECT } from './project.js';

/** An identity for commits, so that they can be made wherever the tests run. */
const IDENTITY = {
  GIT_AUTHOR_NAME: 'latchbench tests',
  GIT_AUTHOR_EMAIL: 'tests@example.invalid',
  GIT_COMMITTER_NAME: 'latchbench tests',
  GIT_COMMITTER_EMAIL: 'tests@example.invalid',
  GIT_CONFIG_GLOBAL: '/dev/null',
  GIT_CONFIG_SYSTEM: '/dev/null',
};
const ENVIRONMENT = { ...process.env, ...IDENTITY };

/** What a controller is compiled from. */
const SOURCES = ['assembly/controller', 'shared', 'host/contract/generated/contract.json', 'asconfig.json', 'package.json', '.gitignore'];
/** What the build scripts of a commit need besides. */
const HOST = ['host', 'tsconfig.json', 'assembly/fit'];

/** A copy of the project with a few vectors and its own history. */
export class ProjectCopy {
  readonly project: Project;

  /** Copies into `root`. @param withHost whether its build scripts can run */
  constructor(
    readonly root: string,
    { vectors, withHost = false }: { readonly vectors: readonly string[]; readonly withHost?: boolean },
  ) {
    this.project = projectAt(root);
    const paths = [
      ...SOURCES,
      ...(withHost ? HOST : []),
      'vectors/scenarios',
      'vectors/machines',
      ...vectors.map((name) => `vectors/cases/${name}`),
    ];
    for (const path of paths) cpSync(join(PROJECT.root, path), join(root, path), { recursive: true });
    // The compiler's time counts here, and what it computes is the same.
    this.edit('asconfig.json', '"optimizeLevel": 3', '"optimizeLevel": 2');
    this.edit('asconfig.json', '"converge": true', '"converge": false');
    symlinkSync(join(PROJECT.root, 'node_modules'), join(root, 'node_modules'));
    this.git('init', '--quiet', '--initial-branch=main');
    // .gitignore names a folder, which a link is not.
    writeFileSync(join(root, '.git/info/exclude'), 'node_modules\n');
  }

  /** Absolute path of a file of the copy. */
  readonly path = (name: string): string => join(this.root, name);

  git(...words: string[]): string {
    return execFileSync('git', words, { cwd: this.root, encoding: 'utf8', env: ENVIRONMENT }).trim();
  }

  /** Replaces a text that occurs in a file once. */
  edit(path: string, find: string, replace: string): void {
    writeFileSync(this.path(path), replaceOnce(readFileSync(this.path(path), 'utf8'), find, replace, path));
  }

  /** Line, from 1, on which a text starts in a file. */
  lineOf(path: string, text: string): number {
    return readFileSync(this.path(path), 'utf8').split(text)[0]?.split('\n').length ?? 0;
  }

  /** Commits everything. Returns the commit's hash. */
  commit(subject: string): string {
    this.git('add', '--all');
    this.git('commit', '--quiet', '--message', subject);
    return this.git('rev-parse', 'HEAD');
  }

  /** What a command must leave unchanged in the repository. */
  gitState(): string[] {
    return [this.git('status', '--short'), this.git('worktree', 'list'), this.git('branch'), this.git('stash', 'list')];
  }

  /** Runs a command on the copy, in this process. Relative paths are below the copy. */
  async run(...words: string[]): Promise<Result> {
    const folder = process.cwd();
    process.chdir(this.root);
    try {
      return await latchbenchIn(this.project, words);
    } finally {
      process.chdir(folder);
    }
  }

  /** Runs a command with --json and returns its document. */
  async json<Document>(...words: string[]): Promise<Document> {
    return JSON.parse((await this.run(...words, '--json')).out) as Document;
  }

  /** Runs one of the copy's own npm scripts. */
  npm(script: string): void {
    const { status, stdout, stderr } = spawnSync('npm', ['run', '--silent', script], {
      cwd: this.root,
      env: ENVIRONMENT,
      encoding: 'utf8',
    });
    if (status !== 0) throw new Error(`npm run ${script}:\n${stdout}${stderr}`);
  }
}
