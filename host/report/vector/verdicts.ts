import type { Comparison } from '../../replay/compare.js';
import type { AcceptanceResult } from '../../vector/accept.js';
import type { VectorResult, Verdict } from '../../vector/replay-vector.js';
import { colours } from '../form/colours.js';
import { counted, grouped, textTable } from '../form/text-table.js';

const PAINT: Readonly<Record<Verdict, (text: string) => string>> = { same: colours.green, changed: colours.yellow, broken: colours.red };

/** Where a comparison first parts, as one phrase. */
function firstDifference({ first, innerOnly }: Comparison): string {
  if (first === undefined) return '';
  const where = `tick ${first.tick}${first.row === 0 ? '' : ` row ${first.row}`} ${first.signal}`;
  return innerOnly ? `inner state only, by tick ${first.tick}` : `${where}: ${first.expected} → ${first.actual}`;
}

/** What became of the strokes, as one phrase. */
export function strokePhrase({ strokes }: Comparison): string {
  const { added, removed, moved, earliest, latest } = strokes;
  const signed = (ticks: number): string => (ticks > 0 ? `+${ticks}` : ticks < 0 ? `−${-ticks}` : '0');
  const parts = [
    added > 0 ? `${added} more` : '',
    removed > 0 ? `${removed} fewer` : '',
    moved > 0 ? `${moved} moved by ${signed(earliest)}${earliest === latest ? '' : ` to ${signed(latest)}`} ticks` : '',
  ];
  return parts.filter((part) => part !== '').join(', ');
}

/** The phrase that says what is wrong with a case. */
export function difference(result: VectorResult): string {
  if (result.trap !== undefined) return `stopped at tick ${result.trap.tick}: ${result.trap.message}`;
  return firstDifference(result.comparison);
}

/** How many cases ended how. */
export function countVerdicts(results: readonly VectorResult[]): Record<Verdict, number> {
  const counts = { same: 0, changed: 0, broken: 0 };
  for (const { verdict } of results) counts[verdict] += 1;
  return counts;
}

/** The verdict table for people, in the order of the cases. */
export function verdictTable(results: readonly VectorResult[], seconds: number): string {
  const columns = [
    { title: 'vector' },
    { title: 'rows', isNumber: true },
    { title: 'ticks', isNumber: true },
    { title: 'verdict' },
    { title: 'first difference' },
    { title: 'strokes' },
  ];
  const rows = results.map((result) => [
    result.name,
    String(result.rows),
    grouped(result.ticks),
    PAINT[result.verdict](result.verdict),
    difference(result),
    strokePhrase(result.comparison),
  ]);
  const counts = countVerdicts(results);
  const said = (Object.keys(counts) as Verdict[])
    .filter((verdict) => counts[verdict] > 0)
    .map((verdict) => PAINT[verdict](`${counts[verdict]} ${verdict}`));
  const ticks = results.reduce((sum, result) => sum + result.ticks * result.rows, 0);
  return `${textTable(columns, rows)}\n${counted(results.length, 'vector')}: ${said.join(', ')}; ${counted(ticks, 'row-tick')} in ${seconds.toFixed(2)} s\n`;
}

/** `supplyOrder 12, mode 1`: differences of each signal. */
const signalCounts = ({ signals }: Comparison): string =>
  Object.entries(signals)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, count]) => `${name} ${count}`)
    .join(', ');

type Accepted = Omit<AcceptanceResult, 'files'> & Partial<Pick<AcceptanceResult, 'files'>>;

function acceptedWhat({ comparison, acceptance, files = [] }: Accepted): string {
  if (acceptance === undefined) return files.length > 0 ? 'outputs restored' : 'nothing to accept';
  return comparison === undefined ? acceptance.signals.join(', ') : signalCounts(comparison);
}

/** What is about to be accepted: for each case what has changed, or that there is nothing to accept; and by whom, and why. */
export function acceptanceTable(results: readonly Accepted[]): string {
  const columns = [{ title: 'vector' }, { title: 'to accept' }, { title: 'first difference' }, { title: 'strokes' }, { title: 'hash' }];
  const rows = results.map((result) => {
    const { name, comparison, acceptance } = result;
    const hash = acceptance?.hash.slice(0, 12) ?? '';
    if (comparison === undefined)
      return [name, acceptedWhat(result), acceptance === undefined ? '' : 'nothing sound to compare with', '', hash];
    return [name, acceptedWhat(result), firstDifference(comparison), strokePhrase(comparison), hash];
  });
  // All that is accepted at once is accepted by one person, for one reason.
  const told = results.find(({ acceptance }) => acceptance !== undefined)?.acceptance;
  return textTable(columns, rows) + (told === undefined ? '' : `\n${told.date}, ${told.by}: ${told.reason}\n`);
}

/** What was written in the end. */
export function writtenLine(results: readonly AcceptanceResult[], isDryRun: boolean): string {
  const count = results.filter(({ files }) => files.length > 0).length;
  return isDryRun ? `dry run: nothing written, ${counted(count, 'vector')} would be\n` : `${counted(count, 'vector')} written\n`;
}
