import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, text, today, words } from './answer.js';

interface Flags {
  readonly by: string;
  readonly reason: string;
  readonly signals?: readonly string[];
  readonly dryRun?: boolean;
  readonly json?: boolean;
}

/** `supplyOrder,mode`: names of signals. */
const signalNames = (list: string): string[] => list.split(',').map(words);

async function accept(this: Context, flags: Flags, ...names: string[]): Promise<void> {
  await answer(this, flags, async () => {
    const [{ loadController }, { prepareAcceptance, writeAcceptances }, { readCase }, { acceptanceTable, writtenLine }] = await Promise.all(
      [
        import('../runner/wasm-runner.js'),
        import('../vector/accept.js'),
        import('../vector/case.js'),
        import('../report/vector/verdicts.js'),
      ],
    );
    const { InputError } = await import('../common/input-error.js');
    if (names.length === 0)
      throw new InputError({ file: 'latchbench accept', what: 'no case named', allowed: 'the cases whose outputs are to be accepted' });
    const controller = loadController();
    const { by, reason, signals, dryRun = false } = flags;
    const approval = { by, reason, signals, date: today() };
    // Everything is prepared before anything is written: one case that is not in order leaves all as they were.
    const results = names.map((name) => prepareAcceptance(controller, readCase(name), approval));
    // What is about to be accepted is said before it is.
    if (flags.json !== true) this.process.stdout.write(acceptanceTable(results));
    if (!dryRun) writeAcceptances(results);
    const json = { written: !dryRun, cases: results.map(({ files: _, ...result }) => result) };
    return { text: writtenLine(results, dryRun), json, holds: true };
  });
}

export const acceptCommand = buildCommand({
  docs: {
    brief: 'Take the present outputs of vectors for right, with a name and a reason',
    fullDescription:
      'Rewrites expected.csv of the named vectors from the controller that ships and adds an acceptance to case.yaml: date, name, ' +
      'reason, the signals that changed, the hash of the new outputs and a digest of each signal’s, by which replay sees that nothing ' +
      'else was accepted with them. What is about to be accepted is shown first. It is the only way to change what a vector expects.',
  },
  parameters: {
    positional: { kind: 'array', parameter: { brief: 'Vectors by name or folder', parse: text, placeholder: 'case' } },
    flags: {
      by: { kind: 'parsed', parse: words, brief: 'Who accepts', placeholder: 'name' },
      reason: { kind: 'parsed', parse: words, brief: 'Why the new outputs are right', placeholder: 'text' },
      signals: {
        kind: 'parsed',
        parse: signalNames,
        brief: 'Signals that may have changed, with commas between: if others have, nothing is accepted',
        optional: true,
        placeholder: 'names',
      },
      dryRun: { kind: 'boolean', brief: 'Say what would be accepted, and write nothing', optional: true, withNegated: false },
      json: jsonFlag,
    },
  },
  func: accept,
});
