import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { latchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { argumentsOf, CHIP_TABLE, chipValue, FAST_COMMANDS, PICTURES, README, SLOW_PICTURES } from '../support/readme.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

describe('the README', () => {
  it('has commands to run', () => expect(FAST_COMMANDS.length).toBeGreaterThanOrEqual(6));

  it.each(FAST_COMMANDS)('%s', async (line) => {
    const { status, err } = await latchbench(...argumentsOf(line));
    // compare exits with 1 while the working tree differs from the last commit.
    expect([line.includes(' compare ') && status === 1 ? 0 : status, err]).toEqual([0, '']);
  });

  it('begins with the job, in one paragraph', () => {
    expect(README).toMatch(/^# latchbench\n\nAn engineer develops the down-force control of row-crop planters: [^#]+?\n\n!\[/);
  });

  it('has three pictures', () =>
    expect(PICTURES.map(({ picture }) => picture)).toEqual(['headland-turn.svg', 'field-24-row.svg', 'class-d-contest.svg']));

  it.each(PICTURES.filter(({ picture }) => !SLOW_PICTURES.includes(picture)))('$picture is up to date', async ({ picture, argv }) => {
    const file = join(folder, picture);
    expect((await latchbench(...argv, file)).status).toBe(0);
    expect(readFileSync(file, 'utf8')).toBe(readFileSync(join(PROJECT.root, 'vectors/pictures', picture), 'utf8'));
  });

  it.each(CHIP_TABLE)('has the accepted cost on a chip, and whether it meets its target: $quantity', (line) => {
    const { metrics } = parse(readFileSync(PROJECT.chipBudget, 'utf8')) as { metrics: Parameters<typeof chipValue>[0] };
    expect(line.value).toBe(Math.round(chipValue(metrics, line)));
    // An empty cell is no target.
    const missedBy = line.value / line.target - 1;
    expect(line.words.startsWith(', missed')).toBe(missedBy > 0);
    if (line.words.includes('less than 1 %')) expect(missedBy).toBeLessThan(0.01);
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
