import { MACHINE, type Quantity } from '../../../shared/machine.js';
import { SIZING } from '../../../shared/sizing.js';
import type { Verdict } from '../../sizing/check.js';
import type { Given, GivenName } from '../../sizing/given.js';
import type { Sizing } from '../../sizing/size-machine.js';
import { html, Markup, NOTHING } from '../form/markup.js';
import { THEMES } from '../review/page/style.js';
import { DRAWING_STYLE, SHEET_STYLE } from './sheet-style.js';
import { circuitDrawing } from './sizing-circuit.js';
import { stacked } from './sizing-drawing.js';
import { harnessDrawing } from './sizing-harness.js';
import { mapDrawing } from './sizing-map.js';
import { type CheckLine, type Grid, kindOfQuantity, type List, type Metric, type Section, type Sheet, sheetOf } from './sizing-sheet.js';
import { verdictPhrase } from './sizing-text.js';
import { inSystem, plain, type System } from './sizing-units.js';
import { CAUTIONS } from './sizing-words.js';

/** What a sheet says of the machine it is of. */
export interface SheetHead {
  readonly name: string;
  readonly title: string;
  readonly note: string;
  /** Version of latchbench. */
  readonly tool: string;
}

const BADGE: Readonly<Record<Verdict, string>> = { fail: '✕ FAIL', near: '≈ near', pass: '✓ pass' };

/** A metric's path goes with it, so that whoever doubts a number finds it in the JSON. */
const cell = ({ path, text }: Metric): Markup => (path === '' ? html`<td>${text}` : html`<td class="n" data-metric="${path}">${text}`);

function checkCard({ check, value, limit, nearLimit, unit }: CheckLine): Markup {
  const of = ({ path, text }: Metric): Markup => html`<span class="value" data-metric="${path}">${`${text} ${unit}`.trimEnd()}</span>`;
  const head = html`<h3><span class="badge">${BADGE[check.verdict]}</span> ${check.name}: ${of(value)}; passes ${check.is === '<=' ? '≤' : '≥'} ${of(limit)}, near to ${of(nearLimit)}</h3>`;
  const lines = [
    ['why', check.reason],
    ['remedy', check.remedy],
    ['rule', check.rule],
    ['source', check.source],
  ].map(([name = '', text = '']) => html`<dt>${name}<dd>${text}`);
  return html`<div class="check ${check.verdict}">${head}<dl>${lines}</dl></div>`;
}

function passingTable(lines: readonly CheckLine[]): Markup {
  if (lines.length === 0) return NOTHING;
  const rows = lines.map(({ check, value, limit, nearLimit, unit }) => {
    const is = check.is === '<=' ? '≤' : '≥';
    return html`<tr><td class="nobreak">${BADGE.pass}<th scope="row">${check.name}${cell(value)}<td>${is}${cell(limit)}${cell(nearLimit)}<td class="nobreak">${unit}<td>${check.rule}`;
  });
  return html`<div class="wide"><table class="grid"><caption>Checks that pass</caption><thead><tr><th scope="col">verdict<th scope="col">check<th scope="col" class="n">value<th scope="col"><th scope="col" class="n">limit<th scope="col" class="n">near to<th scope="col">unit<th scope="col">rule</thead><tbody>${rows}</tbody></table></div>`;
}

function checkSection(sheet: Sheet): Markup {
  const told = sheet.checks.filter(({ check }) => check.verdict !== 'pass');
  const passing = sheet.checks.filter(({ check }) => check.verdict === 'pass');
  return html`<section id="checks"><h2>Design checks</h2>${told.map(checkCard)}${passingTable(passing)}</section>`;
}

const listMarkup = ({ rows }: List): Markup => {
  const lines = rows.map(({ label, metric, unit }) => html`<tr><th scope="row">${label}${cell(metric)}<td>${unit}`);
  return html`<div class="${rows.length > 9 ? 'lists' : ''}"><table class="list"><tbody>${lines}</tbody></table></div>`;
};

function gridMarkup({ caption, heads, unitFirst, rows }: Grid): Markup {
  const title = (head: string): Markup => html`<th scope="col"${head === 'unit' ? NOTHING : html` class="n"`}>${head}`;
  const lines = rows.map(
    ({ head, unit, metrics }) =>
      html`<tr><th scope="row">${head}${unitFirst ? html`<td class="nobreak">${unit}` : NOTHING}${metrics.map(cell)}`,
  );
  const kind = heads.length > 7 ? 'grid tight' : 'grid';
  return html`<div class="wide"><table class="${kind}"><caption>${caption}</caption><thead><tr><th scope="col">${unitFirst ? html`<th scope="col">unit` : NOTHING}${heads.map(title)}</thead><tbody>${lines}</tbody></table></div>`;
}

const sectionMarkup = ({ id, title, note, lists, grids }: Section): Markup =>
  html`<section id="${id}"><h2>${title}</h2>${note === '' ? NOTHING : html`<p class="note">${note}</p>`}${lists.map(listMarkup)}${grids.map(gridMarkup)}</section>`;

const QUANTITIES: readonly Quantity[] = [...MACHINE, ...SIZING].flatMap((part) => part.quantities);

/** All that the metrics rest on; what is as in the tables' defaults is told apart from what the machine says. */
function givenSection(given: Given, system: System): Markup {
  const lines = (Object.keys(given) as GivenName[]).map((name) => {
    const known = QUANTITIES.find((one) => one.name === name);
    const kind = kindOfQuantity(name);
    const isOwn = known === undefined || known.default !== given[name];
    return html`<tr><th scope="row"><code>${name}</code>${cell({ path: `given.${name}`, text: plain(inSystem(given[name], kind, system)) })}<td class="nobreak">${kind[system].symbol}<td>${isOwn ? '' : 'default'}<td>${known?.help ?? 'As the controller is told'}`;
  });
  return html`<section id="given"><h2>What all this rests on</h2><div class="wide"><table class="grid given"><caption>Numbers of the machine’s file; “default” stands where it says no other than the tables</caption><thead><tr><th scope="col">name<th scope="col" class="n">value<th scope="col">unit<th scope="col"><th scope="col">meaning</thead><tbody>${lines}</tbody></table></div></section>`;
}

const SYSTEM_WORDS: Readonly<Record<System, string>> = { si: 'Metric units', us: 'US customary units' };

/** A drawing with its title above it. */
const figure = (title: string, svg: string): Markup => html`<figure><h3>${title}</h3>${new Markup(svg)}</figure>`;

function drawings(given: Given, sizing: Sizing, system: System): Markup {
  return html`<section id="drawings"><h2>Drawings</h2>${[
    figure('Hydraulic circuit of one row', circuitDrawing(given, sizing, system)),
    figure('Operating map: pressure and force, and their limits', mapDrawing(given, sizing, system)),
    figure(given.starWired === 1 ? 'Harness, a star' : 'Harness, a daisy chain', harnessDrawing(given, sizing, system)),
  ]}</section>`;
}

function head({ name, title, note }: SheetHead, sheet: Sheet, rows: number): Markup {
  const cautions = CAUTIONS.map((one) => html`<li>${one}`);
  return html`<header><h1>Sizing: ${title}</h1><p class="facts">machine ${name}, <span data-metric="rowCount">${rows}</span> rows; ${SYSTEM_WORDS[sheet.system]}; closed forms, not a simulation and no measurement</p>${note === '' ? NOTHING : html`<p class="note">${note}</p>`}<p class="verdicts">${verdictPhrase(sheet)}</p><aside class="cautions"><h2>⚠ Cautions</h2><ul>${cautions}</ul></aside></header>`;
}

/** The sheet's drawings as one picture. */
export const sizingPicture = (title: string, given: Given, sizing: Sizing, system: System): string =>
  stacked(title, `${THEMES}${DRAWING_STYLE}`, [
    circuitDrawing(given, sizing, system),
    mapDrawing(given, sizing, system),
    harnessDrawing(given, sizing, system),
  ]);

/** The sheet of a machine as one HTML file to read and to print: no network, no script, no file beside it. */
export function sizingPage(of: SheetHead, given: Given, sizing: Sizing, system: System): string {
  const sheet = sheetOf(sizing, system);
  const policy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";
  const style = new Markup(`<style>${SHEET_STYLE}</style>`);
  return html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="${policy}"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark"><title>Sizing: ${of.title}</title>
${style}</head>
<body>${head(of, sheet, sizing.rowCount)}
<main>${checkSection(sheet)}
${drawings(given, sizing, system)}
${sheet.sections.map(sectionMarkup)}
${givenSection(given, system)}</main>
<footer class="faint">latchbench ${of.tool}, machine ${of.name}</footer>
</body></html>
`.text;
}
