import { buildCommand } from '@stricli/core';
import { answer, type Context, jsonFlag, progressOf, text } from './answer.js';

interface Flags {
  readonly map: string;
  readonly output: string;
  readonly json?: boolean;
}

async function importCommandRun(this: Context, flags: Flags, csv: string): Promise<void> {
  await answer(this, flags, async () => {
    const [{ importCsv }, { describeContract }, { importText }] = await Promise.all([
      import('../recording/csv/csv-import.js'),
      import('../contract/contract.js'),
      import('../report/vector/import-text.js'),
    ]);
    const progress = progressOf(this, flags.json);
    try {
      const report = importCsv(csv, flags.map, flags.output, describeContract(), progress.share('importing'));
      return { text: importText(report, flags.output), json: { file: flags.output, ...report }, holds: true };
    } finally {
      progress.done();
    }
  });
}

export const importCommand = buildCommand({
  docs: {
    brief: 'Make a recording of a CSV log',
    fullDescription:
      'A mapping file (YAML) says which column is which signal, in which unit, and where the time comes from. Samples are held until the ' +
      'next one; gaps, values cut at the converter’s limits and signals that took a default are reported.',
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'CSV file with a header line', parse: text, placeholder: 'csv' }] },
    flags: {
      map: { kind: 'parsed', parse: text, brief: 'Mapping file', placeholder: 'file' },
      output: { kind: 'parsed', parse: text, brief: 'Recording to write', placeholder: 'file' },
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: importCommandRun,
});
