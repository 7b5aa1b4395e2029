import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, openSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { UnfinishedList } from '../../host/cli/interrupts.js';
import { latchbench, spawnLatchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const temporary = join(folder, 'tmp');
mkdirSync(temporary);
const PROGRAM = join(PROJECT.root, 'dist', 'host', 'cli', 'main.js');

/** Starts a command that runs for minutes. */
function start(...argv: string[]): ChildProcess {
  return spawn(process.execPath, [PROGRAM, ...argv], {
    cwd: PROJECT.root,
    env: { ...process.env, TMPDIR: temporary },
    stdio: ['ignore', 'ignore', 'pipe'],
  });
}

/** Interrupts a command as soon as a file is there. */
async function interrupt(command: ChildProcess, signal: NodeJS.Signals, file: string) {
  let err = '';
  command.stderr?.on('data', (chunk: Buffer) => {
    err += chunk.toString('utf8');
  });
  while (!existsSync(file) && command.exitCode === null) await sleep(50);
  await sleep(500);
  const begin = performance.now();
  command.kill(signal);
  const [, endedBy] = await once(command, 'close');
  return { err, endedBy, seconds: (performance.now() - begin) / 1000 };
}

const LONG = ['simulate', 'hills-and-slopes', '--set', 'deadbandN=70', '--seed', '1'];

describe('an interrupted command', () => {
  it('ends within 2 s and says how to recover what it recorded', async () => {
    const recording = join(folder, 'run.mcap');
    const partial = `${recording}.partial`;
    const { err, endedBy, seconds } = await interrupt(start(...LONG, '-o', recording), 'SIGINT', partial);
    const words = `recover ${partial} -o FILE`;
    expect(err).toBe(`interrupted. ${partial} is left. \`latchbench ${words}\` saves what was recorded until then.\n`);
    expect(endedBy).toBe('SIGINT');
    expect(seconds).toBeLessThan(2);
    const recovered = join(folder, 'recovered.mcap');
    expect((await latchbench(...words.replace('FILE', recovered).split(' '))).out).toMatch(/recovered\.mcap: [\d ]+ messages recovered/);
    expect(readdirSync(temporary)).toEqual([]);
  });

  it('does so at SIGTERM too, and says how to continue a search', async () => {
    const state = join(folder, 'search');
    const words = ['size', 'default', '--search', 'row-hydraulics', '--tries', '10000000', '--yes', '-o', state];
    const { err, endedBy, seconds } = await interrupt(start(...words), 'SIGTERM', join(state, 'search.json'));
    expect(err).toBe(`interrupted. ${state} is left. The same command continues the search.\n`);
    expect(endedBy).toBe('SIGTERM');
    expect(seconds).toBeLessThan(2);
    expect(readdirSync(state)).toEqual(['search.json']);
    expect(readdirSync(temporary)).toEqual([]);
  });
});

describe('what an interrupted command leaves', () => {
  it('is spoken of only if it has begun to write', () => {
    const unfinished = new UnfinishedList();
    expect(unfinished.hasBegun).toBe(false);
    unfinished.take({ begun: { path: join(folder, 'never') } });
    unfinished.take({ ended: join(folder, 'never') });
    expect([unfinished.hasBegun, unfinished.cleanUp()]).toEqual([true, []]);
  });
});

describe('a command ends with', () => {
  it('exit code 3 when it runs out of memory', () => {
    const env = { ...process.env, NODE_OPTIONS: '--max-old-space-size=15' };
    const { status, err } = spawnLatchbench(['compare', '.', '.', 'relatch-at-rest', '--json'], { env, timeout: 60_000 });
    expect([status, err]).toEqual([3, expect.stringMatching(/^Internal error of latchbench: out of memory$/m)]);
  });

  it('exit code 2 when its output cannot be written', async () => {
    const command = spawn(process.execPath, [PROGRAM, 'parameters'], { stdio: ['ignore', openSync('/dev/full', 'w'), 'pipe'] });
    const [[status], [err]] = await Promise.all([once(command, 'close'), once(command.stderr as NodeJS.ReadableStream, 'data')]);
    expect([status, String(err)]).toEqual([2, 'standard output: no space is left on the disk.\n']);
  });
});
