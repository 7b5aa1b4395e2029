import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, progressOf, text } from './answer.js';
import { noteIfStale } from './stale.js';

interface Flags {
  readonly controller?: string;
  readonly junit?: string;
  readonly record?: string;
  readonly json?: boolean;
}

async function replay(this: Context, flags: Flags, ...names: string[]): Promise<void> {
  await answer(this, flags, async () => {
    const [
      { loadController },
      { replayAndRecord, replayCase },
      { caseNames, checkAccepted, readCase },
      { countVerdicts, verdictTable },
      files,
    ] = await Promise.all([
      import('../runner/wasm-runner.js'),
      import('../vector/replay-case.js'),
      import('../vector/case.js'),
      import('../report/vector/verdicts.js'),
      import('../common/write-atomic.js'),
    ]);
    const controller = loadController(flags.controller);
    if (flags.controller === undefined) await noteIfStale(this, controller.description.sourceHash);
    const cases = (names.length > 0 ? names : caseNames()).map((name) => readCase(name));
    // Before anything is run or written: one case that is not in order ends it all.
    for (const one of cases) checkAccepted(one);
    const recordings =
      flags.record === undefined
        ? []
        : files.distinctTargets(
            flags.record,
            cases.map(({ name }) => `${name}.mcap`),
          );
    for (const recording of recordings) files.refuseOverwritingInput(recording, ...cases.map(({ inputFile }) => inputFile));
    const progress = progressOf(this, flags.json);
    const begin = performance.now();
    try {
      const results = cases.map((one, index) => {
        progress.say(`replaying ${index + 1} of ${cases.length}: ${one.name}`);
        const recording = recordings[index];
        return recording === undefined ? replayCase(controller, one) : replayAndRecord(controller, one, recording);
      });
      const seconds = (performance.now() - begin) / 1000;
      if (flags.junit !== undefined) {
        files.refuseOverwritingInput(
          flags.junit,
          ...cases.flatMap(({ caseFile, expectedFile, inputFile }) => [caseFile, expectedFile, inputFile]),
        );
        files.writeAtomic(flags.junit, (await import('../report/vector/replay-junit.js')).junitReport(results, seconds));
      }
      const counts = countVerdicts(results);
      const { version, sourceHash, contract } = controller.description;
      const json = { controller: { version, sourceHash, contractHash: contract.hash }, counts, cases: results };
      return { text: verdictTable(results, seconds), json, holds: counts.same === results.length };
    } finally {
      progress.done();
    }
  });
}

export const replayCommand = buildCommand({
  docs: {
    brief: 'Run vectors through the controller and say exactly what changed',
    fullDescription:
      'Feeds the recorded inputs of each vector to the controller that ships and compares every output with what was accepted, ' +
      'tick by tick and without tolerance. Exit code 0: all the same. 1: something changed, or the controller stopped. 2: bad input.',
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: { brief: 'Vectors by name or folder; all of vectors/cases if none', parse: text, placeholder: 'case' },
    },
    flags: {
      controller: {
        kind: 'parsed',
        parse: text,
        brief: 'Controller binary; dist/controller.wasm if not given',
        optional: true,
        placeholder: 'file',
      },
      junit: { kind: 'parsed', parse: text, brief: 'Write the verdicts as a JUnit XML report too', optional: true, placeholder: 'file' },
      record: {
        kind: 'parsed',
        parse: text,
        brief: 'Record inputs, outputs and every value in between: one file for each vector in this folder',
        optional: true,
        placeholder: 'folder',
      },
      json: jsonFlag,
    },
  },
  func: replay,
});
