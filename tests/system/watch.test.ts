import { type ChildProcess, spawn } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, renameSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { watchFiles } from '../../host/common/watch-files.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

/** A copy of what the command needs, whose sources may be edited. */
function copyProject(): string {
  const root = join(folder, 'project');
  for (const path of [
    'package.json',
    'asconfig.json',
    'assembly/controller',
    'shared',
    'dist/host',
    'dist/shared',
    'vectors/cases/target-step',
  ])
    cpSync(join(PROJECT.root, path), join(root, path), { recursive: true });
  symlinkSync(join(PROJECT.root, 'node_modules'), join(root, 'node_modules'));
  return root;
}

const edit = (file: string, from: string, to: string): void => {
  const text = readFileSync(file, 'utf8');
  expect(text).toContain(from);
  writeFileSync(file, text.replace(from, to));
};

describe('latchbench watch', () => {
  const root = copyProject();
  const bank = join(root, 'assembly/controller/bank.ts');
  const running: ChildProcess[] = [];
  afterAll(() => {
    for (const one of running) one.kill();
  });

  /** Starts the command; `until` waits for words in what it says from now on, and gives all of that. */
  function start(...words: string[]) {
    const child = spawn(
      process.execPath,
      [join(root, 'dist/host/cli/main.js'), 'watch', 'target-step', '--against', PROJECT.controllerWasm, ...words],
      {
        cwd: root,
        stdio: ['ignore', 'pipe', 'pipe'],
      },
    );
    running.push(child);
    let said = '';
    let listen = (): void => {};
    const take = (text: Buffer): void => {
      said += text;
      listen();
    };
    child.stdout.on('data', take);
    child.stderr.on('data', take);
    const until = (words: string): Promise<string> =>
      new Promise((resolve, reject) => {
        const timer = setTimeout(() => reject(new Error(`no “${words}” in: ${said}`)), 45_000);
        listen = () => {
          if (!said.includes(words)) return;
          clearTimeout(timer);
          resolve(said);
          said = '';
        };
        listen();
      });
    const ended = new Promise<number | null>((resolve) => child.on('exit', resolve));
    return { child, until, ended };
  }

  it('gives a verdict at once, one on each save, and keeps the last one where the compiler stops', async () => {
    const { child, until, ended } = start();
    expect(await until('after the start')).toContain('1 run: 1 same; ');

    edit(bank, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 41;');
    const changed = await until('after the save');
    expect(changed).toContain('1 run: 1 outputs changed; ');
    expect(changed).toMatch(/first difference at tick 0 .*: flowRatio 1 → 0\.99/);
    expect(changed).toContain('assembly/controller/bank.ts:31  const WARM_C: f32 = 41;');

    edit(bank, 'const WARM_C: f32 = 41;', 'const WARM_C: f32 = 4x;');
    const broken = await until('last verdict:');
    expect(broken).toContain('in assembly/controller/bank.ts(31,22)');
    expect(broken).toMatch(/last verdict: 1 run: 1 outputs changed; /);

    edit(bank, 'const WARM_C: f32 = 4x;', 'const WARM_C: f32 = 40;');
    expect(await until('after the save')).toContain('1 run: 1 same; ');
    child.kill('SIGINT');
    expect(await ended).toBe(0);
  });

  it('takes the saving of a parameter file too, and tells each verdict as a line of JSON', async () => {
    const parameters = join(root, 'mine.yaml');
    writeFileSync(parameters, '{}\n');
    const { until, ended } = start('--parameters', parameters, '--json', '--verdicts', '3');
    const verdict = async () =>
      JSON.parse(await until('\n')) as { review?: { counts: object; parameters: object[] }; error?: { message: string } };
    expect((await verdict()).review?.counts).toEqual({ same: 1, inner: 0, outputs: 0, stopped: 0, refused: 0 });

    // As an editor saves: another file is put in its place.
    writeFileSync(`${parameters}.new`, 'deadbandSigmas: 3\n');
    renameSync(`${parameters}.new`, parameters);
    const { review } = await verdict();
    expect(review?.counts).toEqual({ same: 0, inner: 0, outputs: 1, stopped: 0, refused: 0 });
    expect(review?.parameters).toEqual([{ name: 'deadbandSigmas', unit: 'ratio', base: '2.2', head: '3', runs: [] }]);

    writeFileSync(parameters, 'deadbandSigmas: many\n');
    expect((await verdict()).error?.message).toMatch(/mine\.yaml:1:17: deadbandSigmas "many"/);
    expect(await ended).toBe(1);
  });
});

describe('watchFiles', () => {
  it('tells of several saves in a row once, of those before it is asked too, and ends when closed', async () => {
    const watched = join(folder, 'watched');
    mkdirSync(join(watched, 'below'), { recursive: true });
    const files = watchFiles([watched]);
    writeFileSync(join(watched, 'a.ts'), '1');
    writeFileSync(join(watched, 'below', 'b.ts'), '2');
    await new Promise((resolve) => setTimeout(resolve, 400));
    expect(await files.next()).toBe(true);
    const waiting = files.next();
    let isThere = false;
    void waiting.then(() => {
      isThere = true;
    });
    await new Promise((resolve) => setTimeout(resolve, 200));
    expect(isThere).toBe(false);
    files.close();
    expect(await waiting).toBe(false);
    expect(await files.next()).toBe(false);
  });

  it('looks at one file of a folder only, where one is named', async () => {
    const file = join(folder, 'one.yaml');
    writeFileSync(file, '1');
    await new Promise((resolve) => setTimeout(resolve, 100));
    const files = watchFiles([file]);
    writeFileSync(join(folder, 'other.yaml'), '1');
    const first = await Promise.race([files.next(), new Promise((resolve) => setTimeout(() => resolve('nothing'), 300))]);
    expect(first).toBe('nothing');
    files.close();
  });
});
