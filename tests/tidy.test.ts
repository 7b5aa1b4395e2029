import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { PROJECT } from './support/project.js';

const LINES_MOST = 50;

function sources(...folders: string[]): string[] {
  return folders.flatMap((folder) =>
    readdirSync(join(PROJECT.root, folder), { recursive: true, encoding: 'utf8' })
      .filter((path) => path.endsWith('.ts') && !path.includes('generated'))
      .map((path) => join(folder, path)),
  );
}

const run = (...words: string[]): { status: number | null; output: string } => {
  const { status, stdout, stderr } = spawnSync('npx', ['--no-install', ...words], { cwd: PROJECT.root, encoding: 'utf8' });
  return { status, output: stdout + stderr };
};

/** Functions longer than the limit, as `path:line name lines`. */
function longFunctions(path: string): string[] {
  const file = ts.createSourceFile(path, readFileSync(join(PROJECT.root, path), 'utf8'), ts.ScriptTarget.Latest, true);
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isFunctionLike(node) && 'body' in node && node.body !== undefined) {
      const first = file.getLineAndCharacterOfPosition(node.getStart(file)).line;
      const lines = file.getLineAndCharacterOfPosition(node.end).line - first + 1;
      if (lines > LINES_MOST) found.push(`${path}:${first + 1} ${lines} lines`);
    }
    ts.forEachChild(node, visit);
  };
  visit(file);
  return found;
}

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

  it(`no function is longer than ${LINES_MOST} lines`, () => {
    const found = sources('shared', 'host', 'assembly').flatMap(longFunctions);
    expect(found).toEqual([]);
  });

  it('formatter and linter have nothing to say', () => {
    const { status, output } = run('biome', 'check', '--error-on-warnings', '.');
    expect(output).toContain('Checked');
    expect(status, output).toBe(0);
  });

  it('no module of the host reads a clock but commands, builds and benchmarks', () => {
    const found = sources('host').filter(
      (path) =>
        !/^host\/(cli|bench|build\/)/.test(path) &&
        /Date\.now|new Date\(|performance\.now|Math\.random/.test(readFileSync(join(PROJECT.root, path), 'utf8')),
    );
    expect(found).toEqual([]);
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

  it('every npm script stands in DEVELOPERS.md', () => {
    const { scripts } = JSON.parse(readFileSync(join(PROJECT.root, 'package.json'), 'utf8'));
    const text = readFileSync(join(PROJECT.root, 'DEVELOPERS.md'), 'utf8');
    const missing = Object.keys(scripts).filter((name) => !text.includes(`\`npm run ${name}\``) && !text.includes(`\`npm ${name}\``));
    expect(missing).toEqual([]);
  });
});
