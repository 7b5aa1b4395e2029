import { cpSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildController } from '../../host/build/build-controller.js';
import { ROOT } from '../../host/common/project.js';
import { openRecording } from '../../host/recording/reader.js';
import { type Build, readBuild } from '../../host/review/builds.js';
import { reviewSides } from '../../host/review/compare.js';
import { traceLocator } from '../../host/review/locate.js';
import type { RunReview } from '../../host/review/review.js';
import { createWasmRunner } from '../../host/runner/wasm-runner.js';
import { readCase, type VectorCase } from '../../host/vector/case.js';
import { temporaryFolder } from '../support/command.js';
import { HARMLESS_EDITS, HARMLESS_HEAD, SEEDED_BUGS, type SeededBug } from '../support/seeded-bugs.js';

const folder = temporaryFolder();

/** Little optimisation: what is computed is the same, and the compiler needs a third of the time. */
const QUICK = ['--optimizeLevel', '1'];

/** A copy of the sources in a folder of its own. */
function copySources(name: string): string {
  const root = join(folder, name);
  mkdirSync(join(root, 'assembly'), { recursive: true });
  cpSync(join(ROOT, 'assembly', 'controller'), join(root, 'assembly', 'controller'), { recursive: true });
  cpSync(join(ROOT, 'asconfig.json'), join(root, 'asconfig.json'));
  return root;
}

/** Replaces a text that stands in a file once. @returns its line, from 1 */
function patch(root: string, { file, find, replace }: Pick<SeededBug, 'file' | 'find' | 'replace'>): number {
  const path = join(root, 'assembly', 'controller', file);
  const parts = readFileSync(path, 'utf8').split(find);
  expect(parts, `“${find}” stands once in ${file}`).toHaveLength(2);
  writeFileSync(path, parts.join(replace));
  return parts[0]?.split('\n').length ?? 0;
}

/** Makes the edits that change nothing. */
function editHarmlessly(root: string): void {
  for (const one of HARMLESS_EDITS) patch(root, one);
  const sources = join(root, 'assembly', 'controller');
  for (const file of readdirSync(sources).filter((name) => name.endsWith('.ts'))) {
    writeFileSync(join(sources, file), HARMLESS_HEAD + readFileSync(join(sources, file), 'utf8'));
  }
}

async function buildIn(root: string): Promise<Build> {
  const file = join(root, 'controller.wasm');
  await buildController(root, file, 'test', QUICK);
  return readBuild(file, file);
}

/** The first tick whose memory differs in any byte, found by nothing but running both: -1 after configure(). */
function firstDifferentTick(old: Build, fresh: Build, { rows, values, inputFile }: VectorCase): number {
  const [a, b] = [old, fresh].map(({ controller }) => createWasmRunner(controller, rows, values));
  if (a === undefined || b === undefined) throw new Error('two targets');
  const differs = (): boolean => !Buffer.from(a.output.buffer).equals(Buffer.from(b.output.buffer));
  if (differs()) return -1;
  for (const { tick, payload } of openRecording(inputFile).messages({ messages: ['input'] })) {
    for (const target of [a, b]) {
      target.input.set(payload);
      try {
        target.tick();
      } catch {
        return tick;
      }
    }
    if (differs()) return tick;
  }
  return Number.NaN;
}

interface Found {
  readonly bug: SeededBug;
  readonly line: number;
  readonly tick: number;
  readonly review: RunReview;
  readonly seconds: number;
}

describe('one-line bugs planted in copies of the controller', () => {
  const found: Found[] = [];

  beforeAll(async () => {
    const old = await buildIn(copySources('old'));
    for (const [index, bug] of SEEDED_BUGS.entries()) {
      const root = copySources(`bug-${index}`);
      patch(root, bug);
      editHarmlessly(root);
      const line =
        readFileSync(join(root, 'assembly', 'controller', bug.file), 'utf8')
          .split(bug.replace)[0]
          ?.split('\n').length ?? 0;
      const fresh = await buildIn(root);
      const one = readCase(bug.vector);
      const sides = { old: { build: old }, new: { build: fresh } };
      const begin = performance.now();
      const { runs } = await reviewSides(sides, { cases: [one] }, traceLocator(sides));
      const seconds = (performance.now() - begin) / 1000;
      found.push({ bug, line, tick: firstDifferentTick(old, fresh, one), review: runs[0] as RunReview, seconds });
    }
    const slowest = Math.max(...found.map(({ seconds }) => seconds));
    process.stderr.write(`${found.length} planted bugs found in ${slowest.toFixed(2)} s each at most, after their builds\n`);
  }, 300_000);

  it('is about thirty of them or more, in every file', () => {
    expect(SEEDED_BUGS.length).toBeGreaterThanOrEqual(30);
    expect(new Set(SEEDED_BUGS.map(({ file }) => file)).size).toBeGreaterThanOrEqual(15);
  });

  it('every bug is found in the right tick', () => {
    expect(found.map(({ review }) => review.first?.tick)).toEqual(found.map(({ tick }) => tick));
  });

  it('the right variable', () => {
    const wrong = found.filter(({ bug, review }) => review.first?.signal !== bug.signal);
    expect(wrong.map(({ bug, review }) => `${bug.find}: ${review.first?.signal}`)).toEqual([]);
  });

  it('the right source line', () => {
    const wrong = found.filter(({ bug, line, review }) => {
      const at = review.first?.line;
      return at?.file !== `assembly/controller/${bug.file}` || at.line !== line;
    });
    expect(wrong.map(({ bug, review }) => `${bug.find}: ${review.first?.line?.file}:${review.first?.line?.line}`)).toEqual([]);
  });
});
