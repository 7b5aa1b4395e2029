import { readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import type { Noise } from '../noise.js';
import { PROJECT } from '../project.js';
import { lineAt, type Malformed, sample } from './malformed.js';
import { MUTATIONS, type Mutant, WHOLE, without } from './yaml-mutations.js';
import { sitesIn } from './yaml-sites.js';

/** A kind of YAML file: valid ones, and the command that reads one. */
interface YamlKind {
  readonly kind: string;
  /** Path below the folder of the command. */
  readonly path: string;
  readonly argv: readonly string[];
  readonly sources: readonly string[];
  /** Other files that the command needs. */
  readonly files?: Readonly<Record<string, string>>;
  readonly required: readonly string[];
  /** Makes a copy of the text independent of its folder. */
  readonly prepare?: (text: string) => string;
}

const DATA = join(PROJECT.root, 'vectors');
const yamlIn = (folder: string): string[] =>
  readdirSync(join(DATA, folder))
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => join(DATA, folder, name));

const KINDS: readonly YamlKind[] = [
  {
    kind: 'parameters',
    path: 'mine.yaml',
    argv: ['parameters', 'mine.yaml'],
    sources: yamlIn('parameters'),
    required: [],
  },
  {
    kind: 'scenario',
    path: 'field.yaml',
    argv: ['simulate', 'field.yaml', '-o', 'run.mcap'],
    sources: yamlIn('scenarios').filter((file) => !file.endsWith('recorded-profile.yaml')),
    required: ['title', 'story', 'rows', 'seconds'],
  },
  {
    kind: 'machine',
    path: 'planter.yaml',
    argv: ['size', 'planter.yaml', '--html', 'sheet.html'],
    sources: yamlIn('machines'),
    required: ['title'],
  },
  {
    kind: 'catalogue',
    path: 'parts.yaml',
    argv: ['size', 'default', '--search', 'parts.yaml', '-o', 'search'],
    sources: yamlIn('catalogues'),
    required: ['title', 'scenario', 'choices'],
  },
  {
    kind: 'case',
    path: 'vector/case.yaml',
    argv: ['replay', './vector', '--junit', 'verdicts.xml'],
    sources: readdirSync(PROJECT.vectors).map((name) => join(PROJECT.vectors, name, 'case.yaml')),
    required: ['title', 'why', 'origin', 'rows', 'tickHz'],
  },
  {
    kind: 'mapping',
    path: 'log.map.yaml',
    argv: ['import', 'log.csv', '--map', 'log.map.yaml', '-o', 'log.mcap'],
    sources: yamlIn('measured'),
    files: { 'log.csv': 't_s,acc_nm_s2\n0,-143\n1,-114\n' },
    required: ['rows', 'signals'],
  },
  {
    kind: 'tuning',
    path: 'search.yaml',
    argv: ['tune', 'search.yaml', '-o', 'found.yaml'],
    sources: yamlIn('tuning'),
    required: ['title', 'scenarios', 'seeds', 'evaluations'],
    prepare: (text) => text.replaceAll(/(fields\/|\.\.\/parameters\/)/g, `${join(DATA, 'tuning')}/$1`),
  },
];

function malformed(one: YamlKind, mistake: string, source: string, { text, at }: Mutant): Malformed {
  const lines = [at].flat().map((offset) => lineAt(text, offset));
  return {
    kind: one.kind,
    mistake,
    detail: `${basename(source)} line ${lines.join(' or ')}`,
    files: { ...one.files, [one.path]: text },
    argv: one.argv,
    places: lines.map((line) => `${one.path}:${line}:`),
  };
}

/** Returns mistakes in YAML files of every kind: up to `count` of each kind of mistake, at places that the seed chooses. */
export function malformedYaml(count: number, noise: Noise): Malformed[] {
  return KINDS.flatMap((one) => {
    const { prepare = (text: string) => text } = one;
    const texts = one.sources.map((source) => ({ source, text: prepare(readFileSync(source, 'utf8')) }));
    const sites = texts.flatMap(({ source, text }) => sitesIn(source, text));
    const [{ source = '', text = '' } = {}] = sample(texts, 1, noise);
    return [
      ...MUTATIONS.flatMap(({ mistake, fits, make }) =>
        sample(sites.filter(fits), count, noise).map((site) => malformed(one, mistake, site.file, make(site))),
      ),
      ...WHOLE.map(({ mistake, make }) => malformed(one, mistake, source, make(text))),
      ...one.required.map((key) => malformed(one, `no key ${key}`, source, without(text, key))),
    ];
  });
}
