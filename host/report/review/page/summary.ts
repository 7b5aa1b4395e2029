import { changedStrokes, strokeCountsText } from '../../../replay/strokes.js';
import { VERDICTS } from '../../../replay/verdict.js';
import type { Review, RunReview } from '../../../review/review.js';
import { type Head, html, type Markup, NOTHING, table } from '../../form/markup.js';
import { counted } from '../../form/text-table.js';
import { refusalsOf, runName, tickText, VERDICT_HELP } from '../phrases.js';
import { changeText, rowLabel, seconds, short, symbolOf, verdictMark, withUnit, worseText, worstMetric } from './labels.js';

const HEADS: readonly Head[] = [
  { title: 'Verdict', sort: 'number' },
  { title: 'Run', sort: 'text' },
  { title: 'Rows', isNumber: true, sort: 'number' },
  { title: 'Time, s', isNumber: true, sort: 'number' },
  { title: 'First difference', sort: 'number' },
  { title: 'Suspected line', sort: 'text' },
  { title: 'Strokes', sort: 'number' },
  { title: 'Worst metric change', sort: 'number' },
];

/** The first difference of a run, as two short lines. */
function divergenceCell(run: RunReview): Markup {
  const { first, tickHz, stopped } = run;
  const stops = [
    stopped.base === undefined ? '' : `base stopped at ${tickText(stopped.base.tick, tickHz)}`,
    stopped.head === undefined ? '' : `head stopped at ${tickText(stopped.head.tick, tickHz)}`,
    ...refusalsOf(run),
  ].filter(Boolean);
  const stop = stops.map((text) => html`<div class="stop nobreak">${text}</div>`);
  if (first === undefined) return html`<td data-v="${Number.MAX_SAFE_INTEGER}">${stops.length > 0 ? stop : '–'}`;
  const where = `${tickText(first.tick, tickHz)}, ${rowLabel(first.row)}`;
  return html`<td data-v="${first.tick}"><div><span class="signal">${first.signal}</span> <span class="value">${changeText(first)}</span></div><div class="faint nobreak">${where}</div>${stop}`;
}

/** Without folders: file names are unique. */
const fileName = (file: string): string => file.slice(file.lastIndexOf('/') + 1);

const lineCell = ({ first }: RunReview): Markup => {
  const line = first?.suspectedLine;
  if (line === undefined) return html`<td>–`;
  return html`<td><code class="place">${fileName(line.file)}:${line.line}</code>${line.function === '' ? NOTHING : html`<div class="faint">${line.function}</div>`}`;
};

function metricCell(run: RunReview): Markup {
  const worst = worstMetric(run);
  if (worst === undefined) return html`<td data-v="0">–`;
  const values = withUnit(`${short(worst.base)} → ${short(worst.head)}`, symbolOf(worst.unit));
  return html`<td data-v="${worst.worseBy}"><div><span class="signal">${worst.name}</span> <span class="nobreak">${worseText(worst)}</span></div><div class="faint">${values}</div>`;
}

function runRow(run: RunReview, index: number): Markup {
  const name = runName(run);
  const title = html`<div class="faint title">${run.title}</div>`;
  const link = run.verdict === 'same' ? html`${name}` : html`<a href="#run-${index + 1}">${name}</a>`;
  return html`<tr class="${run.verdict}"><td data-v="${VERDICTS.indexOf(run.verdict)}">${verdictMark(run.verdict)}<th scope="row">${link}${title}<td class="n" data-title="rows" data-v="${run.rows}">${run.rows}<td class="n" data-title="time, s" data-v="${run.ticks / run.tickHz}">${seconds(run.ticks, run.tickHz).replace(' s', '')}${divergenceCell(run)}${lineCell(run)}<td class="nobreak" data-title="strokes" data-v="${changedStrokes(run.strokes)}">${strokeCountsText(run.strokes) || '–'}${metricCell(run)}`;
}

/** The table of all runs, worst first. Those that differ link to their sections. */
export function summarySection({ runs, counts }: Review): Markup {
  const filter = html`<fieldset class="filter js"><legend>Show</legend><label><input type="radio" name="which" value="all" checked> all ${runs.length}</label><label><input type="radio" name="which" value="differs"> only differences (${runs.length - counts.same})</label></fieldset>`;
  const rows = html`<tbody>${runs.map(runRow)}`;
  return html`<section id="runs" aria-labelledby="runs-h"><h2 id="runs-h">Runs</h2>${counts.same > 0 && counts.same < runs.length ? filter : NOTHING}${table('summary', 'All runs, worst first', HEADS, rows)}</section>`;
}

/** Number of runs of each verdict. */
export const verdictCounts = ({ counts }: Review): Markup =>
  html`<ul class="counts">${VERDICTS.map((verdict) => html`<li${counts[verdict] === 0 ? html` class="zero"` : NOTHING}>${counts[verdict]} ${verdictMark(verdict)} <span class="faint">${VERDICT_HELP[verdict]}</span>`)}</ul>`;

/** Differences between the contracts; nothing if there are none. */
export function contractSection({ contract }: Review): Markup {
  if (contract.length === 0) return NOTHING;
  const heads: Head[] = [{ title: 'Kind' }, { title: 'Name' }, { title: 'Change' }, { title: 'Base' }, { title: 'Head' }];
  const shape = { added: '+', removed: '×', changed: '≠' } as const;
  const rows = contract.map(
    ({ what, name, change, base = '–', head = '–' }) =>
      html`<tr><td>${what}<th scope="row" class="signal">${name}<td>${shape[change]} ${change}<td>${base}<td>${head}`,
  );
  return html`<section id="contract" aria-labelledby="contract-h"><h2 id="contract-h">Contract changes</h2>${table('plain', counted(contract.length, 'contract change'), heads, html`<tbody>${rows}`)}</section>`;
}

/** Parameters that differ; nothing if none do. */
export function parameterSection({ parameters }: Review): Markup {
  if (parameters.length === 0) return NOTHING;
  const heads: Head[] = [
    { title: 'Parameter' },
    { title: 'Base', isNumber: true },
    { title: 'Head', isNumber: true },
    { title: 'Unit' },
    { title: 'In runs' },
  ];
  const rows = parameters.map(
    ({ name, unit, base, head, runs }) =>
      html`<tr><th scope="row" class="signal">${name}<td class="n">${base}<td class="n">${head}<td>${symbolOf(unit)}<td>${runs.length === 0 ? 'all' : runs.join(', ')}`,
  );
  return html`<section id="parameters" aria-labelledby="parameters-h"><h2 id="parameters-h">Parameter differences</h2>${table('plain', counted(parameters.length, 'parameter difference'), heads, html`<tbody>${rows}`)}</section>`;
}
