import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { sha256 } from '../../../host/common/hash.js';
import { projectAt } from '../../../host/common/project.js';
import { toolVersion } from '../../../host/common/version.js';
import { checkProject } from '../../../host/project/check.js';
import { initProject, type NewProject } from '../../../host/project/init.js';
import type { Manifest } from '../../../host/project/manifest.js';
import { readPackageFile } from '../../../host/project/package-file.js';
import { stateOf, upgradeProject } from '../../../host/project/upgrade.js';
import { latchbenchIn } from '../../support/command.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const parent = temporaryFolder();
const root = join(parent, 'my-planter');
const PACKAGE = { name: 'latchbench.tgz', bytes: Buffer.from('a package'), integrity: 'sha512-AAAA' };
initProject({ folder: root, title: 'Our "best" planter', packageFile: PACKAGE });
const project = projectAt(root);
const path = (name: string): string => join(root, name);
const text = (name: string): string => readFileSync(path(name), 'utf8');
const json = (name: string) => JSON.parse(text(name));

describe('a new project', () => {
  it('has everything that its commands need', () => {
    const controller = readdirSync(join(PROJECT.root, 'assembly/controller')).filter((name) => name.endsWith('.ts'));
    expect(readdirSync(path('assembly/controller')).sort()).toEqual([...controller, 'generated'].sort());
    expect(readdirSync(path('shared')).sort()).toEqual(['faults.ts', 'parameters.ts', 'records.ts']);
    expect(readdirSync(path('vectors/cases')).length).toBe(3);
    expect(statSync(path('.ci/run')).mode & 0o111).toBe(0o111);
  });

  it('is installed from the package that it keeps, with the versions that were tested and nothing that only tests need', () => {
    expect(json('package.json').dependencies).toEqual({ latchbench: 'file:packages/latchbench.tgz' });
    expect(text('packages/latchbench.tgz')).toBe('a package');
    const { packages } = json('package-lock.json');
    expect(packages['node_modules/latchbench']).toMatchObject({ resolved: 'file:packages/latchbench.tgz', integrity: 'sha512-AAAA' });
    expect(packages['node_modules/assemblyscript'].version).toBe(packages['node_modules/latchbench'].dependencies.assemblyscript);
    expect(packages).not.toHaveProperty('node_modules/vitest');
  });

  it('has its title in each file that names it', () => {
    expect(text('README.md').split('\n')[0]).toBe('# Our "best" planter');
    expect(json('package.json').description).toBe('Our "best" planter');
    expect(text('vectors/machines/first-machine.yaml')).toContain('title: "Our \\"best\\" planter"');
  });

  it('imports tables of the program from its package', () => {
    expect(text('shared/faults.ts')).toContain("from 'latchbench/shared/channels.js'");
    expect(text('shared/parameters.ts') + text('shared/records.ts')).not.toContain("'./");
  });

  it('is valid in all its files', () => {
    expect(checkProject(project).filter(({ problem }) => problem !== undefined)).toEqual([]);
    expect(checkProject(project).length).toBeGreaterThan(10);
  });

  it('finds machines and scenarios of the program by name, and lists its own', async () => {
    expect((await latchbenchIn(project, ['size', 'wide-48-row', '--json'])).status).toBeLessThan(2);
    expect((await latchbenchIn(project, ['size', 'no-such-machine'])).err).toMatch(/first-machine/);
  });

  it('checks what a person has edited', async () => {
    writeFileSync(path('vectors/parameters/wrong.yaml'), 'strategy: predictive\ndeadbandMinN: -1\n');
    const { status, out } = await latchbenchIn(project, ['check']);
    expect(out).toContain('wrong.yaml:2:15: deadbandMinN is -1; it must be between 1 and 1000 N.');
    expect(status).toBe(1);
    rmSync(path('vectors/parameters/wrong.yaml'));
  });
});

describe('a project is not made', () => {
  const full = join(parent, 'full');
  mkdirSync(full);
  writeFileSync(join(full, 'a-file'), '');
  const before = readdirSync(parent).sort();

  it.each<[what: string, asked: NewProject, message: RegExp]>([
    ['in a folder that is not empty', { folder: full }, /full: the folder is not empty/],
    ['in the place of a file', { folder: join(full, 'a-file') }, /this is a file; it must be a folder/],
    ['below a folder that does not exist', { folder: join(parent, 'none', 'a') }, /its folder does not exist/],
    ['with capitals', { folder: join(parent, 'Planter') }, /the name of the new project is "Planter"; it must be a letter/],
    ['with a space', { folder: join(parent, 'my planter') }, /"my planter"/],
    ['with the name of the program', { folder: join(parent, 'latchbench') }, /"latchbench"/],
    ['with too long a name', { folder: join(parent, 'a'.repeat(61)) }, /at most 59 letters/],
    ['with a title of two lines', { folder: join(parent, 'a'), title: 'A\nB' }, /the title is "A\\nB"/],
    ['with a title that hides letters', { folder: join(parent, 'a'), title: 'A\u202eB' }, /the title is/],
    ['if a file of it cannot be written', { folder: join(parent, 'a'), packageFile: { ...PACKAGE, name: 'a\0b' } }, /null bytes/],
  ])('%s, and nothing is left', (_, asked, message) => {
    expect(() => initProject(asked)).toThrow(message);
    expect(readdirSync(parent).sort()).toEqual(before);
    expect(readdirSync(full)).toEqual(['a-file']);
  });

  it('from a file that is no package', () => {
    expect(() => readPackageFile(join(PROJECT.root, 'README.md'))).toThrow(
      'README.md: this is not a package; it must be what `npm pack` has made.',
    );
  });
});

describe('an upgrade of a file', () => {
  it.each([
    ['a', 'a', 'a', undefined],
    ['a', 'b', 'a', undefined],
    ['a', 'b', 'b', undefined],
    ['a', 'a', 'b', 'replace'],
    ['a', 'b', 'c', 'merge'],
    ['a', undefined, 'b', 'merge'],
    [undefined, undefined, 'a', 'add'],
    [undefined, 'b', 'a', 'merge'],
    ['a', 'a', undefined, 'remove'],
    ['a', 'b', undefined, 'keep'],
    ['a', undefined, undefined, undefined],
  ])('from %s, which is %s now, to %s: %s', (base, own, next, state) => {
    expect(stateOf(base, own, next)).toBe(state);
  });
});

describe('an upgrade of a project', () => {
  const [replaced, merged, added, gone] = ['pulse.ts', 'learn.ts', 'time.ts', 'former.ts'].map((name) => `assembly/controller/${name}`) as [
    string,
    string,
    string,
    string,
  ];
  const original = new Map([replaced, merged, added].map((name) => [name, text(name)]));

  it('shows what the new version and the team have changed, and changes nothing', () => {
    // The project is made to come from a version in which three files were other ones, and one was not there.
    const { files } = json('latchbench.json') as Manifest;
    const { [added]: _, ...others } = files;
    const old = { [replaced]: sha256('// Old.\n'), [merged]: sha256('// Old.\n'), [gone]: sha256('// Old.\n') };
    writeFileSync(path('latchbench.json'), JSON.stringify({ version: '0.0.9', files: { ...others, ...old } }));
    for (const name of [replaced, gone]) writeFileSync(path(name), '// Old.\n');
    writeFileSync(path(merged), "// Old, with the team's change.\n");
    rmSync(path(added));
    const before = text('latchbench.json');
    expect(upgradeProject(project, false)).toEqual({
      from: '0.0.9',
      to: toolVersion(),
      changes: [
        { path: gone, state: 'remove' },
        { path: merged, state: 'merge' },
        { path: replaced, state: 'replace' },
        { path: added, state: 'add' },
      ].sort((a, b) => (a.path < b.path ? -1 : 1)),
      written: [],
    });
    expect([text('latchbench.json'), text(replaced)]).toEqual([before, '// Old.\n']);
  });

  it('is asked for by every command, until it is done', async () => {
    const { err } = await latchbenchIn(project, ['parameters']);
    expect(err).toContain(
      `note: this project comes from latchbench 0.0.9, and ${toolVersion()} is installed: \`npx latchbench upgrade\` says what to do`,
    );
    expect((await latchbenchIn(project, ['upgrade'])).status).toBe(1);
  });

  it('writes what the team never changed, and never over what it did', async () => {
    const { status, out } = await latchbenchIn(project, ['upgrade', '--write']);
    expect(status).toBe(0);
    expect(out).toContain('Merge each file ending in .new into yours and remove it, then run `npm run build && npm test`.');
    expect([text(replaced), text(added)]).toEqual([original.get(replaced), original.get(added)]);
    expect([text(merged), text(`${merged}.new`)]).toEqual(["// Old, with the team's change.\n", original.get(merged)]);
    expect(existsSync(path(gone))).toBe(true);
    expect((await latchbenchIn(project, ['upgrade'])).out).toContain('Nothing to do.');
  });

  it('says where latchbench.json is wrong', async () => {
    writeFileSync(path('latchbench.json'), '{\n  "version": "0.1.0",\n  "files": { "../x.ts": "ab" }\n}\n');
    const { status, err } = await latchbenchIn(project, ['upgrade']);
    expect(err).toMatch(/latchbench\.json:3:14: /);
    expect(status).toBe(2);
  });
});
