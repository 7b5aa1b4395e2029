import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, progressOf, text } from './answer.js';

interface Flags {
  readonly controller?: string;
  readonly junit?: string;
  readonly record?: string;
  readonly json?: boolean;
}

async function replay(this: Context, flags: Flags, ...names: string[]): Promise<void> {
  await answer(this, flags, async () => {
    const [{ loadController }, { replayAndRecord, replayCase }, { caseNames, readCase }, { countVerdicts, verdictTable }] =
      await Promise.all([
        import('../target/wasm.js'),
        import('../replay/replay.js'),
        import('../vector/case.js'),
        import('../report/verdicts.js'),
      ]);
    const controller = loadController(flags.controller);
    const cases = (names.length > 0 ? names : caseNames()).map((name) => readCase(name));
    const progress = progressOf(this, flags.json);
    const begin = performance.now();
    const results = cases.map((one, index) => {
      progress.say(`replaying ${index + 1} of ${cases.length}: ${one.name}`);
      return flags.record === undefined
        ? replayCase(controller, one)
        : replayAndRecord(controller, one, `${flags.record}/${one.name}.mcap`);
    });
    progress.done();
    const seconds = (performance.now() - begin) / 1000;
    if (flags.junit !== undefined) {
      const [{ junitReport }, { writeAside }] = await Promise.all([import('../report/junit.js'), import('../files/write-aside.js')]);
      writeAside(flags.junit, junitReport(results, seconds));
    }
    const counts = countVerdicts(results);
    const { version, sourceHash, contract } = controller.description;
    const json = { controller: { version, sourceHash, contractHash: contract.hash }, counts, cases: results };
    return { text: verdictTable(results, seconds), json, holds: counts.same === results.length };
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
