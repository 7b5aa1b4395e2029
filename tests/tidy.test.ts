import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { PROJECT } from './support/project.js';

const LINES_MAX = 50;

function sources(...folders: string[]): string[] {
  return folders.flatMap((folder) =>
    readdirSync(join(PROJECT.root, folder), { recursive: true, encoding: 'utf8' })
      .filter((path) => path.endsWith('.ts') && !path.includes('generated'))
      .map((path) => join(folder, path)),
  );
}

/** The list of all imports has more than the default of 1 MiB. */
const OUTPUT_BYTES_MAX = 1 << 26;

const run = (...words: string[]): { status: number | null; output: string } => {
  const options = { cwd: PROJECT.root, encoding: 'utf8', maxBuffer: OUTPUT_BYTES_MAX } as const;
  const { status, stdout, stderr } = spawnSync('npx', ['--no-install', ...words], options);
  return { status, output: stdout + stderr };
};

/** Words that trip readers, and what to write instead. */
const WORDS: readonly (readonly [word: RegExp, instead: string])[] = [
  [/\bpartings?\b|\bparts? at\b/i, 'divergence, diverges at'],
  [/\bbeliev(ed|able) line\b/i, 'suspected line'],
  [/reckon/i, 'estimate, compute'],
  [/\b(anew|afresh)\b/i, 'again'],
  [/\bfor right\b/i, 'accept'],
  [/\bsources as they are\b/i, 'working tree'],
  [/\bso many\b/i, 'a number of'],
  [/\btold\b(?! apart)/i, 'shown, reported, configured'],
  [/\bspeaks? against\b/i, 'reason, condition'],
  [/\btaken back\b/i, 'cleared'],
  [/\bin the dark\b|isDark|\.Dark\b/, 'power lost'],
  [/\bconverter codes?\b/i, 'ADC counts'],
  [/\bas it is set\b|\bwhere it is set so\b/i, 'with its settings, if so configured'],
  [/\bof (one|your|its|their) own\b/i, 'own, separate'],
  [/\bin doubt\b|\bdoubtful\b/i, 'suspect, invalid'],
  [/usual/i, 'default, typical'],
  [/[a-z](Most|Least)\b|\b(most|least)[A-Z]|_(MOST|LEAST)\b/, 'max, min'],
  [/\bgo(es|ing)? on from\b/i, 'continue, resume'],
  [/\bsurely/i, 'reliably'],
  [/\bmend(s|ed|ing)?\b/i, 'fix'],
  [/\bheed/i, 'use, respect'],
  [/\bfor want of\b/i, 'without'],
  [/\bstands? (twice|elsewhere)\b/i, 'is duplicated'],
  [/\bby itself\b/i, 'alone'],
  [/\bthe same but for\b/i, 'the same except for'],
  [/\brooms\b/i, 'folders'],
  [/’/, "a plain '"],
];

/** Lines that may use one of these words. */
const ALLOWED: readonly RegExp[] = [
  /\bat(Most|Least)\b/,
  // What was written when outputs were accepted.
  /^vectors\/cases\/.*: +reason:/,
];

/** Files that people read, with their lines. */
function* readableLines(): Generator<{ where: string; line: string }> {
  const folders = ['host', 'shared', 'assembly', 'tests', 'vectors'].flatMap((folder) =>
    readdirSync(join(PROJECT.root, folder), { recursive: true, encoding: 'utf8' }).map((path) => join(folder, path)),
  );
  const files = [...readdirSync(PROJECT.root), ...folders].filter((path) => /\.(ts|c|h|md|ya?ml|cjs|json|css)$/.test(path));
  for (const path of files.filter((file) => file !== 'tests/tidy.test.ts' && file !== 'package-lock.json')) {
    const lines = readFileSync(join(PROJECT.root, path), 'utf8').split('\n');
    for (const [index, line] of lines.entries()) yield { where: `${path}:${index + 1}`, line };
  }
}

/** Functions longer than the limit, as `path:line name lines`. */
function longFunctions(path: string): string[] {
  const file = ts.createSourceFile(path, readFileSync(join(PROJECT.root, path), 'utf8'), ts.ScriptTarget.Latest, true);
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isFunctionLike(node) && 'body' in node && node.body !== undefined) {
      const first = file.getLineAndCharacterOfPosition(node.getStart(file)).line;
      const lines = file.getLineAndCharacterOfPosition(node.end).line - first + 1;
      if (lines > LINES_MAX) found.push(`${path}:${first + 1} ${lines} lines`);
    }
    ts.forEachChild(node, visit);
  };
  visit(file);
  return found;
}

/** Modules that open files which users don't name: those of the checkout, the program's own, and new ones. */
const READERS_OF_OWN_FILES = new RegExp(
  [
    '^host/(bench|build|figures)/',
    '^host/project/(package-file|program-files)\\.ts$',
    '^host/chip/(build|line|translate)\\.ts$',
    '^host/cli/run/chip-build\\.ts$',
    '^host/common/(version|write-atomic)\\.ts$',
    '^host/review/git\\.ts$',
    '^host/rig/link/transports/(program|serial)\\.ts$',
    '^host/re(port|view)/.*(review-page|builds|commit-build)\\.ts$',
  ].join('|'),
);

const text = (path: string): string => readFileSync(join(PROJECT.root, path), 'utf8');

describe('house rules', () => {
  it('imports go in the allowed directions only, without cycles', () => {
    const { status, output } = run('depcruise', 'shared', 'host', 'assembly', '--output-type', 'json');
    const { modules, summary } = JSON.parse(output);
    // Something must have been read: with a compiler that it does not know, the tool sees no import and finds nothing wrong.
    const edges = modules.flatMap((one: { source: string; dependencies: { resolved: string }[] }) =>
      one.dependencies.map(({ resolved }) => `${one.source} ${resolved}`),
    );
    expect(edges).toContain('host/replay/replay.ts host/replay/change.ts');
    expect(edges).toContain('assembly/controller/bank.ts assembly/controller/row.ts');
    expect(summary.violations).toEqual([]);
    expect(status).toBe(0);
  });

  it('a forbidden import would be found', () => {
    const { status, output } = run('depcruise', '--config', 'tests/support/forbidden-imports.cjs', 'host/replay');
    expect(output).toContain('broken-on-purpose: host/replay/replay.ts → host/replay/change.ts');
    expect(status).toBe(1);
  });

  it(`no function is longer than ${LINES_MAX} lines`, () => {
    const found = sources('shared', 'host', 'assembly').flatMap(longFunctions);
    expect(found).toEqual([]);
  });

  it('formatter and linter have nothing to say', () => {
    const { status, output } = run('biome', 'check', '--error-on-warnings', '.');
    expect(output).toContain('Checked');
    expect(status, output).toBe(0);
  });

  it('no module of the host reads a clock but commands, builds, benchmarks and the link to boards', () => {
    const found = sources('host').filter(
      (path) =>
        !/^host\/(cli|bench|build\/|rig\/link\/clock\.ts)/.test(path) &&
        /Date\.now|new Date\(\)|performance\.now|Math\.random/.test(readFileSync(join(PROJECT.root, path), 'utf8')),
    );
    expect(found).toEqual([]);
  });

  it('files of users are read in one module only', () => {
    const found = sources('host').filter((path) => /\b(readFile|readFileSync|openSync|createReadStream|copyFileSync)\(/.test(text(path)));
    expect(found.filter((path) => !READERS_OF_OWN_FILES.test(path))).toEqual(['host/common/read-file.ts']);
  });

  it('the controller has no module-level state, no allocation and no decorated functions', () => {
    const found = sources('assembly').filter((path) =>
      /^(export )?let |\bnew [A-Z]|^@inline/m.test(readFileSync(join(PROJECT.root, path), 'utf8').replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, '')),
    );
    expect(found).toEqual([]);
  });

  it('nothing is left for later in the sources', () => {
    const found = sources('shared', 'host', 'assembly', 'tests').filter((path) =>
      /\b(TO[D]O|FIX[M]E|X[X]X|HA[C]K)\b/.test(readFileSync(join(PROJECT.root, path), 'utf8')),
    );
    expect(found).toEqual([]);
  });

  it('all text is in the words of the field', () => {
    const found = [...readableLines()].flatMap(({ where, line }) =>
      WORDS.flatMap(([word, instead]) => {
        const [match] = word.exec(line) ?? [];
        return match === undefined || ALLOWED.some((allowed) => allowed.test(`${where}: ${line}`))
          ? []
          : [`${where} “${match}”: ${instead}`];
      }),
    );
    expect(found).toEqual([]);
  });

  it('each folder of host tests has the folder that it tests', () => {
    const folders = readdirSync(join(PROJECT.root, 'tests', 'host'), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map(({ parentPath, name }) => relative(join(PROJECT.root, 'tests', 'host'), join(parentPath, name)));
    const missing = folders.filter((folder) => !['host', 'assembly'].some((tested) => existsSync(join(PROJECT.root, tested, folder))));
    expect(missing).toEqual([]);
  });

  it('DEVELOPERS.md explains every npm script', () => {
    const { scripts } = JSON.parse(readFileSync(join(PROJECT.root, 'package.json'), 'utf8'));
    const text = readFileSync(join(PROJECT.root, 'DEVELOPERS.md'), 'utf8');
    const missing = Object.keys(scripts).filter((name) => !text.includes(`\`npm run ${name}\``) && !text.includes(`\`npm ${name}\``));
    expect(missing).toEqual([]);
  });
});
