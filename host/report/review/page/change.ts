import { abbreviated } from '../../../common/hash.js';
import { compareHarm } from '../../../review/harm.js';
import type { Cause, FileChange, MetricChange, Review, RunReview, SourceLine, VectorChange } from '../../../review/review.js';
import { type Head, html, type Markup, NOTHING, table } from '../../form/markup.js';
import { counted } from '../../form/text-table.js';
import { causeStrokes, causeStrokesText } from '../cause-strokes.js';
import {
  acceptanceText,
  CAUSE_RUNS_HELP,
  CHECK_TEXT,
  deltaText,
  divergenceText,
  runName,
  suggestionLines,
  vectorDifferenceText,
} from '../phrases.js';
import { coverageMarkup, unreachedIn } from './coverage.js';
import { shiftHistogram } from './histogram.js';
import { short, symbolOf, withUnit } from './labels.js';

/** The line of a cause, or its parameter. */
function causePlace({ first: { suspectedLine, removedLine }, parameter }: Cause): Markup {
  if (parameter !== undefined) return html`parameter <code>${parameter}</code>`;
  if (suspectedLine === undefined) return html`line not known`;
  const what = removedLine === undefined ? NOTHING : html`removed at `;
  return html`${what}<code class="place">${suspectedLine.file}:${suspectedLine.line}</code>`;
}

const lineText = (sign: string, line: SourceLine | undefined): Markup =>
  line === undefined ? NOTHING : html`<div><code><span class="sign" aria-hidden="true">${sign}</span> ${line.text.trim()}</code></div>`;

/** A line as it was and as it is. */
function causeLines({ first: { suspectedLine, baseLine, removedLine } }: Cause): Markup {
  if (removedLine !== undefined) return lineText('−', removedLine);
  const isChanged = baseLine !== undefined && baseLine.text.trim() !== suspectedLine?.text.trim();
  return html`${isChanged ? lineText('−', baseLine) : NOTHING}${lineText(isChanged ? '+' : '→', suspectedLine)}`;
}

const link = (run: RunReview, index: number): Markup => html`<a href="#run-${index + 1}">${runName(run)}</a>`;

const joined = (parts: readonly Markup[], separator = ', '): Markup[] =>
  parts.map((part, index) => (index === 0 ? part : html`${separator}${part}`));

const linksTo = (indices: readonly number[], runs: readonly RunReview[]): Markup[] =>
  joined(indices.flatMap((index) => (runs[index] === undefined ? [] : [link(runs[index], index)])));

/** The most harmful change of a metric, with its run. */
function worstChange(runs: readonly RunReview[]): { metric: MetricChange; index: number } | undefined {
  const all = runs.flatMap(({ metrics: [metric] }, index) => (metric === undefined || metric.worseBy <= 0 ? [] : [{ metric, index }]));
  return all.sort((a, b) => compareHarm(a.metric, b.metric))[0];
}

function worstAnswer({ runs }: Review): Markup {
  const worst = worstChange(runs);
  const run = runs[worst?.index ?? -1];
  if (worst === undefined || run === undefined) return html`no metric gets worse`;
  const { name, base, head, unit } = worst.metric;
  const values = withUnit(`${short(base)} → ${short(head)}`, symbolOf(unit));
  return html`<code>${name}</code> ${values} (${deltaText(worst.metric)}) in ${link(run, worst.index)}`;
}

/** Who accepted the outputs that head computes. */
function acceptedAnswer({ runs, counts }: Review): Markup {
  const changed = runs.filter(({ acceptance }) => acceptance !== undefined);
  const accepted = changed.flatMap(({ acceptance }) => acceptance ?? []);
  if (changed.length === 0)
    return counts.outputsDiffer + counts.timingDiffers === 0 ? html`no output differs` : html`not known for these builds`;
  const names = [...new Set(accepted.map(({ by, date }) => `${by}, ${date}`))];
  const missing = changed.length - accepted.length;
  const by = names.length === 0 ? '' : `${accepted.length} of ${counted(changed.length, 'vector')} by ${names.join('; ')}`;
  const open = missing === 0 ? '' : `${counted(missing, 'vector')} not accepted`;
  return html`${[by, open].filter(Boolean).join('; ')}`;
}

/** What a reviewer asks first: what changed, by what, how bad it is, and who accepted it. */
export function answers(review: Review): Markup {
  const { causes, counts, runs } = review;
  if (counts.same === runs.length) return NOTHING;
  const [first, ...others] = causes;
  const cause =
    first === undefined
      ? html`not known`
      : html`${causePlace(first)}${others.length === 0 ? NOTHING : html` and <a href="#causes">${counted(others.length, 'other cause')}</a>`}${causeLines(first)}`;
  const rows = [
    ['By', cause],
    ['Worst', worstAnswer(review)],
    ['Accepted', acceptedAnswer(review)],
  ] as const;
  return html`<dl class="answers">${rows.map(([name, text]) => html`<dt>${name}<dd>${text}`)}</dl>`;
}

function causeItem(cause: Cause, { runs }: Review): Markup {
  const smallest = runs[cause.run];
  const note = cause.note === undefined ? '' : `: ${cause.note}`;
  const seen =
    smallest === undefined
      ? NOTHING
      : html`; smallest ${link(smallest, cause.run)}: <span class="signal">${divergenceText(cause.first)}</span>`;
  const all =
    cause.runs.length < 2
      ? NOTHING
      : html`<details><summary>${counted(cause.runs.length, 'run')}</summary><p>${linksTo(cause.runs, runs)}</p></details>`;
  const strokes = causeStrokes(cause, runs);
  const moved = strokes === undefined ? NOTHING : html`<div>${causeStrokesText(strokes)}</div>${shiftHistogram(strokes)}`;
  return html`<li class="cause"><b>${causePlace(cause)}</b>${causeLines(cause)}<div>${cause.first.reason}</div><div class="faint">${CHECK_TEXT[cause.check]}${note}</div><div>${counted(cause.runs.length, 'run')}${seen}</div>${moved}${all}`;
}

/** What makes runs differ. */
export function causesSection(review: Review): Markup {
  const { causes } = review;
  if (causes.length === 0) return NOTHING;
  return html`<section id="causes" aria-labelledby="causes-h"><h2 id="causes-h">${counted(causes.length, 'cause')}</h2>${causes.length > 1 ? html`<p class="faint">${CAUSE_RUNS_HELP}</p>` : NOTHING}<ol class="list">${causes.map((cause) => causeItem(cause, review))}</ol></section>`;
}

function fileRow({ path, basePath, change, addedLines, removedLines }: FileChange, review: Review): Markup {
  const from = basePath === undefined ? NOTHING : html` from <code>${basePath}</code>`;
  const unreached = review.coverage === undefined ? NOTHING : html`<td class="n">${unreachedIn(review, path)}`;
  return html`<tr><th scope="row" class="place">${path}<td>${change}${from}<td class="n">+${addedLines}<td class="n">−${removedLines}${unreached}`;
}

/** Commits, files and lines of the change. */
export function changeSection(review: Review): Markup {
  const { change, coverage } = review;
  if (change === undefined && coverage === undefined) return NOTHING;
  const { commits = [], commitCount = 0, missingCommits = 0, isUncommitted = false, note, files = [] } = change ?? {};
  const more = commitCount - commits.length;
  const lines = [
    ...(isUncommitted ? [html`<li>changes that are not committed`] : []),
    ...commits.map(
      ({ hash, date, author, subject }) =>
        html`<li><code>${abbreviated(hash)}</code> <span class="faint">${date} ${author}</span> ${subject}`,
    ),
    ...(more > 0 && commits.length > 0 ? [html`<li>and ${more} more`] : []),
    ...(missingCommits > 0 ? [html`<li>base has ${counted(missingCommits, 'commit')} that head does not have`] : []),
    ...(note === undefined ? [] : [html`<li>commits are not known. ${note}`]),
  ];
  const heads: Head[] = [
    { title: 'Source' },
    { title: 'Change' },
    { title: 'Added', isNumber: true },
    { title: 'Removed', isNumber: true },
    ...(coverage === undefined ? [] : [{ title: 'Never reached', isNumber: true }]),
  ];
  const sources =
    files.length === 0
      ? NOTHING
      : table(
          'plain changed',
          counted(files.length, 'controller source'),
          heads,
          html`<tbody>${files.map((file) => fileRow(file, review))}`,
        );
  const covered = coverageMarkup(review);
  if (lines.length === 0 && files.length === 0 && covered === NOTHING) return NOTHING;
  return html`<section id="change" aria-labelledby="change-h"><h2 id="change-h">The change</h2><ul class="list">${lines}</ul>${sources}${covered}</section>`;
}

function vectorItem({ name, baseName, change, title, differences, accepted, problems }: VectorChange): Markup {
  const lines = [
    ...differences.map((one) => html`<li>${vectorDifferenceText(one)}`),
    ...accepted.map((one) => html`<li>accepted ${acceptanceText(one)}`),
    ...problems.map((problem) => html`<li class="stop"><b>▲</b> ${problem}`),
  ];
  return html`<li><b>${name}</b> ${change}${baseName === undefined ? NOTHING : html` from ${baseName}`} <span class="faint">${title}</span>${lines.length === 0 ? NOTHING : html`<ul>${lines}</ul>`}`;
}

/** What became of the vectors. */
export function vectorsSection({ vectors = [] }: Review): Markup {
  if (vectors.length === 0) return NOTHING;
  return html`<section id="vectors" aria-labelledby="vectors-h"><h2 id="vectors-h">Vectors that changed</h2><ul class="list">${vectors.map(vectorItem)}</ul></section>`;
}

/** What a search for inputs came to that show edits without an effect in any run. */
export function suggestionSection(review: Review): Markup {
  const lines = suggestionLines(review);
  if (lines.length === 0) return NOTHING;
  return html`<section id="suggestion" aria-labelledby="suggestion-h"><h2 id="suggestion-h">Search for inputs</h2>${lines.map((line) => html`<p>${line}</p>`)}</section>`;
}
