import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, text, today, words } from './answer.js';

interface Flags {
  readonly from: string;
  readonly title: string;
  readonly why: string;
  readonly origin?: string;
  readonly parameters?: string;
  readonly by: string;
  readonly reason: string;
  readonly json?: boolean;
}

async function add(this: Context, flags: Flags, name: string): Promise<void> {
  await answer(this, flags, async () => {
    const [{ loadController }, { addVector }, { acceptanceTable }] = await Promise.all([
      import('../runner/wasm-runner.js'),
      import('../vector/add.js'),
      import('../report/vector/verdicts.js'),
    ]);
    const controller = loadController();
    const { contract } = controller.description;
    const readParameters = async (file: string) => (await import('../contract/parameter-values.js')).readParameterFile(file, contract);
    const parameters = flags.parameters === undefined ? undefined : await readParameters(flags.parameters);
    const { from, title, why, origin, by, reason } = flags;
    const { files: _, ...result } = addVector(
      controller,
      { name, recording: from, title, why, origin, parameters },
      { by, reason, date: today() },
    );
    return { text: acceptanceTable([result]), json: result, holds: true };
  });
}

export const addCommand = buildCommand({
  docs: {
    brief: 'Make a vector of a recording and accept its outputs',
    fullDescription:
      'Copies the recording into vectors/cases, writes case.yaml and expected.csv. Nothing is left behind if the case is not in order.',
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Name: what happens, in lower case with hyphens', parse: text, placeholder: 'name' }],
    },
    flags: {
      from: { kind: 'parsed', parse: text, brief: 'Recording with an input for every tick', placeholder: 'recording' },
      title: { kind: 'parsed', parse: words, brief: 'What happens, in one line', placeholder: 'text' },
      why: { kind: 'parsed', parse: words, brief: 'Why a reviewer should care', placeholder: 'text' },
      origin: {
        kind: 'parsed',
        parse: words,
        brief: 'Where the inputs come from; the recording’s own words if not given',
        optional: true,
        placeholder: 'text',
      },
      parameters: { kind: 'parsed', parse: text, brief: 'Parameter file', optional: true, placeholder: 'file' },
      by: { kind: 'parsed', parse: words, brief: 'Who accepts', placeholder: 'name' },
      reason: { kind: 'parsed', parse: words, brief: 'Why the outputs are right', placeholder: 'text' },
      json: jsonFlag,
    },
  },
  func: add,
});
