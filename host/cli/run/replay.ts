import { mkdirSync } from 'node:fs';
import { distinctTargets, refuseOverwritingInput, writeAtomic } from '../../common/write-atomic.js';
import { countVerdicts } from '../../replay/verdict.js';
import { junitReport } from '../../report/vector/replay-junit.js';
import { verdictTable } from '../../report/vector/verdicts.js';
import { identifyBuild } from '../../review/builds.js';
import { replayAndRecord, replayVector } from '../../vector/replay-vector.js';
import { checkAccepted, readVector, vectorNames } from '../../vector/vector.js';
import { command } from '../context.js';
import { namedController } from './binaries.js';

interface Flags {
  readonly controller?: string;
  readonly junit?: string;
  readonly record?: string;
  readonly json?: boolean;
}

export default command<Flags, string[]>(async (job, flags, ...names) => {
  const { project, progress } = job;
  const build = await namedController(job, flags.controller);
  const { controller } = build;
  const vectors = (names.length > 0 ? names : vectorNames(project)).map((name) => readVector(project, name));
  // Before anything is run or written: one invalid vector refuses all.
  for (const vector of vectors) checkAccepted(vector);
  const recordNames = vectors.map(({ name }) => `${name}.mcap`);
  const recordings = flags.record === undefined ? [] : distinctTargets(flags.record, recordNames);
  for (const recording of recordings) refuseOverwritingInput(recording, ...vectors.map(({ inputFile }) => inputFile));
  if (flags.junit !== undefined)
    refuseOverwritingInput(flags.junit, ...vectors.flatMap(({ caseFile, expectedFile, inputFile }) => [caseFile, expectedFile, inputFile]));
  if (flags.record !== undefined) mkdirSync(flags.record, { recursive: true });
  const start = performance.now();
  const results = vectors.map((vector, index) => {
    progress.show(`replaying ${index + 1} of ${vectors.length}: ${vector.name}`);
    const recording = recordings[index];
    return recording === undefined ? replayVector(controller, vector) : replayAndRecord(controller, vector, recording);
  });
  const seconds = (performance.now() - start) / 1000;
  if (flags.junit !== undefined) writeAtomic(flags.junit, junitReport(results, seconds));
  const counts = countVerdicts(results);
  const made = identifyBuild(build);
  const json = { controller: made, counts, vectors: results };
  return { text: verdictTable(results, seconds, made), json, passed: counts.same === results.length };
});
