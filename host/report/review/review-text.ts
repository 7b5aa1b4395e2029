import { UNITS } from '../../../shared/units.js';
import { abbreviated } from '../../common/hash.js';
import { strokeCountsText } from '../../replay/strokes.js';
import type { Review, ReviewCommit, RunReview } from '../../review/review.js';
import { counted, textTable } from '../form/text-table.js';
import { paintCounts, paintVerdict } from '../form/verdict.js';
import { causeStrokes, causeStrokesText } from './cause-strokes.js';
import { coverageText, coveredLineText, REACH_TEXT, reachLines, unreachedClause } from './coverage-phrases.js';
import {
  acceptanceText,
  CAUSE_RUNS_HELP,
  causeLines,
  changedMetrics,
  divergenceText,
  metricText,
  ranWithText,
  refusalsOf,
  runName,
  sideName,
  strategiesText,
  suggestionLines,
  vectorDifferenceText,
} from './phrases.js';
import { runBlock } from './run-block.js';

const COLUMNS = [
  { title: 'run' },
  { title: 'rows', isNumber: true },
  { title: 'time, s', isNumber: true },
  { title: 'strategy' },
  { title: 'verdict' },
  { title: 'tick', isNumber: true },
  { title: 'first difference' },
  { title: 'strokes' },
  { title: 'worst metric change' },
];

/** A run as a row of the summary table. */
function summaryRow(run: RunReview): string[] {
  const { rows, ticks, tickHz, verdict, first, strokes, metrics } = run;
  const worst = changedMetrics(metrics)[0];
  return [
    runName(run),
    String(rows),
    (ticks / tickHz).toFixed(1),
    strategiesText(run),
    paintVerdict(verdict),
    first === undefined ? '' : first.tick < 0 ? 'configure' : String(first.tick),
    first === undefined ? refusalsOf(run).join(', ') : divergenceText(first),
    strokeCountsText(strokes),
    worst === undefined ? '' : metricText(worst),
  ];
}

const countsLine = ({ counts, runs }: Review): string => `${counted(runs.length, 'run')}: ${paintCounts(counts)}`;

/** Maximum number of lines of a list. */
const LIST_MAX = 12;

function listLines(title: string, lines: readonly string[]): string[] {
  if (lines.length === 0) return [];
  const more = lines.length - LIST_MAX;
  return [`${title}:`, ...lines.slice(0, LIST_MAX), ...(more > 0 ? [`  and ${more} more; --html and --json list all`] : []), ''];
}

function contractLines({ contract, parameters }: Review): string[] {
  const signs = { added: '+', removed: '−', changed: '~' } as const;
  const changes = contract.map(
    ({ what, name, change, base, head }) => `  ${signs[change]} ${what} ${name}: ${[base, head].filter(Boolean).join(' → ')}`,
  );
  const values = parameters.map(({ name, unit, base, head, runs }) => {
    const where = runs.length === 0 ? '' : `  in ${runs.join(', ')}`;
    return `  ${name} ${base} → ${head} ${UNITS[unit].symbol}`.trimEnd() + where;
  });
  return [...listLines('contract', changes), ...listLines('parameters', values)];
}

function causesLines({ causes, runs }: Review): string[] {
  // The details of a single run that differs say the same.
  if (causes.length <= 1 && (causes[0]?.runs.length ?? 0) <= 1) return [];
  const names = runs.map(runName);
  const each = causes.map((cause, index) => {
    const [first = '', ...more] = causeLines(cause, names);
    const strokes = causeStrokes(cause, runs);
    const effect = strokes === undefined ? [] : [causeStrokesText(strokes)];
    return [`  ${index + 1}. ${first}`, ...[...more, ...effect].map((line) => `     ${line}`)].join('\n');
  });
  const help = causes.length > 1 ? [`  ${CAUSE_RUNS_HELP}`] : [];
  return listLines(counted(causes.length, 'cause'), [...help, ...each]);
}

const commitLine = ({ hash, date, author, subject }: ReviewCommit): string => `  ${abbreviated(hash)} ${date} ${author}: ${subject}`;

/** The commits and files of the change. The author of one that is not committed knows its files. */
function changeLines({ change }: Review): string[] {
  if (change === undefined) return [];
  const { commits = [], missingCommits, isUncommitted, note, files = [] } = change;
  if (commits.length + missingCommits === 0 && note === undefined) return [];
  const missing = missingCommits === 0 ? [] : [`  base has ${counted(missingCommits, 'commit')} that head does not have`];
  const lines = [
    ...(isUncommitted ? ['  and changes that are not committed'] : []),
    ...commits.map(commitLine),
    ...missing,
    ...(note === undefined ? [] : [`  commits are not known. ${note}`]),
  ];
  const fileLines = files.map(({ path, basePath, change: what, addedLines, removedLines }) => {
    const from = basePath === undefined ? '' : ` from ${basePath}`;
    return `  ${path} ${what}${from}: +${addedLines} −${removedLines} lines`;
  });
  return [...listLines('commits', lines), ...listLines('controller sources', fileLines)];
}

/** Which changed lines were reached; those that show a difference are named as its causes. */
function coverageLines({ coverage, runs }: Review): string[] {
  if (coverage === undefined) return [];
  const names = runs.map(runName);
  const order = ['unreached', 'same'] as const;
  const lines = order.flatMap((reach) =>
    coverage.lines
      .filter((one) => one.reach === reach)
      .map((one) => [`  ${REACH_TEXT[reach]}: ${coveredLineText(one)}`, ...reachLines(one, names).map((text) => `    ${text}`)].join('\n')),
  );
  return lines.length === 0 ? [`${coverageText(coverage)}\n`] : listLines(coverageText(coverage), lines);
}

/** What became of the vectors. */
function vectorLines({ vectors = [] }: Review): string[] {
  const lines = vectors.map(({ name, baseName, change, differences, accepted, problems }) =>
    [
      `  ${name} ${change}${baseName === undefined ? '' : ` from ${baseName}`}`,
      ...differences.map((one) => `    ${vectorDifferenceText(one)}`),
      ...accepted.map((one) => `    accepted ${acceptanceText(one)}`),
      ...problems.map((problem) => `    problem: ${problem}`),
    ].join('\n'),
  );
  return listLines('vectors', lines);
}

function suggestionText(review: Review): string[] {
  const [what, ...details] = suggestionLines(review);
  return what === undefined ? [] : [[what, ...details.map((line) => `  ${line}`), ''].join('\n')];
}

/** A review for a terminal or a pull request. @param details number of runs that are shown in detail, worst first */
export function reviewText(review: Review, details: number): string {
  const { base, head, runs } = review;
  const differing = runs.filter(({ verdict }) => verdict !== 'same');
  const more = differing.length - Math.min(details, differing.length);
  return [
    `${sideName(base)} → ${sideName(head)}`,
    `source hash ${abbreviated(base.sourceHash)} → ${abbreviated(head.sourceHash)}`,
    '',
    textTable(COLUMNS, runs.map(summaryRow)),
    // The details of a run that differs say so too.
    ...(runs.length === 1 && differing.length === 0 ? runs : []).map((run) => `${ranWithText(run)}\n`),
    ...changeLines(review),
    ...contractLines(review),
    ...causesLines(review),
    ...coverageLines(review),
    ...vectorLines(review),
    ...differing.slice(0, details).map(runBlock),
    ...(more > 0 && details > 0
      ? [`${counted(more, 'more run')} ${more === 1 ? 'differs' : 'differ'}; --details ${differing.length} shows all\n`]
      : []),
    `${countsLine(review)}${unreachedClause(review.coverage)}\n`,
    ...suggestionText(review),
  ].join('\n');
}

/** A review after a save: the runs that differ, the worst one in detail, and the counts last. */
export function watchText(review: Review): string {
  const [worst] = review.runs;
  const differing = review.runs.filter(({ verdict }) => verdict !== 'same');
  return [
    ...(differing.length === 0 ? [] : [textTable(COLUMNS, differing.map(summaryRow))]),
    ...(worst === undefined || worst.verdict === 'same' ? [] : [runBlock(worst)]),
    `${countsLine(review)}; ${sideName(review.base)} → ${sideName(review.head)}\n`,
  ].join('\n');
}
