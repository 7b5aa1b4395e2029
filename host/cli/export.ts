import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, progressOf, text, wholeNumber } from './answer.js';

interface Flags {
  readonly output?: string;
  readonly signal?: readonly string[];
  readonly from?: number;
  readonly to?: number;
  readonly every?: number;
  readonly json?: boolean;
}

async function exportRun(this: Context, flags: Flags, recording: string): Promise<void> {
  await answer(this, flags, async () => {
    const [{ exportCsv }, { InputError }] = await Promise.all([
      import('../recording/csv/csv-export.js'),
      import('../common/input-error.js'),
    ]);
    const { output, signal, from, to, every } = flags;
    if (flags.json === true && output === undefined) {
      throw new InputError({
        file: 'latchbench export --json',
        what: 'no output file',
        allowed: '-o FILE beside --json, since both would go to stdout',
      });
    }
    if (every === 0) throw new InputError({ file: 'latchbench export', what: '--every', value: 0, allowed: '1 or more ticks' });
    // Not beside a table that is being printed on the same terminal.
    const progress = progressOf(this, flags.json === true || output === undefined);
    try {
      const options = { signals: signal, fromTick: from, toTick: to, everyTicks: every };
      await exportCsv(recording, output ?? this.process.stdout, options, progress.share('exporting'));
      return { text: '', json: { file: output }, holds: true };
    } finally {
      progress.done();
    }
  });
}

export const exportCommand = buildCommand({
  docs: {
    brief: 'Write a recording as CSV',
    fullDescription: 'One line a tick: time, tick, the bank’s signals and name[row] for each row. Numbers read back exactly.',
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Recording', parse: text, placeholder: 'recording' }] },
    flags: {
      output: {
        kind: 'parsed',
        parse: text,
        brief: 'CSV file to write; standard output if not given',
        optional: true,
        placeholder: 'file',
      },
      signal: {
        kind: 'parsed',
        parse: text,
        brief: 'Column to write; may be given several times; all if not',
        variadic: true,
        optional: true,
        placeholder: 'name',
      },
      from: { kind: 'parsed', parse: wholeNumber, brief: 'First tick', optional: true, placeholder: 'tick' },
      to: { kind: 'parsed', parse: wholeNumber, brief: 'Last tick', optional: true, placeholder: 'tick' },
      every: { kind: 'parsed', parse: wholeNumber, brief: 'Only each n-th tick', optional: true, placeholder: 'ticks' },
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: exportRun,
});
