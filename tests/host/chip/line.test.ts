import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { setTimeout } from 'node:timers/promises';
import { expect, it } from 'vitest';
import { buildFirmware } from '../../../host/chip/build.js';
import { chipOf } from '../../../host/chip/chips.js';
import { isChipMissing } from '../../support/chip-tools.js';
import { PROJECT } from '../../support/project.js';

const chip = chipOf('cortex-m4f');

/** Starts the firmware, says so, and never closes its link. */
const PROGRAM = `
import(process.argv[1]).then(({ startFirmware }) => {
  startFirmware(JSON.parse(process.argv[2]));
  process.stdout.write('started');
  setInterval(() => {}, 1000);
});`;

/** Ids of processes of a name that a process has started. */
const startedBy = (pid: number, name: string): number[] =>
  execFileSync('ps', ['-o', 'pid=,comm=', '--ppid', String(pid)], { encoding: 'utf8' })
    .split('\n')
    .filter((line) => line.includes(name))
    .map((line) => Number.parseInt(line, 10));

/** A killed process whose new parent has not asked for its exit code is dead, too. */
function isAlive(pid: number): boolean {
  try {
    return !/^State:\s+Z/m.test(readFileSync(`/proc/${pid}/status`, 'utf8'));
  } catch {
    return false;
  }
}

it.skipIf(isChipMissing(chip.name))('an emulator ends with a process that is killed', async () => {
  const firmware = buildFirmware(chip, PROJECT.controllerWasm, { channel: 'files' });
  const words = ['-e', PROGRAM, `${PROJECT.root}/dist/host/chip/line.js`, JSON.stringify(firmware)];
  const program = spawn(process.execPath, words, { stdio: ['ignore', 'pipe', 'inherit'] });
  await once(program.stdout, 'data');
  const [emulator = 0, ...others] = startedBy(program.pid ?? 0, 'qemu-system');
  expect(others).toEqual([]);
  expect(isAlive(emulator)).toBe(true);
  program.kill('SIGKILL');
  // One that goes on fails by the time limit of the test.
  while (isAlive(emulator)) await setTimeout(20);
});
