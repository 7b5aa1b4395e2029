import { appendFileSync, copyFileSync, cpSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { writeBinary } from '../../host/build/compile.js';
import { compileWorkingTree, hashController, readControllerSources } from '../../host/build/controller.js';
import { compilePlant } from '../../host/build/plant.js';
import { currentPlant } from '../../host/cli/run/binaries.js';
import { leafCommands } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { ProjectCopy } from '../support/project-copy.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const copy = new ProjectCopy(join(folder, 'project'), { vectors: ['target-step'] });
const STALE = 'dist/controller.wasm';
const WHO = ['--by', 'A. Reviewer', '--reason', 'A test'];

/** What a command does while dist/controller.wasm is stale. */
type Behaviour =
  /** Exit code 2, and nothing is written: its result would be accepted, or go onto a machine. */
  | 'refuses'
  /** Builds the working tree, and says that the binary is stale. */
  | 'builds'
  /** Never reads dist/controller.wasm: it compiles what it runs. */
  | 'compiles'
  /** Runs no controller. */
  | 'runs none';

/** Every command of the program, with arguments that make it run a controller, if it does. */
const COMMANDS: Readonly<Record<string, readonly [behaviour: Behaviour, ...variants: string[][]]>> = {
  replay: ['builds', ['target-step']],
  simulate: ['builds', ['short.yaml']],
  'simulate --record-vector': ['refuses', ['short.yaml', '--record-vector', 'new-vector', ...WHO]],
  size: ['builds', ['default', '--search', 'row-hydraulics', '--tries', '1', '--runs', '1']],
  compare: ['compiles', ['.', '.', 'target-step']],
  'find-change': ['compiles', ['target-step', '--from', 'no-such-commit']],
  shrink: ['compiles', ['target-step', '--against', STALE, '-o', 'shrunk.mcap', '--tries', '1']],
  watch: ['compiles', ['target-step', '--against', '.', '--verdicts', '1']],
  'chip build': ['refuses', ['--rows', '1']],
  'chip library': ['refuses', ['-o', 'library']],
  // What ends these two early saves half a minute: a chip without emulator, and no port.
  'chip budget': ['builds', ['--chip', 'native']],
  'chip budget --accept': ['refuses', ['--accept', ...WHO]],
  'chip replay': ['builds', ['--port', '/dev/no-such-port', 'target-step']],
  // A port that is not there.
  'rig check': ['builds', ['--rig', 'rig.yaml']],
  'rig replay': ['builds', ['--rig', 'rig.yaml', 'target-step']],
  'rig simulate': ['builds', ['--rig', 'rig.yaml', 'short.yaml']],
  contest: ['builds', ['short.yaml', '--strategies', 'cascade,predictive', '--seeds', '1', '--scales', '1']],
  fit: ['compiles', ['log.mcap']],
  accept: ['refuses', ['target-step', ...WHO], ['target-step', '--dry-run', ...WHO]],
  add: ['refuses', ['new-vector', '--from', 'log.mcap', '--title', 'T', '--why', 'W', '--origin', 'O', ...WHO]],
  show: ['builds', ['target-step']],
  plot: ['builds', ['target-step', '-o', 'plot.svg']],
  parameters: ['runs none', []],
  import: ['runs none', ['log.csv', '--map', 'map.yaml', '-o', 'imported.mcap']],
  export: ['runs none', ['log.mcap', '--to', '0']],
  init: ['runs none', ['a-project']],
  list: ['runs none', []],
  new: ['runs none', ['scenario', 'a-scenario', '--print']],
  help: ['runs none', []],
  build: ['compiles', []],
  check: ['runs none', []],
  upgrade: ['runs none', []],
  recover: ['runs none', ['log.mcap', '-o', 'recovered.mcap']],
};

const cases = Object.entries(COMMANDS).flatMap(([name, [behaviour, ...variants]]) =>
  variants.map((words) => ({ words: [...name.split(' ').filter((word) => !word.startsWith('--')), ...words], behaviour })),
);

const NOTE = /^note: dist\/controller\.wasm is stale: assembly\/controller was edited after it was built; the working tree is built/m;

beforeAll(async () => {
  writeBinary(copy.path(STALE), await compileWorkingTree(copy.root));
  copy.commit('start');
  copy.edit('assembly/controller/learn.ts', 'const MIN_SHARE: f32 = 0.3;', 'const MIN_SHARE: f32 = 0.95;');
  copy.commit('edited');
  cpSync(PROJECT.catalogues, copy.project.catalogues, { recursive: true });
  copyFileSync(join(copy.project.vectors, 'target-step', 'input.mcap'), copy.path('log.mcap'));
  writeFileSync(copy.path('rig.yaml'), 'title: Bench\nboards:\n  one: { port: /dev/no-such-port, rows: 4 }\n');
  writeFileSync(copy.path('short.yaml'), 'title: Short\nstory: Invented.\nrows: 1\nseconds: 3\nfield: { class: D }\n');
});

describe('with a stale controller', () => {
  it('every command of the program is tried', async () => {
    const tried = Object.keys(COMMANDS).filter((name) => !name.includes('--'));
    expect((await leafCommands()).sort()).toEqual(tried.sort());
  });

  it.each(cases)('$words: $behaviour', async ({ words, behaviour }) => {
    const before = copy.git('status', '--short');
    const { status, out, err } = await copy.run(...words, ...(behaviour === 'refuses' ? [] : ['--json']));
    if (behaviour === 'refuses') {
      expect([status, out]).toEqual([2, '']);
      expect(err).toBe(`${STALE}: the binary is stale: assembly/controller was edited after it was built. Run \`npm run build\`.\n`);
      expect(copy.git('status', '--short')).toBe(before);
    } else if (behaviour === 'builds') expect(err).toMatch(NOTE);
    else expect(err).not.toMatch(NOTE);
    // Bad input ends some of them before they run anything.
    if (behaviour !== 'runs none' && behaviour !== 'refuses' && status !== 2)
      expect(out).toContain(hashController(readControllerSources(copy.root)));
  });

  it('replay has the verdict of the edited sources', async () => {
    expect((await copy.json<{ counts: object }>('replay', 'target-step')).counts).toMatchObject({ outputsDiffer: 1 });
  });
});

describe('with a stale plant', () => {
  it('commands build the working tree and say so, or refuse', async () => {
    cpSync(join(PROJECT.root, 'assembly/plant'), copy.path('assembly/plant'), { recursive: true });
    const notes: string[] = [];
    const job = { note: (text: string) => void notes.push(text), cwd: copy.root };
    const plant = { root: copy.root, wasm: copy.path('dist/plant.wasm') };
    writeBinary(plant.wasm, await compilePlant(copy.root));
    await currentPlant(job, 'refuse', plant);
    appendFileSync(copy.path('assembly/plant/wheel.ts'), '// An edit.\n');
    await expect(currentPlant(job, 'refuse', plant)).rejects.toThrow('the binary is stale: assembly/plant was edited');
    expect(notes).toEqual([]);
    const built = await currentPlant(job, 'build', plant);
    expect(notes).toEqual([expect.stringContaining('note: dist/plant.wasm is stale: assembly/plant was edited')]);
    expect(WebAssembly.Module.exports(built).length).toBeGreaterThan(0);
  });
});
