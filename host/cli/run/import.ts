import { InputError } from '../../common/input-error.js';
import { shellWord } from '../../common/shell-word.js';
import { refuseOverwritingInput, writeAtomic } from '../../common/write-atomic.js';
import { describeContract } from '../../contract/contract.js';
import { importCsv } from '../../recording/csv/csv-import.js';
import { inspectLog } from '../../recording/csv/inspect.js';
import { decisionLines, newMap } from '../../recording/csv/new-map.js';
import { importText } from '../../report/vector/import-text.js';
import { inspectionText } from '../../report/vector/inspection-text.js';
import { type Answer, command, type Job } from '../context.js';
import { checkFlags, type FlagRule } from '../flag-rules.js';

interface Flags {
  readonly map?: string;
  readonly newMap?: string;
  readonly output?: string;
  readonly yes?: boolean;
  readonly json?: boolean;
}

const RULES: readonly FlagRule<Flags>[] = [
  { flag: 'output', needs: 'map', hint: '`--new-map FILE` writes one from what the log seems to hold' },
  { flag: 'map', excludes: 'newMap', why: 'one is read, the other is written' },
];

/** Says what a log seems to hold, and writes a mapping file for it. */
function inspect({ progress }: Job, csv: string, newFile: string | undefined): Answer {
  if (newFile !== undefined) refuseOverwritingInput(newFile, csv);
  const { table, ...log } = inspectLog(csv, progress.percentOf('reading'));
  const inspection = { table, ...log };
  const map = newMap(inspection);
  const decisions = decisionLines(map);
  if (newFile !== undefined) writeAtomic(newFile, map);
  const file = newFile ?? 'map.yaml';
  const left = decisions.length === 0 ? '' : `; replace \`decide\` in ${decisions.map((line) => `${file}:${line}`).join(', ')}`;
  const next = `latchbench import ${shellWord(csv)} --map ${shellWord(file)} -o log.mcap`;
  const done =
    newFile === undefined
      ? `next: latchbench import ${shellWord(csv)} --new-map map.yaml`
      : `${file} written; check it${left}, then: ${next}`;
  // Cells are for guessing; a document needs none of them.
  const columns = log.columns.map(({ texts: _, ...column }) => column);
  return {
    text: `${inspectionText(inspection)}\n${done}\n`,
    json: { ...inspection, columns, ...guessesJson(inspection), ...(newFile === undefined ? {} : { map: newFile }), decisions },
    passed: true,
  };
}

/** Guesses with the names of their columns. */
const guessesJson = ({ signals, orders }: ReturnType<typeof inspectLog>): object => ({
  signals: signals.map((one) => ({ ...one, column: one.column.name })),
  orders: orders.map((one) => ({
    ...one,
    columns: Object.fromEntries(Object.entries(one.columns).map(([key, { name }]) => [key, name])),
  })),
});

export default command<Flags, [string]>((job, flags, csv) => {
  checkFlags(flags, RULES);
  const { map, newMap: newFile, output, yes } = flags;
  if (map === undefined) return inspect(job, csv, newFile);
  if (output === undefined) throw new InputError({ file: '--map', problem: 'needs --output, the recording to write' });
  const report = importCsv(csv, map, output, describeContract(), {
    onProgress: job.progress.percentOf('importing'),
    isConfirmed: yes,
  });
  return { text: importText(report, output), json: { file: output, ...report }, passed: true };
});
