import { describeContract } from '../../contract/contract.js';
import { importCsv } from '../../recording/csv/csv-import.js';
import { importText } from '../../report/vector/import-text.js';
import { command } from '../context.js';

interface Flags {
  readonly map: string;
  readonly output: string;
  readonly yes?: boolean;
  readonly json?: boolean;
}

export default command<Flags, [string]>(({ progress }, { map, output, yes }, csv) => {
  const report = importCsv(csv, map, output, describeContract(), {
    onProgress: progress.percentOf('importing'),
    isConfirmed: yes,
  });
  return { text: importText(report, output), json: { file: output, ...report }, passed: true };
});
