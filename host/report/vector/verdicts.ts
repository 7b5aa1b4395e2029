import { abbreviated } from '../../common/hash.js';
import type { BuildIdentity } from '../../contract/run-identity.js';
import type { Comparison } from '../../replay/compare-changes.js';
import { strokesText } from '../../replay/strokes.js';
import { countVerdicts } from '../../replay/verdict.js';
import type { AcceptanceResult } from '../../vector/accept.js';
import type { VectorResult } from '../../vector/replay-vector.js';
import { madeByLines, strategyText } from '../form/run-identity.js';
import { counted, grouped, textTable } from '../form/text-table.js';
import { paintCounts, paintVerdict } from '../form/verdict.js';

/** The first difference of a comparison as one phrase; empty if there is none. */
function firstDifferenceText({ first, stateOnly }: Comparison): string {
  if (first === undefined) return '';
  if (stateOnly) return `state hash of tick ${first.tick}`;
  return `tick ${first.tick}${first.row === 0 ? '' : ` row ${first.row}`} ${first.signal}: ${first.expected} → ${first.actual}`;
}

/** Where a vector's replay stopped or first differs, as one phrase. */
export function differenceText({ trap, comparison }: VectorResult): string {
  if (trap !== undefined) return `tick ${trap.tick}: ${trap.message}`;
  return firstDifferenceText(comparison);
}

/** The verdicts of a replay as a table, in the order of the vectors. */
export function verdictTable(results: readonly VectorResult[], seconds: number, build: BuildIdentity): string {
  const columns = [
    { title: 'vector' },
    { title: 'rows', isNumber: true, isOptional: true },
    { title: 'ticks', isNumber: true, isOptional: true },
    { title: 'strategy' },
    { title: 'verdict' },
    { title: 'first difference' },
    { title: 'strokes' },
  ];
  const rows = results.map((result) => [
    result.name,
    String(result.rows),
    grouped(result.ticks),
    strategyText(result.ranWith),
    paintVerdict(result.verdict),
    differenceText(result),
    strokesText(result.comparison.strokes),
  ]);
  const counts = paintCounts(countVerdicts(results));
  const end = `${counted(results.length, 'vector')}: ${counts}; ${seconds.toFixed(2)} s`;
  return `${textTable(columns, rows)}\n${madeByLines(results, build)}${end}\n`;
}

/** `mode (1 change), supplyOrder (12 changes)`: number of differences of each signal. */
const signalCounts = ({ signals }: Comparison): string =>
  Object.entries(signals)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, count]) => `${name} (${counted(count, 'change')})`)
    .join(', ');

type Accepted = Omit<AcceptanceResult, 'files'> & Partial<Pick<AcceptanceResult, 'files'>>;

function acceptedWhat({ comparison, acceptance, files = [] }: Accepted): string {
  if (acceptance === undefined) return files.length > 0 ? 'outputs restored' : 'nothing to accept';
  return comparison === undefined ? acceptance.signals.join(', ') : signalCounts(comparison);
}

/**
 * What is accepted: the differences of each vector, by whom and why.
 * @param heading of what is accepted, before or after it is written
 */
export function acceptanceTable(results: readonly Accepted[], build: BuildIdentity, heading: 'to accept' | 'accepted'): string {
  const columns = [
    { title: 'vector' },
    { title: 'strategy' },
    { title: heading },
    { title: 'first difference' },
    { title: 'strokes' },
    { title: 'hash' },
  ];
  const rows = results.map((result) => {
    const { name, ranWith, comparison, acceptance } = result;
    const strategy = strategyText(ranWith);
    const hash = acceptance === undefined ? '' : abbreviated(acceptance.hash);
    if (comparison === undefined) return [name, strategy, acceptedWhat(result), acceptance === undefined ? '' : 'new vector', '', hash];
    return [name, strategy, acceptedWhat(result), firstDifferenceText(comparison), strokesText(comparison.strokes), hash];
  });
  // One command accepts all of them, for one person and one reason.
  const approval = results.find(({ acceptance }) => acceptance !== undefined)?.acceptance;
  const made = `\n${madeByLines(results, build)}`;
  return textTable(columns, rows) + made + (approval === undefined ? '' : `${approval.date}, ${approval.by}: ${approval.reason}\n`);
}

/** How many vectors were written. */
export function writtenLine(results: readonly AcceptanceResult[], isDryRun: boolean): string {
  const count = results.filter(({ files }) => files.length > 0).length;
  return isDryRun ? `dry run: ${counted(count, 'vector')} would be written, nothing is\n` : `${counted(count, 'vector')} written\n`;
}
