import { existsSync, mkdirSync, readFileSync, rmSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildHost } from '../../../host/build/host.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const root = temporaryFolder();
const path = (name: string): string => join(root, name);
const write = (name: string, text: string): void => {
  mkdirSync(dirname(path(name)), { recursive: true });
  writeFileSync(path(name), text);
};
const COMPILED = 'dist/host/cli/main.js';

/** Builds; returns whether that succeeded and whether the compiler ran. */
async function build(): Promise<{ succeeded: boolean; compiled: boolean }> {
  let compiled = false;
  const succeeded = await buildHost(root, () => (compiled = true));
  return { succeeded, compiled };
}

const DONE = { succeeded: true, compiled: true };
const SKIPPED = { succeeded: true, compiled: false };

describe('a build of the program', () => {
  // A program of three files, with the smallest library of types.
  beforeAll(async () => {
    write('host/cli/main.ts', "import { ROWS } from '../../shared/limits.js';\nexport const rows = ROWS;\n");
    write('host/removed.ts', 'export {};\n');
    write('shared/limits.ts', 'export const ROWS = 48;\n');
    const settings = { lib: ['es5'], types: [], skipLibCheck: true, module: 'nodenext', rootDir: '.', outDir: 'dist', incremental: true };
    const compilerOptions = { ...settings, tsBuildInfoFile: 'dist/host/tsconfig.tsbuildinfo' };
    write('tsconfig.json', JSON.stringify({ compilerOptions, include: ['host', 'shared'] }));
    write('package.json', '{ "type": "module" }');
    write('package-lock.json', '{}');
    symlinkSync(join(PROJECT.root, 'node_modules'), path('node_modules'));
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
