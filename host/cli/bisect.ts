import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, progressOf, text } from './answer.js';
import { fileFlag } from './review-flags.js';

interface Flags {
  readonly good: string;
  readonly bad: string;
  readonly inner?: boolean;
  readonly parameters?: string;
  readonly json?: boolean;
}

async function bisectCase(this: Context, flags: Flags, name: string): Promise<void> {
  await answer(this, flags, async () => {
    const [{ bisect }, { bisectText }, { readCase }, { readParameterFile }, { describeContract }] = await Promise.all([
      import('../review/bisect.js'),
      import('../report/review/bisect-text.js'),
      import('../vector/case.js'),
      import('../contract/parameter-values.js'),
      import('../contract/contract.js'),
    ]);
    const { good, bad, inner = false, parameters: file } = flags;
    const one = readCase(name);
    const parameters = file === undefined ? undefined : { file, values: readParameterFile(file, describeContract()) };
    const progress = progressOf(this, flags.json);
    try {
      const found = await bisect({ one, good, bad, isInner: inner, parameters }, ({ hash, subject }, left) =>
        progress.say(`${left} left: ${hash.slice(0, 10)} ${subject}`),
      );
      return { text: bisectText(found), json: found, holds: true };
    } finally {
      progress.done();
    }
  });
}

export const bisectCommand = buildCommand({
  docs: {
    brief: 'Find the commit where a vector’s outputs changed',
    fullDescription:
      'Builds commits between a good and a bad one, halving what is left, and compares their outputs with the good one’s on the inputs ' +
      'of a vector; no stored outputs are needed. Commits that touch nothing a build is made from are passed over, those that don’t ' +
      'build are stepped around, merges count as one. Where the outputs changed more than once, it is one of those commits. Neither ' +
      'working tree nor index are touched. Exit code 0: found. 2: bad input, or nothing differs.',
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Vector by name or folder', parse: text, placeholder: 'case' }] },
    flags: {
      good: { kind: 'parsed', parse: text, brief: 'A commit, branch or tag whose outputs are right', placeholder: 'ref' },
      bad: { kind: 'parsed', parse: text, brief: 'A later one whose outputs are not', default: 'HEAD', placeholder: 'ref' },
      inner: { kind: 'boolean', brief: 'Let inner state count too', optional: true, withNegated: false },
      parameters: fileFlag('Parameters in force over the vector’s own'),
      json: jsonFlag,
    },
  },
  func: bisectCase,
});
