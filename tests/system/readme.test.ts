import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { CHIP_NAMES } from '../../host/chip/chips.js';
import { isChipMissing } from '../support/chip-tools.js';
import { latchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const README = readFileSync(join(PROJECT.root, 'README.md'), 'utf8');
const DEVELOPERS = readFileSync(join(PROJECT.root, 'DEVELOPERS.md'), 'utf8');

/** Lines of the shell blocks of a text. */
const shellLines = (text: string): string[] =>
  [...text.matchAll(/```sh\n([\s\S]*?)```/g)].flatMap(([, block = '']) => block.trim().split('\n'));

describe('what the README shows', () => {
  const all = shellLines(README).filter((line) => line.startsWith('npx latchbench'));
  // What needs compilers and emulators is left out where they are not installed, and that is said.
  const isChipless = CHIP_NAMES.map(isChipMissing).includes(true);
  const commands = all.filter((line) => !isChipless || !line.startsWith('npx latchbench chip'));

  it('has commands to run', () => expect(commands.length).toBeGreaterThanOrEqual(6));

  it.each(commands)('%s', async (line) => {
    const { status, err } = await latchbench(...line.split(' ').slice(2));
    expect([status, err]).toEqual([0, '']);
  });

  it('begins with the job, in one paragraph', () => {
    expect(README).toMatch(/^# latchbench\n\nAn engineer develops the down-force control of row-crop planters: [^#]+?\n\n!\[/);
  });

  const pictures = [...README.matchAll(/Made with `npx latchbench ([^`]+ (?:-o|--drawings)) ([^`]+\.svg)`/g)].map(
    ([, words = '', picture = '']) => [picture, words] as const,
  );

  it('has three pictures', () =>
    expect(pictures.map(([picture]) => picture)).toEqual(['headland-turn.svg', 'field-24-row.svg', 'class-d-contest.svg']));

  it.each(pictures)('%s is what its command makes now', async (picture, words) => {
    const file = join(folder, picture);
    expect((await latchbench(...words.split(' '), file)).status).toBe(0);
    expect(readFileSync(file, 'utf8')).toBe(readFileSync(join(PROJECT.root, 'vectors/pictures', picture), 'utf8'));
  });

  it('says of the chip what was accepted', () => {
    const { metrics } = parse(readFileSync(join(PROJECT.root, 'vectors/chip-budget.yaml'), 'utf8')) as {
      metrics: readonly { chip: string; rows: number; metric: string; value: number }[];
    };
    const accepted = (metric: string): string => {
      const value = metrics.find((one) => one.chip === 'cortex-m4f' && one.rows === 24 && one.metric === metric)?.value ?? Number.NaN;
      return Math.round(value).toLocaleString('en-US');
    };
    for (const [line, metric] of [
      ['predictive, default machine', 'predictive.meanInstructions'],
      ['the same with an accelerometer', 'accelerometer.meanInstructions'],
      ['cascade', 'cascade.meanInstructions'],
      ['code, the whole example firmware', 'textBytes'],
      ['RAM, the whole example firmware', 'bssBytes'],
      ['stack, proven', 'stackBytes'],
    ] as const)
      expect(README, line).toMatch(new RegExp(`\\| .*${line}.* \\| ${accepted(metric)}`));
  });

  it('explains seven words', () => {
    const [, table = ''] = /## Seven words\n\n([\s\S]*?)\n\n/.exec(README) ?? [];
    expect(table.split('\n')).toHaveLength(2 + 7);
  });

  it('lists every command that --help lists', async () => {
    const named = [...(await latchbench('--help')).out.matchAll(/^ {2}(\w+) {2,}\w/gm)].map(([, name]) => name);
    for (const name of named) expect(README).toMatch(new RegExp(`\\| .*\`${name}\`.* \\|`));
  });
});

describe('what README and DEVELOPERS name exists', () => {
  it.each(
    [...`${README}\n${DEVELOPERS}`.matchAll(/\]\(([^)#]+)\)|`((?:host|shared|tests|assembly|vectors|\.ci)\/[^`*…]+)`/g)].map(
      ([, link, path]) => link ?? path ?? '',
    ),
  )('%s', (path) => {
    expect(existsSync(join(PROJECT.root, path))).toBe(true);
  });

  it('npm scripts that they name are there', () => {
    const { scripts } = JSON.parse(readFileSync(join(PROJECT.root, 'package.json'), 'utf8'));
    const named = [...`${README}\n${DEVELOPERS}`.matchAll(/`npm run ([\w:]+)/g)].map(([, name = '']) => name);
    expect(named.length).toBeGreaterThan(5);
    expect(Object.keys(scripts)).toEqual(expect.arrayContaining(named));
  });
});

describe('the command', () => {
  it('is what a checkout runs with npx', () => {
    const { status, stdout } = spawnSync('npx', ['--no-install', 'latchbench', 'replay', 'target-step'], {
      cwd: PROJECT.root,
      encoding: 'utf8',
    });
    expect(stdout).toContain('1 vector: 1 same;');
    expect(status).toBe(0);
  });
});
