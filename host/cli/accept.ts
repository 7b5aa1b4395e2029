import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, text, today, words } from './answer.js';

interface Flags {
  readonly by: string;
  readonly reason: string;
  readonly json?: boolean;
}

async function accept(this: Context, flags: Flags, ...names: string[]): Promise<void> {
  await answer(this, flags, async () => {
    const [{ loadController }, { prepareAcceptance, writeAcceptances }, { readCase }, { acceptanceTable }] = await Promise.all([
      import('../target/wasm.js'),
      import('../vector/accept.js'),
      import('../vector/case.js'),
      import('../report/verdicts.js'),
    ]);
    const { InputError } = await import('../files/input-error.js');
    if (names.length === 0)
      throw new InputError({ file: 'latchbench accept', what: 'no case named', allowed: 'the cases whose outputs are to be accepted' });
    const controller = loadController();
    const approval = { by: flags.by, reason: flags.reason, date: today() };
    // Everything is prepared before anything is written: one case that is not in order leaves all as they were.
    const results = names.map((name) => prepareAcceptance(controller, readCase(name), approval));
    writeAcceptances(results);
    return { text: acceptanceTable(results), json: { cases: results.map(({ files: _, ...result }) => result) }, holds: true };
  });
}

export const acceptCommand = buildCommand({
  docs: {
    brief: 'Take the present outputs of vectors for right, with a name and a reason',
    fullDescription:
      'Rewrites expected.csv of the named vectors from the controller that ships and adds an acceptance to case.yaml: date, name, ' +
      'reason, the signals that changed and the hash of the new outputs. It is the only way to change what a vector expects.',
  },
  parameters: {
    positional: { kind: 'array', parameter: { brief: 'Vectors by name or folder', parse: text, placeholder: 'case' } },
    flags: {
      by: { kind: 'parsed', parse: words, brief: 'Who accepts', placeholder: 'name' },
      reason: { kind: 'parsed', parse: words, brief: 'Why the new outputs are right', placeholder: 'text' },
      json: jsonFlag,
    },
  },
  func: accept,
});
