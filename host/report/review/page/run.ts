import type { MetricChange, Parting, RunReview, SignalParting, SourceLine, StrokeChange } from '../../../review/review.js';
import { type Head, html, type Markup, NOTHING, table } from '../../form/markup.js';
import { counted, grouped } from '../../form/text-table.js';
import { refusalsOf } from '../review-text.js';
import { plotsBlock } from './plots.js';
import type { Room } from './room.js';
import { statesBlock } from './states.js';
import {
  changeWords,
  KINDS,
  rowWords,
  runName,
  seconds,
  short,
  strokeChangeWords,
  strokesChanged,
  strokeWords,
  symbolOf,
  tickWords,
  VERDICTS,
  verdictMark,
  withUnit,
  worseWords,
} from './words.js';

/** A line of source as code, with where it stands. */
const sourceLine = (what: string, sign: string, line: SourceLine): Markup =>
  html`<figure class="source"><figcaption>${what}: <code class="place">${line.file}:${line.line}:${line.column}</code>${line.function === '' ? NOTHING : html` in <code>${line.function}</code>`}</figcaption><pre><code><span class="sign" aria-hidden="true">${sign}</span> ${line.text.trim()}</code></pre></figure>`;

/** Lines that are believed to have made the difference. */
function sources({ line, oldLine, via, because }: Parting): Markup {
  const isMoved = oldLine !== undefined && oldLine.text.trim() !== line?.text.trim();
  const before = isMoved ? sourceLine('Old', '−', oldLine) : NOTHING;
  const after = line === undefined ? NOTHING : sourceLine(isMoved ? 'New' : 'Believed line', isMoved ? '+' : '→', line);
  const through = via === undefined ? NOTHING : html`<div>${sourceLine('Through', '→', via)}</div>`;
  return html`<div class="sources"><div>${before}${after}</div>${through}<p class="because"><b>Because</b> ${because}</p></div>`;
}

/** Where values first part, and where outputs do. */
function partingBlock({ first, firstOutput, tickHz }: RunReview): Markup {
  if (first === undefined) return html`<p>No value parts before a side stops.</p>`;
  const heads: Head[] = ['What parts', 'Signal', 'Old', 'New'].map((title) => ({ title }));
  const row = (what: string, one: SignalParting): Markup =>
    html`<tr><th scope="row">${what}<td><span class="signal">${one.signal}</span> <span class="faint">${KINDS[one.kind]}</span><div>${tickWords(one.tick, tickHz)}, ${rowWords(one.row)}</div><td class="value old">${withUnit(one.old, symbolOf(one.unit))}<td class="value new">${withUnit(one.new, symbolOf(one.unit))}`;
  const output =
    firstOutput === undefined ? html`<tr><th scope="row">first output<td colspan="3">no output parts` : row('first output', firstOutput);
  return html`${table('plain parting', 'First value and first output that part', heads, html`<tbody>${row('first value', first)}${output}`)}${sources(first)}`;
}

const metricRow = (metric: MetricChange): Markup => {
  const { name, unit, help, old, new: now, worseBy } = metric;
  const shape = worseBy > 0 ? '▲' : worseBy < 0 ? '▽' : '';
  return html`<tr class="${worseBy > 0 ? 'worse' : ''}"><th scope="row" class="signal" title="${help}">${name}<td class="n">${short(old)}<td class="n">${short(now)}<td>${symbolOf(unit)}<td><span aria-hidden="true" class="shape">${shape}</span> ${worseWords(metric)}`;
};

function metricsBlock({ metrics }: RunReview): Markup {
  if (metrics.length === 0) return NOTHING;
  const heads: Head[] = [
    { title: 'Metric' },
    { title: 'Old', isNumber: true },
    { title: 'New', isNumber: true },
    { title: 'Unit' },
    { title: 'Change' },
  ];
  return html`<div><h3>Metrics</h3>${table('plain', 'Metrics, worst change first', heads, html`<tbody>${metrics.map(metricRow)}`)}</div>`;
}

function strokeRow(change: StrokeChange, tickHz: number): Markup {
  const { kind, words } = strokeChangeWords(change, tickHz);
  const tick = (at: number | undefined): string => (at === undefined ? '–' : grouped(at));
  return html`<tr class="${kind}"><td>${change.row}<td>${change.valve}<td>${change.order}<td>${tick(change.old)}<td>${tick(change.new)}<td>${words}`;
}

function strokesBlock({ strokes, tickHz }: RunReview, lines: number): Markup {
  const changed = strokesChanged(strokes);
  const sums = html`<p>${grouped(strokes.old)} strokes old, ${grouped(strokes.new)} new: ${changed === 0 ? 'none changed' : strokeWords(strokes)}.</p>`;
  const shown = strokes.changes.slice(0, lines);
  if (shown.length === 0) return html`<div><h3>Strokes</h3>${sums}</div>`;
  const heads: Head[] = [
    { title: 'Row' },
    { title: 'Valve' },
    { title: 'Order' },
    { title: 'Old tick', isNumber: true },
    { title: 'New tick', isNumber: true },
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
    { title: 'Old → new' },
  ];
  const rows = shown.map(
    (one) =>
      html`<tr><td>${one.tick < 0 ? 'configure()' : grouped(one.tick)}<td>${one.row === 0 ? 'bank' : one.row}<th scope="row">${one.signal}<td>${KINDS[one.kind]}<td>${changeWords(one)}`,
  );
  const span = `from ${tickWords(signals[0]?.tick ?? 0, tickHz)} on`;
  return html`<div><h3>Signals that part</h3><p>${counted(signals.length, 'signal')}, ${span}.</p><details><summary>${title}, in order of time</summary>${table('plain signals', `${title} that part`, heads, html`<tbody>${rows}`)}</details></div>`;
}

function stopBlock({ stopped, tickHz }: RunReview): Markup {
  const sides = [
    ['Old', stopped.old],
    ['New', stopped.new],
  ] as const;
  const said = sides.flatMap(([side, stop]) =>
    stop === undefined
      ? []
      : [html`<p class="stop"><b>■ ${side} build stopped</b> at ${tickWords(stop.tick, tickHz)}: <code>${stop.message}</code></p>`],
  );
  return html`${said}`;
}

/** All that is known of a run that differs. @param index from 1, its place among all runs */
export function runSection(run: RunReview, index: number, room: Room): Markup {
  const { title, kind, verdict, rows, ticks, tickHz, notes, sight } = run;
  const facts = `${kind}, ${counted(rows, 'row')}, ${seconds(ticks, tickHz)} (${counted(ticks, 'tick')} at ${tickHz} Hz)`;
  const noted = notes.length === 0 ? NOTHING : html`<ul class="notes">${notes.map((note) => html`<li>${note}`)}</ul>`;
  const refusals = refusalsOf(run).map((words) => html`<p class="stop"><b>${VERDICTS.refused.shape}</b> ${words}</p>`);
  const found = html`<h3>Where they part</h3>${partingBlock(run)}${sight === undefined ? NOTHING : plotsBlock(run, sight, index, room)}<div class="columns">${metricsBlock(run)}${strokesBlock(run, room.lines)}${signalsBlock(run, room.lines)}${statesBlock(run, index, room.isAlikeText)}</div>`;
  return html`<section class="run" id="run-${index}" aria-labelledby="run-${index}-h"><h2 id="run-${index}-h">${runName(run)}</h2><p class="lead">${title}</p><p>${verdictMark(verdict)} <span class="faint">${VERDICTS[verdict].means} · ${facts}</span> <a class="up" href="#runs">all runs</a></p>${noted}${stopBlock(run)}${run.refused === undefined ? found : html`${refusals}`}</section>
`;
}
