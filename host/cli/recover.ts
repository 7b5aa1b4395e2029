import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, text } from './answer.js';

interface Flags {
  readonly output: string;
  readonly json?: boolean;
}

async function recover(this: Context, flags: Flags, damaged: string): Promise<void> {
  await answer(this, flags, async () => {
    const [{ recoverRecording }, { counted }] = await Promise.all([
      import('../recording/recover.js'),
      import('../report/form/text-table.js'),
    ]);
    const recovery = recoverRecording(damaged, flags.output);
    const { recovered, lostAtLeast, atByte, reason } = recovery;
    const lost = lostAtLeast === undefined ? 'an unknown number lost' : `${counted(lostAtLeast, 'message')} lost`;
    const line = `${flags.output}: ${counted(recovered, 'message')} recovered, ${lost}; ${reason} at byte ${atByte}\n`;
    return { text: line, json: { file: flags.output, ...recovery }, holds: true };
  });
}

export const recoverCommand = buildCommand({
  docs: {
    brief: 'Save what a cut-off or damaged recording still holds',
    fullDescription: 'Keeps every message of every intact chunk up to the damage. Works on the .partial file of an interrupted writer too.',
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Damaged recording', parse: text, placeholder: 'recording' }] },
    flags: {
      output: { kind: 'parsed', parse: text, brief: 'Recording to write', placeholder: 'file' },
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: recover,
});
