import { beforeAll, expect, it } from 'vitest';
import type { SourceTree } from '../../host/build/sources.js';
import { openRecording } from '../../host/recording/reader.js';
import type { Build } from '../../host/review/builds.js';
import { findCauses } from '../../host/review/causes/find-causes.js';
import { reviewHere } from '../../host/review/review-engine.js';
import type { RunPlan } from '../../host/review/review-task.js';
import { createWasmRunner } from '../../host/runner/wasm-runner.js';
import { readVector, type VectorCase } from '../../host/vector/vector.js';
import { buildFrom, lineOf, patchSources } from './patched-controller.js';
import { PROJECT } from './project.js';
import { HARMLESS_EDITS, HARMLESS_HEAD, type SeededBug } from './seeded-bugs.js';

/** Compiled once, for running and for tracing. */
const build = (sources: SourceTree): Promise<Build> => buildFrom(sources, { optimisation: 'none' });

const withHead = (sources: SourceTree): SourceTree => new Map([...sources].map(([path, text]) => [path, HARMLESS_HEAD + text]));

/** The first tick after which any byte of memory differs, found by running both and nothing else: -1 after configure(). */
function firstDifferentTick(base: Build, head: Build, { rows, values, inputFile }: VectorCase): number {
  const runners = [base, head].map(({ controller }) => createWasmRunner(controller, rows, values));
  const [a, b] = runners.map(({ output }) => Buffer.from(output.buffer));
  if (a === undefined || b === undefined) throw new Error('two runners');
  if (!a.equals(b)) return -1;
  for (const { tick, payload } of openRecording(inputFile).messages({ messages: ['input'] })) {
    for (const runner of runners) {
      runner.input.set(payload);
      try {
        runner.tick();
      } catch {
        return tick;
      }
    }
    if (!a.equals(b)) return tick;
  }
  return Number.NaN;
}

/** Tests that a review finds tick, signal and line of each bug, among harmless edits. */
export function testLocating(bugs: readonly SeededBug[]): void {
  let base: Build;
  beforeAll(async () => {
    base = await build(patchSources([]));
  });

  it.each(bugs.map((bug) => [`${bug.file}: ${bug.replace}`, bug] as const))('%s', async (_, bug) => {
    const sources = withHead(patchSources([bug, ...HARMLESS_EDITS]));
    const head = await build(sources);
    const one = readVector(PROJECT, bug.vector);
    const sides = { base: { build: base }, head: { build: head } };
    const [run] = await reviewHere().review([{ plan: { kind: 'vector', vector: one }, sides, depth: 'located' }]);
    expect(run?.first).toMatchObject({
      tick: firstDifferentTick(base, head, one),
      signal: bug.signal,
      suspectedLine: { file: `assembly/controller/${bug.file}`, line: lineOf(sources, bug.file, bug.replace) },
    });
  });
}

/** Tests that both bugs of a change are named as causes, each at its line. They are sought on the vectors of both, from first differences only. */
export function testPairs(pairs: readonly (readonly [SeededBug, SeededBug])[]): void {
  let base: Build;
  beforeAll(async () => {
    base = await build(patchSources([]));
  });

  it.each(pairs.map((pair) => [pair.map(({ file, replace }) => `${file}: ${replace}`).join(' and '), pair] as const))(
    '%s',
    async (_, pair) => {
      const sources = patchSources([...pair, ...HARMLESS_EDITS]);
      const sides = { base: { build: base }, head: { build: await build(sources) } };
      const engine = reviewHere(undefined, (from) => build(from.sources));
      const names = [...new Set(pair.map(({ vector }) => vector))];
      const plans = names.map((name): RunPlan => ({ kind: 'vector', vector: readVector(PROJECT, name) }));
      const runs = await engine.review(plans.map((plan) => ({ plan, sides, depth: 'located' })));
      const { causes } = await findCauses(engine, sides, { runs, parameters: [] }, plans);
      const places = causes.map(({ first, check }) => [first.suspectedLine?.file, first.suspectedLine?.line, check]);
      for (const { file, replace } of pair)
        expect(places).toContainEqual([`assembly/controller/${file}`, lineOf(sources, file, replace), 'putBack']);
    },
  );
}
