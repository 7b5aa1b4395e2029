import type { Comparison } from '../replay/compare.js';
import type { AcceptanceResult } from '../vector/accept.js';
import type { CaseResult, Verdict } from '../vector/replay-case.js';
import { colours } from './colours.js';
import { counted, grouped, textTable } from './text-table.js';

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
export function difference(result: CaseResult): string {
  if (result.trap !== undefined) return `stopped at tick ${result.trap.tick}: ${result.trap.message}`;
  return firstDifference(result.comparison);
}

/** How many cases ended how. */
export function countVerdicts(results: readonly CaseResult[]): Record<Verdict, number> {
  const counts = { same: 0, changed: 0, broken: 0 };
  for (const { verdict } of results) counts[verdict] += 1;
  return counts;
}

/** The verdict table for people, in the order of the cases. */
export function verdictTable(results: readonly CaseResult[], seconds: number): string {
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

/** What was accepted: for each case what had changed, or that there was nothing to accept. */
export function acceptanceTable(results: readonly Omit<AcceptanceResult, 'files'>[]): string {
  const columns = [{ title: 'vector' }, { title: 'accepted' }, { title: 'first difference' }, { title: 'strokes' }];
  const rows = results.map(({ name, comparison, acceptance }) => {
    const what = acceptance === undefined ? 'nothing to accept' : acceptance.signals.join(', ');
    return [
      name,
      what,
      comparison === undefined ? 'first acceptance' : firstDifference(comparison),
      comparison === undefined ? '' : strokePhrase(comparison),
    ];
  });
  return textTable(columns, rows);
}
