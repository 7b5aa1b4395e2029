import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { stripVTControlCharacters } from 'node:util';
import { beforeAll, describe, expect, it } from 'vitest';
import { Collector, copyVector, latchbench, latchbenchIn, spawnLatchbench } from '../support/command.js';
import { type Outcome, runGuarded } from '../support/guarded-commands.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const INPUT = join(PROJECT.vectors, 'target-step', 'input.mcap');
const ESCAPE = '\u001b';

const COMMANDS = [
  'replay',
  'simulate',
  'size',
  'compare',
  'find-change',
  'shrink',
  'watch',
  'chip',
  'rig',
  'contest',
  'fit',
  'accept',
  'add',
  'show',
  'plot',
  'list',
  'new',
  'parameters',
  'import',
  'export',
  'recover',
  'init',
  'build',
  'check',
  'upgrade',
  'help',
];
const GROUPS: Readonly<Record<string, readonly string[]>> = {
  chip: ['build', 'library', 'replay', 'budget'],
  rig: ['check', 'replay', 'simulate'],
};
const LEAVES = COMMANDS.flatMap((name) => GROUPS[name]?.map((one) => `${name} ${one}`) ?? [name]);

describe('help', () => {
  it('lists these commands', async () => {
    const { out } = await latchbench('--help');
    const named = [...out.slice(out.indexOf('COMMANDS')).matchAll(/^ {2}([\w-]+) {2,}/gm)].map(([, name]) => name);
    expect(named).toEqual(COMMANDS);
  });

  it.each(LEAVES)('of %s has usage, exit codes and --json, in lines of at most 110 characters', async (name) => {
    const { status, out } = await latchbench(...name.split(' '), '--help');
    expect(status).toBe(0);
    expect(out).toContain(`latchbench ${name}`);
    expect(out).toContain('Exit code 0:');
    expect(out).toContain('--json');
    const prose = out.slice(out.indexOf('\n\n'), out.indexOf('\nFLAGS')).split('\n');
    for (const line of prose) expect(line.length, line).toBeLessThanOrEqual(110);
  });
});

describe('the help command', () => {
  it('prints what --help prints, of a command, of one within it, and of none', async () => {
    for (const words of [[], ['replay'], ['chip', 'build'], ['help']]) {
      const { out } = await latchbench(...words, '--help');
      expect(await latchbench('help', ...words)).toMatchObject({ status: 0, out, err: '' });
    }
    const { out } = await latchbench('help', 'chip', 'build', '--json');
    expect(JSON.parse(out)).toEqual({ command: 'chip build', help: (await latchbench('chip', 'build', '--help')).out });
  });

  it.each([
    [['repaly'], 'help: unknown command repaly; did you mean `replay`?'],
    [['chip', 'biuld'], 'help: unknown command biuld; did you mean `build`?'],
    [['replay', 'more'], 'help: unknown command more.'],
  ])('refuses %j', async (words, message) => {
    expect(await latchbench('help', ...words)).toMatchObject({ status: 2, err: `${message}\n` });
  });
});

describe('show scenario', () => {
  it('draws the field, and refuses another word or signals', async () => {
    const { status, out } = await latchbench('show', 'scenario', 'sand-after-loam');
    expect([status, out]).toEqual([0, expect.stringMatching(/^segment +\|loam +\|sand$/m)]);
    const { segments } = JSON.parse((await latchbench('show', 'scenario', 'sand-after-loam', '--json')).out);
    expect(segments.map(({ name }: { name: string }) => name)).toEqual(['loam', 'sand']);
    expect(await latchbench('show', 'scenarios', 'sand-after-loam')).toMatchObject({
      status: 2,
      err: 'show: the argument before sand-after-loam is scenarios; did you mean `scenario`?\n',
    });
    expect(await latchbench('show', 'scenario', 'sand-after-loam', '--signal', 'loadN')).toMatchObject({ status: 2 });
  });
});

describe('list', () => {
  let overview: { kinds: { kind: string; count: number }[] };
  beforeAll(async () => {
    overview = JSON.parse((await latchbench('list', '--json')).out);
  });

  it.each([
    ['vectors', 'target-step', 'The operator raises the target, then lowers it'],
    ['scenarios', 'cold-oil', 'default'],
    ['machines', 'ideal', ''],
    ['catalogues', 'row-hydraulics', ''],
    ['parameters', 'deadbandN', 'N'],
    ['signals', 'loadCounts', 'row'],
    ['metrics', 'loadRmsN', 'N'],
    ['faults', 'railFrozen', 'substitute'],
  ])('of %s has their names and titles', async (kind, name, words) => {
    const { status, out } = await latchbench('list', kind);
    expect(status).toBe(0);
    expect(out.split('\n').find((line) => line.startsWith(`${name} `))).toContain(words);
    const { items } = JSON.parse((await latchbench('list', kind, '--json')).out) as { items: { name: string; title: string }[] };
    for (const item of items) expect(item).toMatchObject({ name: expect.any(String), title: expect.stringMatching(/^(?!not valid)./) });
    expect(overview.kinds.find((one) => one.kind === kind)?.count).toBe(items.length);
  });

  it('refuses another kind', async () => {
    const { status, err } = await latchbench('list', 'vector');
    expect([status, err]).toEqual([2, expect.stringContaining('--kind is vector; it must be one of vectors, scenarios')]);
  });
});

describe('colours', () => {
  const replayOn = async (isTTY: boolean, env = {}): Promise<string> => {
    const stdout = new Collector(isTTY);
    await latchbenchIn(PROJECT, ['replay', 'target-step'], { stdout, env });
    return stdout.text;
  };

  it('are for terminals', async () => {
    expect(await replayOn(true)).toContain(`${ESCAPE}[32msame`);
    expect(await replayOn(false)).not.toContain(ESCAPE);
  });

  it('are switched off by NO_COLOR', async () => {
    expect(await replayOn(true, { NO_COLOR: '1' })).not.toContain(ESCAPE);
  });
});

describe('a terminal', () => {
  const on = async (argv: string[], columns: number, env = {}) => {
    const [stdout, stderr] = [Object.assign(new Collector(true), { columns }), new Collector(true)];
    await latchbenchIn(PROJECT, argv, { stdout, stderr, env });
    return { out: stripVTControlCharacters(stdout.text), raw: stdout.text + stderr.text, err: stderr.text };
  };
  const tableOf = (out: string): string[] => out.split('\n\n')[0]?.split('\n') ?? [];

  it('gets tables that fit its width, or that of COLUMNS', async () => {
    for (const [columns, env, max] of [
      [70, {}, 70],
      [200, { COLUMNS: '60' }, 60],
    ] as const) {
      const lines = tableOf((await on(['replay', 'target-step', 'cold-oil'], columns, env)).out);
      expect(lines.length).toBeGreaterThanOrEqual(3);
      for (const line of lines) expect(line.length, line).toBeLessThanOrEqual(max);
    }
  });

  it('that is dumb gets no codes, and each step of the progress as a line', async () => {
    const { raw, err } = await on(['replay', 'target-step'], 200, { TERM: 'dumb' });
    expect(raw).not.toContain(ESCAPE);
    expect(err).toBe('replaying 1 of 1: target-step\n');
  });

  it('without Unicode gets ASCII', async () => {
    const { out } = await on(['show', 'target-step', '--signal', 'loadN'], 200, { LANG: 'C' });
    expect(out).toMatch(/^ {2}loadN +[\d.]+ \.\.\. [\d.]+ N +[_.:=+*#-]+$/m);
    expect(out).toMatch(/^[\n -~]*$/);
  });
});

describe('progress', () => {
  const replayOn = async (isTTY: boolean, ...argv: string[]): Promise<string> => {
    const stderr = new Collector(isTTY);
    await latchbenchIn(PROJECT, ['replay', 'target-step', ...argv], { stderr });
    return stderr.text;
  };

  it('is shown on a terminal, and cleared in the end', async () => {
    const shown = await replayOn(true);
    expect(shown).toContain('replaying 1 of 1: target-step');
    expect(shown.endsWith(`\r${ESCAPE}[2K`)).toBe(true);
  });

  it('is not shown in a pipe, nor with --json', async () => {
    expect([await replayOn(false), await replayOn(true, '--json')]).toEqual(['', '']);
  });
});

describe('the compiled program', () => {
  const scratch = (name: string): string => join(folder, name);

  // Each loads all of its command's code; where the work would take long, up to an error of input.
  const CASES: readonly (readonly [argv: readonly string[], status: number, message: RegExp])[] = [
    [['replay', 'relatch-at-rest'], 0, /1 vector: 1 same;/],
    [['simulate', 'target-step', 'no-such-scenario'], 2, /no-such-scenario/],
    [['size', 'default'], 1, /design checks/],
    [['compare', '.', '.', 'relatch-at-rest'], 0, /1 run: 1 same/],
    [['find-change', 'relatch-at-rest', '--from', 'no-such-commit'], 2, /: there is no commit, branch or tag "no-such-commit"\.$/m],
    [['shrink', 'relatch-at-rest', '--against', '.', '-o', scratch('never.mcap')], 2, /the builds do not differ on this vector/],
    [['watch', 'relatch-at-rest', '--against', '.', '--verdicts', '1'], 0, /done [\d.]+ s after the start/],
    [['chip', 'build', '--chip', 'no-such-chip'], 2, /no-such-chip/],
    [['chip', 'library', '--chip', 'no-such-chip', '-o', scratch('never')], 2, /no-such-chip/],
    [['chip', 'replay', '--chip', 'no-such-chip', 'relatch-at-rest'], 2, /no-such-chip/],
    [['chip', 'budget', '--chip', 'no-such-chip'], 2, /no-such-chip/],
    [['rig', 'check', '--rig', 'no-such-rig.yaml'], 2, /no-such-rig\.yaml: no such file/],
    [['rig', 'replay', '--rig', 'no-such-rig.yaml'], 2, /no-such-rig\.yaml: no such file/],
    [['rig', 'simulate', '--rig', 'no-such-rig.yaml'], 2, /no-such-rig\.yaml: no such file/],
    [['contest', 'target-step', '--strategies', 'no-such-strategy,cascade'], 2, /no-such-strategy/],
    [['fit', INPUT], 2, /input\.mcap/],
    [['accept', 'relatch-at-rest', '--by', 'A. Reviewer', '--reason', 'None', '--dry-run'], 0, /nothing to accept/],
    [['add', 'A Name', '--from', INPUT, '--title', 'A', '--why', 'A', '--by', 'A', '--reason', 'A'], 2, /A Name/],
    [['show', 'relatch-at-rest'], 0, /supplyMv|loadN/],
    [['plot', 'relatch-at-rest', '-o', scratch('plot.svg')], 0, /written/],
    [['new', 'scenario', 'target-step'], 2, /there is such a file/],
    [['list'], 0, /scenarios +\d+/],
    [['help', 'list'], 0, /Exit code 0: listed/],
    [['parameters'], 0, /deadbandN/],
    [['import', 'no-such.csv', '--map', 'no-such.yaml', '-o', scratch('never.mcap')], 2, /no-such/],
    [['export', INPUT, '--to', '0'], 0, /^time_s,tick,/],
    [['recover', INPUT, '-o', scratch('recovered.mcap')], 0, /messages recovered/],
    [['init', 'No Name'], 2, /the name of the new project is "No Name"/],
    [['build'], 2, /this folder is in no project/],
    [['check'], 2, /this folder is in no project/],
    [['upgrade'], 2, /this folder is in no project/],
  ];
  let outcomes: readonly Outcome[] = [];
  beforeAll(async () => {
    outcomes = await runGuarded(
      CASES.map(([argv]) => argv),
      60,
    );
  });

  it.each(CASES.map(([argv, status, message], index) => [argv, status, message, index] as const))('%j', (_, status, message, index) => {
    const outcome = outcomes[index];
    expect(`${outcome?.out}${outcome?.err}`).toMatch(message);
    expect(outcome?.status).toBe(status);
  });
});

describe('as a separate process', () => {
  it.each<[argv: string[], status: number, message: RegExp]>([
    [['--version'], 0, /^\d+\.\d+\.\d+\n$/],
    [['size', 'default'], 1, /design checks/],
    [['chip', 'replay', '--chip', 'no-such-chip', 'relatch-at-rest'], 2, /no-such-chip/],
  ])('%j', (argv, status, message) => {
    const result = spawnLatchbench(argv, { timeout: 60_000 });
    expect(`${result.out}${result.err}`).toMatch(message);
    expect(result.status).toBe(status);
  });

  it('uses the project of the current folder, otherwise its own checkout', () => {
    const copy = copyVector('relatch-at-rest', folder);
    for (const cwd of [join(PROJECT.root, 'tests'), copy]) {
      const { status, out } = spawnLatchbench(['replay', 'relatch-at-rest'], { cwd });
      expect([status, out]).toEqual([0, expect.stringContaining('1 vector: 1 same;')]);
    }
  });

  it('ends with 3 after an error that nothing catches', () => {
    const late = "setImmediate(() => { throw new Error('late \\u001b[8m'); })";
    const script = `import { isMainThread } from 'node:worker_threads'; if (!isMainThread) ${late}`;
    const env = { ...process.env, NODE_OPTIONS: `--import=data:text/javascript,${encodeURIComponent(script)}` };
    const { status, err } = spawnLatchbench(['parameters'], { env, timeout: 60_000 });
    expect(err).toMatch(/^Internal error of latchbench:\nError: late \\u001b\[8m\n/);
    expect(status).toBe(3);
  });

  it('ends quietly when its reader stops reading', () => {
    const command = `"${process.execPath}" dist/host/cli/main.js export "${INPUT}" | head -n 1`;
    const { status, stdout, stderr } = spawnSync('bash', ['-o', 'pipefail', '-c', command], {
      cwd: PROJECT.root,
      encoding: 'utf8',
      timeout: 30_000,
    });
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^time_s,tick,targetLoadN,/);
  });
});
