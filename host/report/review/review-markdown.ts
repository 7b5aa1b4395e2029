import { showControls } from '../../common/control-characters.js';
import { abbreviated } from '../../common/hash.js';
import { strokeCountsText } from '../../replay/strokes.js';
import { VERDICT_TEXT } from '../../replay/verdict.js';
import { compareHarm } from '../../review/harm.js';
import type { Cause, MetricChange, Review, RunReview } from '../../review/review.js';
import { brief } from '../form/text-plot.js';
import { counted } from '../form/text-table.js';
import { causeStrokes, causeStrokesText } from './cause-strokes.js';
import { coverageText, coveredLineText, REACH_TEXT, reachLines } from './coverage-phrases.js';
import { symbolOf, withUnit } from './page/labels.js';
import {
  acceptanceText,
  acceptedText,
  CAUSE_RUNS_HELP,
  CHECK_TEXT,
  deltaText,
  divergenceText,
  refusalsOf,
  runName,
  sideName,
  suggestionLines,
  tickText,
  vectorDifferenceText,
  verdictSentence,
} from './phrases.js';

/*
 * A review as the text of a comment on a change: the verdict and its causes first, the rest folded. The dialect is that of common
 * services for hosting code: CommonMark with tables, and the HTML elements details, summary and code.
 */

/** Services limit a comment to 65,536 characters. */
const LENGTH_MAX = 60_000;
const CELL_MAX = 240;
const CAUSES_MAX = 20;
const COVERED_MAX = 20;
const METRICS_MAX = 10;
const RUNS_MAX = 60;

/** Escapes whatever Markdown or HTML would take for markup, also names of users and issues, addresses and emoji. */
export const escapeMarkdown = (text: string): string =>
  showControls(text.replace(/\s+/g, ' '))
    .replace(/[^\p{L}\p{N} ,.:;=+%'"/→…−–·±°µ²³≤≥×()-]/gu, (letter) => `&#${letter.codePointAt(0)};`)
    .replace(/:(?=\S)/g, '&#58;')
    .replace(/(?<=www)\./gi, '&#46;');

const cut = (text: string): string => {
  const letters = [...text];
  return letters.length > CELL_MAX ? `${letters.slice(0, CELL_MAX - 1).join('')}…` : text;
};

const cell = (text: string): string => escapeMarkdown(cut(text));
const code = (text: string): string => (text === '' ? '' : `<code>${cell(text)}</code>`);

/** A table of cells that are Markdown already. */
function table(heads: readonly string[], rows: readonly (readonly string[])[], max: number): string {
  const line = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`;
  const more = rows.length - max;
  return [
    line(heads),
    line(heads.map(() => '---')),
    ...rows.slice(0, max).map(line),
    ...(more > 0 ? ['', `and ${more} more`] : []),
    '',
  ].join('\n');
}

const folded = (title: string, body: string): string => `<details><summary>${title}</summary>\n\n${body}\n</details>\n`;

function causeRow(cause: Cause, review: Review): string[] {
  const { first, parameter, check, runs } = cause;
  const strokes = causeStrokes(cause, review.runs);
  const { suspectedLine, baseLine, removedLine } = first;
  const was = removedLine ?? baseLine;
  const place = suspectedLine === undefined ? '' : `${suspectedLine.file}:${suspectedLine.line}`;
  const names = runs.flatMap((index) => (review.runs[index] === undefined ? [] : [runName(review.runs[index])]));
  return [
    parameter === undefined ? code(place) || 'not known' : `parameter ${code(parameter)}`,
    removedLine !== undefined ? 'removed' : code(suspectedLine?.text.trim() ?? ''),
    was === undefined || was.text.trim() === suspectedLine?.text.trim() ? '' : code(was.text.trim()),
    `${counted(runs.length, 'run')}: ${cell(names.join(', '))}`,
    strokes === undefined ? '' : cell(causeStrokesText(strokes)),
    cell(CHECK_TEXT[check]),
  ];
}

/** Changed lines that show no difference, those that no run reaches first. */
function coveragePart({ coverage, runs }: Review): string {
  if (coverage === undefined) return '';
  const names = runs.map(runName);
  const rows = (['unreached', 'same'] as const).flatMap((reach) =>
    coverage.lines
      .filter((one) => one.reach === reach)
      .map((one) => [code(coveredLineText(one)), REACH_TEXT[reach], cell(reachLines(one, names).join('; '))]),
  );
  const title = `**${cell(coverageText(coverage))}**\n`;
  return rows.length === 0 ? title : `${title}\n${table(['changed line', 'reached', 'details'], rows, COVERED_MAX)}`;
}

function causesPart(review: Review): string {
  if (review.causes.length === 0) return '';
  const rows = review.causes.map((cause) => causeRow(cause, review));
  const help = rows.length > 1 ? ` ${CAUSE_RUNS_HELP}` : '';
  return `**${counted(rows.length, 'cause')}**${help}\n\n${table(['where', 'now', 'was', 'runs', 'strokes', 'how sure'], rows, CAUSES_MAX)}`;
}

/** Each metric that got worse, with its most harmful run. */
function metricsPart({ runs }: Review): string {
  const worse = new Map<string, { metric: MetricChange; run: RunReview }[]>();
  for (const run of runs)
    for (const metric of run.metrics) if (metric.worseBy > 0) worse.set(metric.name, [...(worse.get(metric.name) ?? []), { metric, run }]);
  if (worse.size === 0) return '';
  const groups = [...worse.values()].map((group) => group.sort((a, b) => compareHarm(a.metric, b.metric)));
  const rows = groups
    .sort(([a], [b]) => (a === undefined || b === undefined ? 0 : compareHarm(a.metric, b.metric)))
    .flatMap(([first, ...others]) => (first === undefined ? [] : [metricRow(first.metric, first.run, others.length)]));
  return `**Metrics that got worse, the most harmful first**\n\n${table(['metric', 'base', 'head', 'change', 'run'], rows, METRICS_MAX)}`;
}

function metricRow(metric: MetricChange, run: RunReview, others: number): string[] {
  const value = (of: number | null): string => (of === null ? '–' : cell(withUnit(brief(of), symbolOf(metric.unit))));
  const more = others === 0 ? '' : `, and less in ${counted(others, 'other run')}`;
  return [code(metric.name), value(metric.base), value(metric.head), cell(deltaText(metric)), `${cell(runName(run))}${more}`];
}

function runsPart({ runs, counts }: Review): string {
  const differing = runs.filter(({ verdict }) => verdict !== 'same');
  if (differing.length === 0) return '';
  const where = ({ first, tickHz }: RunReview): string => (first === undefined ? '' : tickText(first.tick, tickHz));
  const rows = differing.map((run) => [
    cell(runName(run)),
    VERDICT_TEXT[run.verdict],
    where(run),
    run.first === undefined ? cell(refusalsOf(run).join(', ')) : code(divergenceText(run.first)),
    strokeCountsText(run.strokes),
  ]);
  const body = table(['run', 'verdict', 'at', 'first difference', 'strokes'], rows, RUNS_MAX);
  return folded(`${counted(differing.length, 'run')} that differ${differing.length === 1 ? 's' : ''}, ${counts.same} the same`, body);
}

/** Lines of a list, at most `RUNS_MAX`. */
function list(lines: readonly string[]): string {
  const more = lines.length - RUNS_MAX;
  return [...lines.slice(0, RUNS_MAX).map((line) => `- ${line}`), ...(more > 0 ? [`- and ${more} more`] : []), ''].join('\n');
}

/** Commits and files of the change. */
function changePart({ change }: Review): string {
  if (change === undefined) return '';
  const { commits = [], commitCount, missingCommits, isUncommitted, note, files = [] } = change;
  const lines = [
    ...(isUncommitted ? ['changes that are not committed'] : []),
    ...commits.map(({ hash, date, author, subject }) => `${code(abbreviated(hash))} ${date} ${cell(author)}: ${cell(subject)}`),
    ...(commitCount > commits.length && commits.length > 0 ? [`and ${commitCount - commits.length} more commits`] : []),
    ...(missingCommits > 0 ? [`base has ${counted(missingCommits, 'commit')} that head does not have`] : []),
    ...(note === undefined ? [] : [`commits are not known. ${cell(note)}`]),
    ...files.map(({ path, basePath, change: what, addedLines, removedLines }) =>
      [code(path), what, ...(basePath === undefined ? [] : ['from', code(basePath)]), `+${addedLines} −${removedLines} lines`].join(' '),
    ),
  ];
  return lines.length === 0 ? '' : folded(`The change: ${counted(commitCount, 'commit')}, ${counted(files.length, 'file')}`, list(lines));
}

/** What became of the vectors. What is wrong with one is not folded. */
function vectorsPart({ vectors = [] }: Review): string {
  if (vectors.length === 0) return '';
  const lines = vectors.map(({ name, baseName, change, differences, accepted }) =>
    [
      `${code(name)} ${change}${baseName === undefined ? '' : ` from ${code(baseName)}`}`,
      ...differences.map((one) => cell(vectorDifferenceText(one))),
      ...accepted.map((one) => `accepted ${cell(acceptanceText(one))}`),
    ].join('; '),
  );
  const problems = vectors.flatMap(({ name, problems: found }) => found.map((problem) => `▲ ${code(name)}: ${cell(problem)}`));
  const shown = problems.length === 0 ? '' : `**${counted(problems.length, 'problem')} of vectors**\n\n${list(problems)}\n`;
  return `${shown}${folded(`${counted(vectors.length, 'vector')} changed`, list(lines))}`;
}

/** Who accepted what head computes. */
function acceptancesPart({ runs }: Review): string {
  const accepted = runs.filter(({ acceptance }) => acceptance != null);
  const missing = runs.filter(({ acceptance, verdict }) => acceptance === null && verdict !== 'same').length;
  if (accepted.length + missing === 0) return '';
  const lines = accepted.map((run) => `${cell(runName(run))}: ${cell(acceptedText(run))}`);
  const open = `Nobody has accepted the outputs of head in ${counted(missing, 'run')}.\n`;
  return `${missing > 0 ? open : ''}${lines.length === 0 ? '' : `\n${folded(`${counted(lines.length, 'run')} with accepted outputs`, list(lines))}`}`;
}

/** What a search for inputs came to. */
function suggestionPart(review: Review): string {
  const [what, ...details] = suggestionLines(review);
  return what === undefined ? '' : `**Search for inputs**: ${cell(what)}\n\n${list(details.map(cell))}`;
}

function settingsPart({ contract, parameters }: Review): string {
  const lines = [
    ...contract.map(
      ({ what, name, change, base = '', head = '' }) => `${what} ${code(name)} ${change} ${cell([base, head].filter(Boolean).join(' → '))}`,
    ),
    ...parameters.map(
      ({ name, unit, base, head, runs }) =>
        `parameter ${code(name)} ${cell(withUnit(`${base} → ${head}`, symbolOf(unit)))}${runs.length === 0 ? '' : ` in ${cell(runs.join(', '))}`}`,
    ),
  ];
  return lines.length === 0 ? '' : folded('Contract and parameters', list(lines));
}

/** A review as Markdown for a comment. It has at most `LENGTH_MAX` characters: what does not fit is left out, and said. */
export function reviewMarkdown(review: Review): string {
  const head = [
    `### Controller review: ${cell(`${sideName(review.base)} → ${sideName(review.head)}`)}`,
    '',
    `**${cell(verdictSentence(review))}**`,
    '',
  ].join('\n');
  const parts = [
    ...[causesPart, coveragePart, metricsPart, acceptancesPart, suggestionPart],
    ...[runsPart, changePart, vectorsPart, settingsPart],
  ].flatMap((part) => part(review) || []);
  const foot = `<sub>latchbench ${cell(review.tool)} compare; --html writes the details</sub>\n`;
  const kept: string[] = [];
  let length = head.length + foot.length;
  for (const part of parts) {
    length += part.length + 1;
    kept.push(length > LENGTH_MAX ? 'A part is left out here: it is too long for a comment.\n' : part);
    if (length > LENGTH_MAX) length -= part.length;
  }
  return `${[head, ...kept, foot].join('\n')}`;
}
