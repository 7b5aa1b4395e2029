import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { SUMMARIES } from '../../host/replay/change.js';
import type { Build } from '../../host/review/builds.js';
import { type PairResult, runBoth } from '../../host/review/run-both.js';
import { recordedPair } from '../../host/review/run-pair.js';
import type { DifferenceClass } from '../../host/review/shrink/difference-class.js';
import type { Shrunk } from '../../host/review/shrink/shrink.js';
import { addShrunkVector, shrinkSubject, subjectOf } from '../../host/review/shrink/shrink-vector.js';
import { loadPlant } from '../../host/simulate/plant.js';
import { defaultSettings } from '../../host/simulate/run.js';
import { readScenario } from '../../host/simulate/scenario.js';
import { recordScenario } from '../../host/vector/record-scenario.js';
import { replayVector } from '../../host/vector/replay-vector.js';
import { readVector, type VectorCase } from '../../host/vector/vector.js';
import { buildPatched } from './patched-controller.js';
import { PROJECT } from './project.js';
import type { PlantedFailure } from './seeded-bugs.js';
import { temporaryFolder } from './temporary-folder.js';

export const APPROVAL = { by: 'A. Reviewer', reason: 'A test', date: '2025-01-01' };

/** Enough for a test; the command makes more by default. */
const TRIES = 350;

/** Both builds over a vector as it is on disk, run by what `compare` uses, which knows nothing of shrinking. */
const compareRuns = (one: VectorCase, base: Build, head: Build): PairResult =>
  runBoth(recordedPair(one, { controller: base.controller, values: one.values }, { controller: head.controller, values: one.values }));

/** Whether a run shows a class of difference. */
function shows({ stopped, divergences }: PairResult, found: DifferenceClass): boolean {
  if (found.kind === 'stopped') return stopped[found.side === 'base' ? 'base' : 'head']?.message === found.message;
  const outputs = divergences.filter(({ kind, signal }) => kind === 'output' && !SUMMARIES.includes(signal));
  if (found.kind === 'stateDiffers') {
    const first = divergences.find(({ tick, kind }) => tick >= 0 && kind !== 'output');
    return outputs.length === 0 && first?.signal === found.signal;
  }
  const first = outputs[0];
  const scope = first?.row === 0 ? 'bank' : 'row';
  return first?.signal === found.signal && scope === found.scope && first.base === found.base && first.head === found.head;
}

export interface ShrunkFailure {
  readonly failure: PlantedFailure;
  readonly shrunk: Shrunk;
  /** First tick in which the failure shows in the vector that is shrunk. */
  readonly firstTick: number;
}

/** Records the run of tests/support/eventful-pass.yaml as a vector. */
function recordPass(base: Build, path: string): string {
  const scenario = readScenario(PROJECT, join(PROJECT.root, 'tests', 'support', 'eventful-pass.yaml'));
  recordScenario({ controller: base.controller, plant: loadPlant() }, scenario, defaultSettings(scenario), path, APPROVAL);
  return path;
}

/** Tests that each failure shrinks to a vector that still shows it. Returns the results, which are complete after these tests. */
export function testShrinking(failures: readonly PlantedFailure[]): readonly ShrunkFailure[] {
  const folder = temporaryFolder();
  const results: ShrunkFailure[] = [];
  let base: Build;
  let pass: string;

  beforeAll(async () => {
    base = await buildPatched();
    if (failures.some(({ vector }) => vector === 'pass')) pass = recordPass(base, join(folder, 'eventful-pass'));
  });

  afterAll(() => {
    const lines = results.map(({ failure: { name, vector, kind }, shrunk: { before, after }, firstTick }) => {
      const share = ((100 * after.ticks) / before.ticks).toFixed(2);
      return `${name} (${vector}, ${kind}, tick ${firstTick}): ${before.ticks} → ${after.ticks} ticks, ${share} %; ${before.rows} → ${after.rows} rows`;
    });
    process.stdout.write(`${lines.join('\n')}\n`);
  });

  it.each(failures.map((failure, index) => [failure.name, failure, index] as const))('%s', async (_, failure, index) => {
    const head = await buildPatched(failure);
    const subject = subjectOf(readVector(PROJECT, failure.vector === 'pass' ? pass : failure.vector), { base: base, head: head }, TRIES);
    expect(subject.difference.class.kind).toBe(failure.kind);
    const shrunk = shrinkSubject(subject, true, () => {});
    const path = join(folder, `shrunk-${index}`);
    addShrunkVector(subject, shrunk, path, APPROVAL);
    const one = readVector(PROJECT, path);
    expect(shows(compareRuns(one, base, head), shrunk.class)).toBe(true);
    // As a vector it tells the two builds apart.
    const verdicts = [base, head].map(({ controller }) => replayVector(controller, one).verdict);
    expect(verdicts[0]).toBe('same');
    // What is left of other outputs may be a stroke that only moved.
    expect(failure.kind === 'outputsDiffer' ? ['outputsDiffer', 'timingDiffers'] : [failure.kind]).toContain(verdicts[1]);
    results.push({ failure, shrunk, firstTick: subject.difference.tick });
  });
  return results;
}
