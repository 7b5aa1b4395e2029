import { existsSync, mkdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildHost } from '../../../host/build/host.js';
import { readSources } from '../../../host/build/sources.js';

import { temporaryFolder } from '../../support/temporary-folder.js';

const root = temporaryFolder();
const path = (name: string): string => join(root, name);
const write = (name: string, text: string): void => {
  mkdirSync(dirname(path(name)), { recursive: true });
  writeFileSync(path(name), text);
};
const COMPILED = 'dist/host/cli/main.js';

const MEMORY = 'dist/host/tsconfig.tsbuildinfo';

/** In place of the compiler, which takes seconds: like it, it leaves out what it remembers to have written, and writes that last. */
async function compile(): Promise<boolean> {
  const sources = [...readSources(root, 'host'), ...readSources(root, 'shared')];
  if (sources.some(([, text]) => text.includes('= ;'))) return false;
  const known: string[] = existsSync(path(MEMORY)) ? JSON.parse(readFileSync(path(MEMORY), 'utf8')) : [];
  for (const [name, text] of sources)
    if (!known.includes(`${name} ${text}`)) write(`dist/${name.replace(/\.ts$/, '.js')}`, `// compiled\n${text}`);
  write(MEMORY, JSON.stringify(sources.map(([name, text]) => `${name} ${text}`)));
  return true;
}

/** Builds; returns whether that succeeded and whether the compiler ran. */
async function build(): Promise<{ succeeded: boolean; compiled: boolean }> {
  let compiled = false;
  const succeeded = await buildHost(root, () => (compiled = true), compile);
  return { succeeded, compiled };
}

const DONE = { succeeded: true, compiled: true };
const SKIPPED = { succeeded: true, compiled: false };

describe('a build of the program', () => {
  beforeAll(async () => {
    write('host/cli/main.ts', 'export const rows = 2;\n');
    write('host/removed.ts', 'export {};\n');
    write('shared/limits.ts', 'export const ROWS = 48;\n');
    for (const name of ['tsconfig.json', 'package-lock.json', 'node_modules/typescript/package.json']) write(name, '{}');
    expect(await build()).toEqual(DONE);
  });

  it('is skipped while sources, settings and results are the same', async () => {
    expect(await build()).toEqual(SKIPPED);
    expect(statSync(path(COMPILED)).mode & 0o100).toBe(0o100);
  });

  it.each([
    ['a source', 'host/cli/main.ts', 'export const rows = 3;\n'],
    ['a table', 'shared/limits.ts', 'export const ROWS = 47;\n'],
    ['a version that it imports', 'package-lock.json', '{ "version": 2 }'],
  ])('is repeated after %s has changed, once', async (_, name, text) => {
    write(name, text);
    expect(await build()).toEqual(DONE);
    expect(await build()).toEqual(SKIPPED);
  });

  it.each([
    ['removed', (file: string) => rmSync(file)],
    ['damaged', (file: string) => writeFileSync(file, 'export const ro')],
  ])('is repeated if a result was %s', async (_, spoil) => {
    const before = readFileSync(path(COMPILED), 'utf8');
    spoil(path(COMPILED));
    expect(await build()).toEqual(DONE);
    expect(readFileSync(path(COMPILED), 'utf8')).toBe(before);
  });

  it('is repeated if it was interrupted, and then does not trust what the compiler remembers', async () => {
    // What an end of the process between two files leaves behind: no seal, and memory of files that are not there.
    rmSync(path('dist/host/build.json'));
    rmSync(path('dist/shared/limits.js'));
    expect(await build()).toEqual(DONE);
    expect(existsSync(path('dist/shared/limits.js'))).toBe(true);
  });

  it('that failed is repeated', async () => {
    write('host/cli/main.ts', 'export const rows = ;\n');
    expect(await build()).toEqual({ succeeded: false, compiled: true });
    expect(await build()).toEqual({ succeeded: false, compiled: true });
    write('host/cli/main.ts', 'export const rows = 3;\n');
    expect(await build()).toEqual(DONE);
  });

  it('leaves nothing of a source that was removed', async () => {
    rmSync(path('host/removed.ts'));
    expect(await build()).toEqual(DONE);
    expect(existsSync(path('dist/host/removed.js'))).toBe(false);
    expect(await build()).toEqual(SKIPPED);
  });
});
