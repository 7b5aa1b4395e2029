import { InputError } from '../../common/input-error.js';
import { exportCsv } from '../../recording/csv/csv-export.js';
import { readHead } from '../../recording/head.js';
import { command } from '../context.js';
import { ticksOf, type WrittenPart } from './source.js';

interface Flags extends WrittenPart {
  readonly output?: string;
  readonly signal?: readonly string[];
  readonly every?: number;
  readonly json?: boolean;
}

export default command<Flags, [string]>(async ({ stdout, progress }, flags, recording) => {
  const { output, signal, every } = flags;
  if (flags.json === true && output === undefined)
    throw new InputError({ file: '--json', problem: 'both the CSV and the JSON would go to standard output', hint: 'Add -o FILE' });
  const options = { signals: signal, ...ticksOf(flags, readHead(recording).tickHz), everyTicks: every };
  // No progress beside a table that may go to the same terminal.
  await exportCsv(recording, output ?? stdout, options, output === undefined ? undefined : progress.percentOf('exporting'));
  return { text: '', json: { file: output }, passed: true };
});
