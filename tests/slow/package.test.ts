import { spawnSync } from 'node:child_process';
import { appendFileSync, cpSync, existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { benchLog } from '../support/bench-logs.js';
import { replaceOnce } from '../support/patched-controller.js';
import { PROJECT } from '../support/project.js';
import { PROJECT_COMMANDS } from '../support/readme.js';
import { temporaryFolder } from '../support/temporary-folder.js';

/** The path of a new user: the package installed in an empty folder, a project made with it, and a later version over the first. */

const folder = temporaryFolder();
const tool = join(folder, 'tool');
const project = join(folder, 'my-planter');
const QUIET = ['--prefer-offline', '--no-audit', '--no-fund', '--loglevel=error'];

/** Runs a program. @throws Error with what it printed, if it fails with another code than `expected` */
function run(cwd: string, words: readonly string[], expected = 0): string {
  const [program = '', ...argv] = words;
  const { status, stdout, stderr } = spawnSync(program, argv, { cwd, encoding: 'utf8', maxBuffer: 1 << 26 });
  if (status !== expected) throw new Error(`${words.join(' ')}: exit code ${status}\n${stdout}${stderr}`);
  return stdout + stderr;
}
const pack = (from: string, ...flags: string[]): string =>
  join(
    folder,
    run(from, ['npm', 'pack', '--silent', '--pack-destination', folder, ...flags])
      .trim()
      .split('\n')
      .at(-1) ?? '',
  );
const latchbench = (words: string, expected = 0): string =>
  run(project, [process.execPath, 'node_modules/latchbench/dist/host/cli/main.js', ...words.split(' ')], expected);
const edit = (root: string, path: string, find: string, replace: string): void =>
  writeFileSync(join(root, path), replaceOnce(readFileSync(join(root, path), 'utf8'), find, replace, path));

beforeAll(() => {
  const tarball = pack(PROJECT.root, '--ignore-scripts');
  mkdirSync(tool);
  writeFileSync(join(tool, 'package.json'), '{}');
  run(tool, ['npm', 'install', ...QUIET, tarball]);
  run(tool, ['npx', '--no-install', 'latchbench', 'init', project]);
  // The compiler's optimiser takes most of the time of a build, and what it computes is the same.
  edit(project, 'asconfig.json', '"optimizeLevel": 3', '"optimizeLevel": 0');
  edit(project, 'asconfig.json', '"converge": true', '"converge": false');
  run(project, ['npm', 'ci', ...QUIET]);
}, 600_000);

describe('a project of the installed package', () => {
  it('has nothing of the tests, and no path of the computer that packed it', () => {
    const installed = join(tool, 'node_modules', 'latchbench');
    expect(existsSync(join(installed, 'tests'))).toBe(false);
    expect(spawnSync('grep', ['-rlF', PROJECT.root, installed], { encoding: 'utf8' }).stdout).toBe('');
  });

  it('replays, checks, simulates and sizes', () => {
    expect(run(project, ['npm', 'start', '--silent'])).toContain('3 vectors: 3 same');
    expect(run(project, ['npm', 'test', '--silent'])).toContain('no faults');
    expect(latchbench('size first-machine --json', 1)).toContain('"checks"');
    expect(latchbench('simulate target-step --json')).toContain('"metrics"');
  });

  it('goes from a log with gaps, kgf and coil currents to a vector and fitted parameters, as the README shows', () => {
    latchbench('simulate class-d-light-rows -o dist/pass.mcap');
    writeFileSync(join(project, 'log.csv'), benchLog(join(project, 'dist/pass.mcap'), 4));
    expect(PROJECT_COMMANDS).toHaveLength(5);
    for (const line of PROJECT_COMMANDS) {
      latchbench(line.replace('npx latchbench ', ''));
      if (!line.includes('--new-map')) continue;
      const map = readFileSync(join(project, 'map.yaml'), 'utf8');
      expect(map).toContain('missing: decide');
      writeFileSync(join(project, 'map.yaml'), map.replaceAll('missing: decide', 'missing: { fill: interpolate, upToMs: 100 }'));
    }
    expect(latchbench('replay pass-7')).toContain('1 vector: 1 same');
    expect(latchbench('simulate first-field --parameters fitted.yaml --against .')).toContain('noAccelLoadTrend1Weight');
  });

  it('has a parameter and a probe that its team adds, in the controller, in worker threads and in a comparison', () => {
    for (const words of ['init --quiet', 'add --all', '-c user.name=T -c user.email=t@example.invalid commit --quiet -m Start'])
      run(project, ['git', ...words.split(' ')]);
    edit(
      project,
      'shared/parameters.ts',
      "    real('targetMaxN',",
      "    real('windN', 'newton', 0, 500, 20, 0, 'Force of the wind'),\n    real('targetMaxN',",
    );
    expect(latchbench('replay target-step', 2)).toContain('Run `npm run build`');
    expect(run(project, ['npm', 'run', '--silent', 'build'])).toContain('contract/contract.json written');
    expect(latchbench('parameters')).toContain('windN');
    expect(latchbench('simulate first-field --seeds 2 --set windN=30')).toContain('windN');
    expect(latchbench('compare HEAD . target-step')).toContain('+ parameter windN: f32 newton, 0 to 500, default 20');
  });

  it('says where a table is wrong, and still gives help', () => {
    const path = join(project, 'shared/parameters.ts');
    const text = readFileSync(path, 'utf8');
    edit(project, 'shared/parameters.ts', "real('windN', 'newton'", "real('windN', 'newtn'");
    expect(latchbench('parameters', 2)).toMatch(/^shared\/parameters\.ts:\d+:19: Argument of type '"newtn"'/);
    expect(latchbench('parameters --help')).toContain('USAGE');
    writeFileSync(path, text);
  });

  it('says which signal the simulated machine needs', () => {
    const paths = ['shared/records.ts', 'assembly/controller/preview.ts'].map((name) => join(project, name));
    const texts = paths.map((path) => readFileSync(path, 'utf8'));
    const [records = '', preview = ''] = texts;
    writeFileSync(paths[0] ?? '', records.replace(/ {6}f32\(\s*'soilAheadN',[^)]*\),\n/, ''));
    writeFileSync(paths[1] ?? '', preview.replaceAll('row.input.soilAheadN', '0.0'));
    latchbench('build');
    expect(latchbench('simulate first-field', 2)).toContain('shared/records.ts: the simulated machine needs soilAheadN');
    for (const [index, path] of paths.entries()) writeFileSync(path, texts[index] ?? '');
    latchbench('build');
  });

  it('takes a second version over the first, and keeps what the team has changed', () => {
    const next = join(folder, 'next');
    cpSync(join(tool, 'node_modules', 'latchbench'), next, { recursive: true, filter: (path) => !path.includes(join('dist', 'builds')) });
    edit(next, 'package.json', '"version": "0.1.0"', '"version": "0.2.0"');
    edit(next, 'shared/parameters.ts', "'Largest valid target load'", "'Largest target load that is valid'");
    appendFileSync(join(next, 'assembly/controller/time.ts'), '// A later version.\n');
    run(project, ['npm', 'install', ...QUIET, pack(next, '--ignore-scripts')]);
    expect(latchbench('parameters')).toContain('this project comes from latchbench 0.1.0, and 0.2.0 is installed');
    expect(latchbench('upgrade', 1)).toContain('assembly/controller/time.ts');
    const team = readFileSync(join(project, 'shared/parameters.ts'), 'utf8');
    latchbench('upgrade --write');
    expect(readFileSync(join(project, 'shared/parameters.ts'), 'utf8')).toBe(team);
    expect(readFileSync(join(project, 'shared/parameters.ts.new'), 'utf8')).toContain('Largest target load that is valid');
    expect(readFileSync(join(project, 'assembly/controller/time.ts'), 'utf8')).toContain('// A later version.');
    expect(run(project, ['npm', 'run', '--silent', 'build'])).toContain('controller 0.1.0');
    expect(latchbench('upgrade')).toContain('Nothing to do.');
  });
});
