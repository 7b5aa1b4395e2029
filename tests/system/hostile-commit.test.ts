import { execFileSync } from 'node:child_process';
import { appendFileSync, chmodSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { ProjectCopy } from '../support/project-copy.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const project = new ProjectCopy(join(folder, 'project'), { vectors: ['target-step'] });
/** Anything of the commit or its repository that runs writes this file. */
const MARK = join(folder, 'mark');
const SCRIPT = join(folder, 'mark.sh');
const BANK = 'assembly/controller/bank.ts';

const write = (path: string, text: string): void => {
  mkdirSync(dirname(project.path(path)), { recursive: true });
  writeFileSync(project.path(path), text);
};
const marking = `import { writeFileSync } from 'node:fs';\nwriteFileSync(${JSON.stringify(MARK)}, 'run');\n`;

let clean = '';
let hostile = '';

/** Scripts, packages, settings and code of the host: what a build of the commit's own would run. */
function plantCode(): void {
  const manifest = JSON.parse(readFileSync(project.path('package.json'), 'utf8'));
  for (const name of ['preinstall', 'prepare', 'prebuild:controller', 'build:controller', 'build', 'contract'])
    manifest.scripts[name] = SCRIPT;
  write('package.json', `${JSON.stringify(manifest, null, 2)}\n`);
  write('.npmrc', `script-shell=${SCRIPT}\nnode-options=--require ${MARK}.cjs\n`);
  for (const path of ['host/contract/generate/main.ts', 'host/build/main.ts', 'evil.mjs']) write(path, marking);
  for (const name of ['assemblyscript', 'tsx', 'ajv']) {
    write(`modules/${name}/package.json`, '{ "main": "index.mjs", "type": "module" }\n');
    write(`modules/${name}/index.mjs`, marking);
  }
  // Other tables than ours, with side effects.
  appendFileSync(project.path('shared/parameters.ts'), marking);
  write('.gitattributes', '* filter=evil diff=evil merge=evil\n');
}

/** Settings and hooks of the repository that run programs. */
function plantSettings(): void {
  write(
    '.git/evil.config',
    `[core]\n\tfsmonitor = ${SCRIPT}\n\thooksPath = ${folder}/hooks\n\tpager = ${SCRIPT}\n\tsshCommand = ${SCRIPT}\n\teditor = ${SCRIPT}\n\talternateRefsCommand = ${SCRIPT}\n` +
      `[filter "evil"]\n\tclean = ${SCRIPT}\n\tsmudge = ${SCRIPT}\n\trequired = true\n[diff]\n\texternal = ${SCRIPT}\n[diff "evil"]\n\ttextconv = ${SCRIPT}\n` +
      `[log]\n\tshowSignature = true\n[gpg]\n\tprogram = ${SCRIPT}\n[alias]\n\tls-tree = !${SCRIPT}\n\tcat-file = !${SCRIPT}\n[pager]\n\tlog = ${SCRIPT}\n` +
      `[protocol "ext"]\n\tallow = always\n[remote "origin"]\n\turl = ext::${SCRIPT}\n\tpromisor = true\n\tpartialclonefilter = blob:none\n`,
  );
  appendFileSync(project.path('.git/config'), '[include]\n\tpath = evil.config\n');
  for (const name of ['post-checkout', 'post-index-change', 'reference-transaction', 'pre-auto-gc', 'fsmonitor-watchman']) {
    for (const path of [project.path(`.git/hooks/${name}`), join(folder, 'hooks', name)]) {
      mkdirSync(dirname(path), { recursive: true });
      writeFileSync(path, `#!/bin/sh\n${SCRIPT}\n`, { mode: 0o755 });
    }
  }
}

/** The commit with a signature, which git shows only after it has called a program to check it. */
function sign(commit: string): string {
  const text = execFileSync('git', ['cat-file', 'commit', commit], { cwd: project.root, encoding: 'utf8' });
  const signature = 'gpgsig -----BEGIN PGP SIGNATURE-----\n \n iQ\n -----END PGP SIGNATURE-----\n';
  const signed = text.replace(/(\ncommitter .*\n)/, `$1${signature}`);
  return execFileSync('git', ['hash-object', '-t', 'commit', '-w', '--stdin'], {
    cwd: project.root,
    input: signed,
    encoding: 'utf8',
  }).trim();
}

beforeAll(() => {
  writeFileSync(SCRIPT, `#!/bin/sh\necho run > '${MARK}'\nexit 1\n`);
  writeFileSync(`${MARK}.cjs`, marking);
  chmodSync(SCRIPT, 0o755);
  clean = project.commit('Clean');
  plantCode();
  project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 41;');
  hostile = sign(project.commit('Hostile'));
  project.git('update-ref', 'refs/heads/main', hostile);
  plantSettings();
});

beforeEach(() => rmSync(MARK, { force: true }));

describe('a commit of somebody else, in a repository of somebody else', () => {
  it('would run programs if git were asked without care', () => {
    for (const words of [['log', '-1'], ['status']]) {
      rmSync(MARK, { force: true });
      try {
        execFileSync('git', words, { cwd: project.root, stdio: 'ignore' });
      } catch {
        // What the programs do to git is not the point.
      }
      expect(existsSync(MARK), words.join(' ')).toBe(true);
    }
  });

  it('runs nothing when it is compared, and its change is found', async () => {
    const { status, err, out } = await project.run('compare', clean, hostile, 'target-step');
    expect([status, err]).toEqual([1, '']);
    expect(out).toContain('const WARM_C: f32 = 41;');
    expect(existsSync(MARK)).toBe(false);
  });

  it('runs nothing when a change is searched for, and when a failure is shrunk', async () => {
    expect((await project.run('find-change', 'target-step', '--from', clean, '--to', hostile, '--state')).status).toBe(0);
    const words = ['--against', clean, '--build', hostile, '-o', join(folder, 'short.mcap'), '--tries', '5'];
    expect((await project.run('shrink', 'target-step', ...words)).status).toBeLessThanOrEqual(2);
    expect(existsSync(MARK)).toBe(false);
  });

  it.each([
    ['a transform', '"transform": ["./evil.mjs"]', /unknown compiler option "transform"/],
    ['a library', '"lib": "modules"', /unknown compiler option "lib"/],
    ['an output', `"outFile": ${JSON.stringify(MARK)}`, /unknown compiler option "outFile"/],
    ['an option in an alias', '"use": ["a=b", "--transform=./evil.mjs"]', /it must be NAME=VALUE|"options\.use/],
    ['other folders', '"baseDir": "/"', /unknown compiler option "baseDir"/],
  ])('is refused with %s for the compiler', async (_, option, reason) => {
    const settings = readFileSync(project.path('asconfig.json'), 'utf8');
    write('asconfig.json', settings.replace(/"use": \[.*?\]/, option));
    const tree = join(folder, 'index');
    const git = (...words: string[]): string =>
      execFileSync('git', words, { cwd: project.root, encoding: 'utf8', env: { ...process.env, GIT_INDEX_FILE: tree } }).trim();
    git('read-tree', hostile);
    const blob = execFileSync('git', ['hash-object', '-w', '--no-filters', 'asconfig.json'], {
      cwd: project.root,
      encoding: 'utf8',
    }).trim();
    git('update-index', '--cacheinfo', `100644,${blob},asconfig.json`);
    const commit = git('-c', 'user.name=a', '-c', 'user.email=b', 'commit-tree', git('write-tree'), '-p', clean, '-m', 'Settings');
    write('asconfig.json', settings);
    rmSync(MARK, { force: true });
    const { status, err } = await project.run('compare', clean, commit, 'target-step');
    expect([status, err]).toEqual([2, expect.stringMatching(reason)]);
    expect(existsSync(MARK)).toBe(false);
  });

  it('is not fetched if a part of it is missing', async () => {
    const blob = execFileSync('git', ['rev-parse', `${hostile}:${BANK}`], { cwd: project.root, encoding: 'utf8' }).trim();
    rmSync(project.path(`.git/objects/${blob.slice(0, 2)}/${blob.slice(2)}`), { force: true });
    const { status } = await project.run('compare', clean, `${hostile}`, 'target-step');
    expect(status).toBe(2);
    expect(existsSync(MARK)).toBe(false);
    try {
      execFileSync('git', ['cat-file', 'blob', blob], { cwd: project.root, stdio: 'ignore' });
    } catch {
      // It would have been fetched by running the program.
    }
    expect(existsSync(MARK)).toBe(true);
  });
});
