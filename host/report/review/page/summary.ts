import type { Review, ReviewVerdict, RunReview } from '../../../review/review.js';
import { type Head, html, type Markup, NOTHING, table } from '../../form/markup.js';
import { counted } from '../../form/text-table.js';
import { refusalsOf } from '../review-text.js';
import {
  changeWords,
  rowWords,
  runName,
  seconds,
  short,
  strokesChanged,
  strokeWords,
  symbolOf,
  tickWords,
  VERDICTS,
  verdictMark,
  withUnit,
  worseWords,
  worstMetric,
} from './words.js';

const WORST_FIRST: readonly ReviewVerdict[] = ['stopped', 'refused', 'outputs', 'inner', 'same'];

/** Says in one sentence what came out. */
export function verdictSentence({ counts, runs }: Pick<Review, 'counts' | 'runs'>): string {
  const differ = counts.stopped + counts.refused + counts.outputs + counts.inner;
  if (runs.length === 0) return 'Nothing was compared.';
  if (differ === 0) return `Both builds do the same in all of ${counted(runs.length, 'run')}.`;
  const parts = [
    counts.stopped > 0 ? `${counts.stopped} stopped by an assertion` : '',
    counts.refused > 0 ? `${counts.refused} refused by a side` : '',
    counts.outputs > 0 ? `${counts.outputs} with other outputs` : '',
    counts.inner > 0 ? `${counts.inner} with other inner values only` : '',
  ].filter((part) => part !== '');
  return `${differ} of ${counted(runs.length, 'run')} differ: ${parts.join(', ')}; ${counts.same} the same.`;
}

const HEADS: readonly Head[] = [
  { title: 'Verdict', sort: 'number' },
  { title: 'Run', sort: 'text' },
  { title: 'Rows', isNumber: true, sort: 'number' },
  { title: 'Time, s', isNumber: true, sort: 'number' },
  { title: 'First parting', sort: 'number' },
  { title: 'Believed line', sort: 'text' },
  { title: 'Strokes', sort: 'number' },
  { title: 'Worst metric', sort: 'number' },
];

/** Where a run first parts, as two short lines. */
function partingCell(run: RunReview): Markup {
  const { first, tickHz, stopped } = run;
  const stops = [
    stopped.old === undefined ? '' : `old stopped at ${tickWords(stopped.old.tick, tickHz)}`,
    stopped.new === undefined ? '' : `new stopped at ${tickWords(stopped.new.tick, tickHz)}`,
    ...refusalsOf(run),
  ].filter((words) => words !== '');
  const stop = stops.map((words) => html`<div class="stop nobreak">${words}</div>`);
  if (first === undefined) return html`<td data-v="${Number.MAX_SAFE_INTEGER}">${stops.length > 0 ? stop : '–'}`;
  const where = `${tickWords(first.tick, tickHz)}, ${rowWords(first.row)}`;
  return html`<td data-v="${first.tick}"><div><span class="signal">${first.signal}</span> <span class="value">${changeWords(first)}</span></div><div class="faint nobreak">${where}</div>${stop}`;
}

const lineCell = ({ first }: RunReview): Markup => {
  const line = first?.line;
  if (line === undefined) return html`<td>–`;
  return html`<td><code class="place">${shortFile(line.file)}:${line.line}</code>${line.function === '' ? NOTHING : html`<div class="faint">${line.function}</div>`}`;
};

/** The last part of a path, as there is one file of each name. */
const shortFile = (file: string): string => file.slice(file.lastIndexOf('/') + 1);

function metricCell(run: RunReview): Markup {
  const worst = worstMetric(run);
  if (worst === undefined) return html`<td data-v="0">–`;
  const values = withUnit(`${short(worst.old)} → ${short(worst.new)}`, symbolOf(worst.unit));
  return html`<td data-v="${worst.worseBy}"><div><span class="signal">${worst.name}</span> <span class="nobreak">${worseWords(worst)}</span></div><div class="faint">${values}</div>`;
}

function runRow(run: RunReview, index: number): Markup {
  const name = runName(run);
  const title = html`<div class="faint title">${run.title}</div>`;
  const link = run.verdict === 'same' ? html`${name}` : html`<a href="#run-${index + 1}">${name}</a>`;
  return html`<tr class="${run.verdict}"><td data-v="${WORST_FIRST.indexOf(run.verdict)}">${verdictMark(run.verdict)}<th scope="row">${link}${title}<td class="n" data-v="${run.rows}">${run.rows}<td class="n" data-v="${run.ticks / run.tickHz}">${seconds(run.ticks, run.tickHz).replace(' s', '')}${partingCell(run)}${lineCell(run)}<td class="nobreak" data-v="${strokesChanged(run.strokes)}">${strokeWords(run.strokes)}${metricCell(run)}`;
}

/** The table of all runs, worst first; those that differ link to their sections. */
export function summarySection({ runs, counts }: Review): Markup {
  const filter = html`<fieldset class="filter js"><legend>Show</legend><label><input type="radio" name="which" value="all" checked> all ${runs.length}</label><label><input type="radio" name="which" value="differs"> only what differs (${runs.length - counts.same})</label></fieldset>`;
  const rows = html`<tbody>${runs.map(runRow)}`;
  return html`<section id="runs" aria-labelledby="runs-h"><h2 id="runs-h">Runs</h2>${counts.same > 0 && counts.same < runs.length ? filter : NOTHING}${table('summary', 'All runs, worst first', HEADS, rows)}</section>`;
}

/** How many runs ended how. */
export const verdictCounts = ({ counts }: Review): Markup =>
  html`<ul class="counts">${WORST_FIRST.map((verdict) => html`<li>${counts[verdict]} ${verdictMark(verdict)} <span class="faint">${VERDICTS[verdict].means}</span>`)}</ul>`;

/** What one contract has and the other has otherwise; nothing if they agree. */
export function contractSection({ contract }: Review): Markup {
  if (contract.length === 0) return NOTHING;
  const heads: Head[] = [{ title: 'What' }, { title: 'Name' }, { title: 'Change' }, { title: 'Old' }, { title: 'New' }];
  const shape = { added: '+', removed: '×', changed: '≠' } as const;
  const rows = contract.map(
    ({ what, name, change, old = '–', new: now = '–' }) =>
      html`<tr><td>${what}<th scope="row" class="signal">${name}<td>${shape[change]} ${change}<td>${old}<td>${now}`,
  );
  return html`<section id="contract" aria-labelledby="contract-h"><h2 id="contract-h">Contract changes</h2>${table('plain', `${counted(contract.length, 'change')} of the contract`, heads, html`<tbody>${rows}`)}</section>`;
}

/** Parameters that are not the same on both sides; nothing if all are. */
export function parameterSection({ parameters }: Review): Markup {
  if (parameters.length === 0) return NOTHING;
  const heads: Head[] = [
    { title: 'Parameter' },
    { title: 'Old', isNumber: true },
    { title: 'New', isNumber: true },
    { title: 'Unit' },
    { title: 'In runs' },
  ];
  const rows = parameters.map(
    ({ name, unit, old, new: now, runs }) =>
      html`<tr><th scope="row" class="signal">${name}<td class="n">${old}<td class="n">${now}<td>${symbolOf(unit)}<td>${runs.length === 0 ? 'all' : runs.join(', ')}`,
  );
  return html`<section id="parameters" aria-labelledby="parameters-h"><h2 id="parameters-h">Parameter differences</h2>${table('plain', `${counted(parameters.length, 'parameter')} not the same on both sides`, heads, html`<tbody>${rows}`)}</section>`;
}
