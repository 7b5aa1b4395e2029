import {
  changedStrokes,
  pulsesTexts,
  type StrokeChange,
  strokeChangeKind,
  strokeChangeText,
  strokesText,
} from '../../../replay/strokes.js';
import type { Divergence, MetricChange, RunReview, SignalDivergence, SourceLine } from '../../../review/review.js';
import { type Head, html, type Markup, NOTHING, table } from '../../form/markup.js';
import { counted, grouped } from '../../form/text-table.js';
import { acceptedText, atTick, ranWithText, refusalsOf, runName, tickText } from '../phrases.js';
import { changeText, KINDS, rowLabel, seconds, short, symbolOf, verdictMark, withUnit, worseText } from './labels.js';
import type { Limits } from './limits.js';
import { plotsBlock } from './plots.js';
import { statesBlock } from './states.js';

const sourceLine = (what: string, sign: string, line: SourceLine): Markup =>
  html`<figure class="source"><figcaption>${what}: <code class="place">${line.file}:${line.line}:${line.column}</code>${line.function === '' ? NOTHING : html` in <code>${line.function}</code>`}</figcaption><pre><code><span class="sign" aria-hidden="true">${sign}</span> ${line.text.trim()}</code></pre></figure>`;

/** The suspected line, with its base version if that differs. */
function sources({ suspectedLine, baseLine, via, reason }: Divergence): Markup {
  const isChanged = baseLine !== undefined && baseLine.text.trim() !== suspectedLine?.text.trim();
  const before = isChanged ? sourceLine('Base', '−', baseLine) : NOTHING;
  const title = isChanged ? 'Suspected line (head)' : 'Suspected line';
  const after = suspectedLine === undefined ? NOTHING : sourceLine(title, isChanged ? '+' : '→', suspectedLine);
  const through = via === undefined ? NOTHING : html`<div>${sourceLine('Via', '→', via)}</div>`;
  return html`<div class="sources"><div>${before}${after}</div>${through}<p class="reason"><b>Reason:</b> ${reason}</p></div>`;
}

/** The first difference of any value, and that of an output. */
function divergenceBlock({ first, firstOutput, tickHz }: RunReview): Markup {
  if (first === undefined) return html`<p>No value differs before the stop.</p>`;
  const heads: Head[] = ['Kind', 'Signal', 'Base', 'Head'].map((title) => ({ title }));
  const row = (what: string, one: SignalDivergence): Markup =>
    html`<tr><th scope="row">${what}<td><span class="signal">${one.signal}</span> <span class="faint">${KINDS[one.kind]}</span><div>${tickText(one.tick, tickHz)}, ${rowLabel(one.row)}</div><td class="value base">${withUnit(one.base, symbolOf(one.unit))}<td class="value head">${withUnit(one.head, symbolOf(one.unit))}`;
  const output =
    firstOutput === undefined ? html`<tr><th scope="row">an output<td colspan="3">no output differs` : row('an output', firstOutput);
  return html`${table('plain divergence', 'Where base and head first differ', heads, html`<tbody>${row('any value', first)}${output}`)}${sources(first)}`;
}

const metricRow = (metric: MetricChange): Markup => {
  const { name, unit, help, base, head, worseBy } = metric;
  const shape = worseBy > 0 ? '▲' : worseBy < 0 ? '▽' : '';
  return html`<tr class="${worseBy > 0 ? 'worse' : ''}"><th scope="row" class="signal" title="${help}">${name}<td class="n">${short(base)}<td class="n">${short(head)}<td>${symbolOf(unit)}<td><span aria-hidden="true" class="shape">${shape}</span> ${worseText(metric)}`;
};

function metricsBlock({ metrics }: RunReview): Markup {
  if (metrics.length === 0) return NOTHING;
  const heads: Head[] = [
    { title: 'Metric' },
    { title: 'Base', isNumber: true },
    { title: 'Head', isNumber: true },
    { title: 'Unit' },
    { title: 'Change' },
  ];
  return html`<div><h3>Metrics</h3>${table('plain', 'Worst change first', heads, html`<tbody>${metrics.map(metricRow)}`)}</div>`;
}

function strokeRow(change: StrokeChange, tickHz: number): Markup {
  const tick = (at: number | undefined): string => (at === undefined ? '–' : String(at));
  return html`<tr class="${strokeChangeKind(change)}"><td>${change.row}<td>${change.valve}<td>${change.order}<td>${tick(change.base)}<td>${tick(change.head)}<td>${strokeChangeText(change, tickHz)}`;
}

function strokesBlock({ strokes, tickHz }: RunReview, lines: number): Markup {
  const changed = changedStrokes(strokes);
  const sums = html`<p>${grouped(strokes.base)} strokes in base, ${grouped(strokes.head)} in head: ${strokesText(strokes, tickHz) || 'none differs'}; ${strokes.same} in the same tick.</p>${pulsesTexts(strokes, tickHz).map((line) => html`<p>${line}.</p>`)}`;
  const shown = strokes.changes.slice(0, lines);
  if (shown.length === 0) return html`<div><h3>Strokes</h3>${sums}</div>`;
  const heads: Head[] = [
    { title: 'Row' },
    { title: 'Valve' },
    { title: 'Order' },
    { title: 'Base tick', isNumber: true },
    { title: 'Head tick', isNumber: true },
    { title: 'Change' },
  ];
  const title =
    shown.length < changed ? `The first ${shown.length} of ${counted(changed, 'changed stroke')}` : counted(changed, 'changed stroke');
  const rows = html`<tbody>${shown.map((change) => strokeRow(change, tickHz))}`;
  return html`<div><h3>Strokes</h3>${sums}<details><summary>${title}</summary>${table('plain strokes', title, heads, rows)}</details></div>`;
}

function signalsBlock({ signals, tickHz }: RunReview, lines: number): Markup {
  if (signals.length === 0) return NOTHING;
  const shown = signals.slice(0, lines);
  const title =
    shown.length < signals.length ? `The first ${shown.length} of ${signals.length} signals` : counted(signals.length, 'signal');
  const heads: Head[] = [
    { title: 'Tick', isNumber: true },
    { title: 'Row' },
    { title: 'Signal' },
    { title: 'Kind' },
    { title: 'Base → head' },
  ];
  const rows = shown.map(
    (one) =>
      html`<tr><td>${one.tick < 0 ? 'configure()' : one.tick}<td>${one.row === 0 ? 'bank' : one.row}<th scope="row">${one.signal}<td>${KINDS[one.kind]}<td>${changeText(one)}`,
  );
  const from = tickText(signals[0]?.tick ?? 0, tickHz);
  return html`<div><h3>Signals that differ</h3><p>${counted(signals.length, 'signal')}, from ${from} on.</p><details><summary>${title}, in order of time</summary>${table('plain signals', `${title} that differ`, heads, html`<tbody>${rows}`)}</details></div>`;
}

function stopBlock({ stopped, tickHz }: RunReview): Markup {
  const paragraphs = (['base', 'head'] as const).flatMap((side) => {
    const stop = stopped[side];
    if (stop === undefined) return [];
    return [html`<p class="stop"><b>■ ${side} stopped</b> ${atTick(stop.tick, tickHz)}: <code>${stop.message}</code></p>`];
  });
  return html`${paragraphs}`;
}

/** The section of a run that differs. @param index from 1, its position among all runs */
export function runSection(run: RunReview, index: number, limits: Limits): Markup {
  const { title, kind, verdict, rows, ticks, tickHz, notes, views } = run;
  const facts = `${kind}, ${counted(rows, 'row')}, ${seconds(ticks, tickHz)} (${counted(ticks, 'tick')} at ${grouped(tickHz)} Hz)`;
  const noteList = notes.length === 0 ? NOTHING : html`<ul class="notes">${notes.map((note) => html`<li>${note}`)}</ul>`;
  const accepted = run.acceptance === undefined ? NOTHING : html`<p>${acceptedText(run) || 'nobody has accepted the outputs of head'}</p>`;
  const refusals = refusalsOf(run).map((text) => html`<p class="stop"><b>▲</b> ${text}</p>`);
  const details = html`<h3>First difference</h3>${divergenceBlock(run)}${views === undefined ? NOTHING : plotsBlock(run, views, index, limits)}<div class="columns">${metricsBlock(run)}${strokesBlock(run, limits.lines)}${signalsBlock(run, limits.lines)}${statesBlock(run, index, limits.hasEqualValues)}</div>`;
  return html`<section class="run" id="run-${index}" aria-labelledby="run-${index}-h"><h2 id="run-${index}-h">${runName(run)}</h2><p class="lead">${title}</p><p>${verdictMark(verdict)} <span class="faint">${facts}; ${ranWithText(run)}</span> <a class="up" href="#runs">all runs</a></p>${accepted}${noteList}${stopBlock(run)}${run.refused === undefined ? details : html`${refusals}`}</section>
`;
}
