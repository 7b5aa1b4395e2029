import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench } from './support/command.js';
import { PROJECT } from './support/project.js';

const ROOT = PROJECT.root;

/** Words that DEVELOPERS.md may have: it is the map, details stand beside the code. */
const MAP_WORDS_MAX = 1800;
/** Files in backticks that are the reader's own, or that a build makes. */
const NOT_IN_GIT = new Set([
  'protocol.h',
  'controller.c',
  'log.csv',
  'map.yaml',
  'log.mcap',
  'pass.mcap',
  'current.yaml',
  'fitted.yaml',
  'review.html',
  'rig.yaml',
  'run.mcap',
]);

const DOCUMENTS = ['README.md', 'DEVELOPERS.md', ...readmesBelow('host'), ...readmesBelow('assembly')];
const read = (path: string): string => readFileSync(join(ROOT, path), 'utf8');
const scripts = Object.keys(JSON.parse(read('package.json')).scripts);

function readmesBelow(folder: string): string[] {
  const all = readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' });
  return all.filter((path) => path.endsWith('README.md')).map((path) => join(folder, path));
}

/** Every first group of a pattern in a text, once. */
const all = (text: string, pattern: RegExp): string[] => [...new Set([...text.matchAll(pattern)].map(([, found = '']) => found))];

const subcommands = new Map<string, readonly string[]>();
/** Names that a command group lists in its help. */
async function namesIn(...group: string[]): Promise<readonly string[]> {
  const key = group.join(' ');
  if (!subcommands.has(key)) subcommands.set(key, all((await latchbench(...group, '--help')).out, /^ {2}(\w[\w-]*) {2,}\w/gm));
  return subcommands.get(key) ?? [];
}

describe.each(DOCUMENTS)('%s names only what exists', (document) => {
  const text = read(document);
  const prose = text.replace(/```[\s\S]*?```/g, '');

  it('links', () => {
    const links = all(prose, /\]\(([^)#]+)\)/g).filter((link) => !existsSync(join(ROOT, dirname(document), link)));
    expect(links).toEqual([]);
  });

  it('paths from the top of the project', () => {
    const paths = all(prose, /`((?:host|shared|tests|assembly|vectors|dist|\.ci)\/[^`*…A-Z]+)`/g);
    expect(paths.filter((path) => !path.startsWith('dist/') && !existsSync(join(ROOT, path)))).toEqual([]);
  });

  it('files by their bare names', () => {
    const names = all(prose, /`([\w-]+\.(?:ts|c|h|ld|mjs|yaml|csv|mcap))`/g).filter((name) => !NOT_IN_GIT.has(name));
    const tree = ['host', 'assembly', 'shared', 'vectors', 'tests'].flatMap((folder) =>
      readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' }),
    );
    const known = new Set(tree.map((path) => path.slice(path.lastIndexOf('/') + 1)));
    expect(names.filter((name) => !known.has(name))).toEqual([]);
  });

  it('npm scripts', () => {
    const named = all(text, /npm run (?:--silent )?([\w:]+)/g);
    expect(named.filter((name) => !scripts.includes(name))).toEqual([]);
  });

  it('commands of latchbench', async () => {
    const lines = all(text, /npx latchbench ((?:[a-z]+)(?: [a-z]+)?)/g).map((line) => line.split(' '));
    const [commands, ofChip] = [await namesIn(), await namesIn('chip')];
    const isKnown = ([name = '', second]: readonly string[]): boolean =>
      commands.includes(name) && (name !== 'chip' || second === undefined || ofChip.includes(second));
    expect(lines.filter((line) => !isKnown(line))).toEqual([]);
  });
});

describe('DEVELOPERS.md', () => {
  const text = read('DEVELOPERS.md');

  it(`is a map of at most ${MAP_WORDS_MAX} words`, () => {
    expect(text.split(/\s+/).filter((word) => /\w/.test(word)).length).toBeLessThanOrEqual(MAP_WORDS_MAX);
  });

  it('has every folder of the host and of assembly in its map', () => {
    const map = /```\n(shared\/[\s\S]*?)```/.exec(text)?.[1] ?? '';
    const folders = ['host', 'assembly'].flatMap((top) =>
      readdirSync(join(ROOT, top), { withFileTypes: true })
        .filter((one) => one.isDirectory())
        .map(({ name }) => name),
    );
    expect(folders.filter((name) => !new RegExp(`^  ${name}/ `, 'm').test(map))).toEqual([]);
  });

  it('links to every README beside the code', () => {
    const links = all(text, /\]\(([^)]+README\.md)\)/g);
    expect(links).toEqual(expect.arrayContaining(DOCUMENTS.slice(2)));
  });
});
