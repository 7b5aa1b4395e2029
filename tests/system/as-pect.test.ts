import { spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { stripVTControlCharacters } from 'node:util';
import { expect, it } from 'vitest';
import { PROJECT } from '../support/project.js';

/** Runs the specs of the controller's pure functions inside WebAssembly, so that they count among these tests. */
it('the specs of the pure functions pass inside WebAssembly', () => {
  const { status, stdout, stderr } = spawnSync('npx', ['--no-install', 'asp', '--verbose', '--no-logo'], {
    cwd: PROJECT.root,
    encoding: 'utf8',
  });
  const output = stripVTControlCharacters(stdout + stderr);
  expect(status, output).toBe(0);
  const [, passed, all] = /\[Tests\]: (\d+) \/ (\d+)/.exec(output) ?? [];
  expect(passed, output).toBe(all);
  expect(Number(all)).toBeGreaterThan(100);
  const specs = readdirSync(join(PROJECT.root, 'tests', 'assembly')).filter((name) => name.endsWith('.spec.ts'));
  expect(output.match(/\[File\]: tests\/assembly\/\S+\.spec\.ts/g)).toHaveLength(specs.length);
});
