import { MACHINE, type Quantity } from '../../../shared/machine.js';
import { SIZING } from '../../../shared/sizing.js';
import { PARAMETERS } from '../../contract/tables.js';
import type { CheckResult } from '../../sizing/check.js';
import type { Sizing } from '../../sizing/size-machine.js';
import type { SizingInput, SizingInputName } from '../../sizing/sizing-input.js';
import { html, Markup, NOTHING } from '../form/markup.js';
import { THEMES } from '../review/page/style.js';
import { DRAWING_STYLE, SHEET_STYLE } from './sheet-style.js';
import { circuitDrawing } from './sizing-circuit.js';
import { stacked } from './sizing-drawing.js';
import { harnessDrawing } from './sizing-harness.js';
import { CAUTIONS } from './sizing-labels.js';
import { mapDrawing } from './sizing-map.js';
import {
  type CheckLine,
  type Grid,
  kindOfQuantity,
  type List,
  type Section,
  type Sheet,
  type SheetValue,
  sheetOf,
} from './sizing-sheet.js';
import { checkSummary } from './sizing-text.js';
import { inSystem, plain, type System } from './sizing-units.js';

/** The machine in the head of a sheet. */
export interface SheetHead {
  readonly name: string;
  readonly title: string;
  readonly note: string;
  /** The version of latchbench. */
  readonly tool: string;
}

const BADGE: Readonly<Record<CheckResult, string>> = { fail: '✕ FAIL', marginal: '! marginal', pass: '✓ pass' };

const RELATION_SIGN: Readonly<Record<CheckLine['relation'], string>> = { '<=': '≤', '>=': '≥', 'no thicker than': 'no thicker than' };

/** A cell carries the path of its value, so that a number can be found in the JSON, and its column's title for narrow screens. */
const cell = ({ path, text }: SheetValue, title = ''): Markup =>
  path === '' ? html`<td>${text}` : html`<td class="n"${title === '' ? NOTHING : html` data-title="${title}"`} data-path="${path}">${text}`;

function checkCard({ check, relation, value, milder, limit, marginalLimit, unit }: CheckLine): Markup {
  const of = ({ path, text }: SheetValue): Markup => html`<span class="value" data-path="${path}">${`${text} ${unit}`.trimEnd()}</span>`;
  const sign = RELATION_SIGN[relation];
  const marginal = html`marginal${milder === undefined ? NOTHING : html`: ${of(milder)} ${check.milder?.when ?? ''},`} ${sign} ${of(marginalLimit)}`;
  const head = html`<h3><span class="badge">${BADGE[check.result]}</span> ${check.name}: ${of(value)}; must be ${sign} ${of(limit)}, ${marginal}</h3>`;
  const lines = [
    ['why', check.reason],
    ['remedy', check.remedy],
    ['rule', check.rule],
    ['source', check.source],
  ].map(([name = '', text = '']) => html`<dt>${name}<dd>${text}`);
  return html`<div class="check ${check.result}">${head}<dl>${lines}</dl></div>`;
}

function passingTable(lines: readonly CheckLine[]): Markup {
  if (lines.length === 0) return NOTHING;
  const rows = lines.map(({ check, relation, value, milder, limit, marginalLimit, unit }) => {
    const marginal =
      milder === undefined
        ? cell(marginalLimit, 'marginal')
        : html`${cell(marginalLimit, 'marginal')} (<span data-path="${milder.path}">${milder.text}</span> ${check.milder?.when ?? ''})`;
    return html`<tr><td class="nobreak">${BADGE.pass}<th scope="row">${check.name}${cell(value)}<td class="sign">${RELATION_SIGN[relation]}${cell(limit)}${marginal}<td class="nobreak">${unit}<td class="text">${check.rule}`;
  });
  return html`<div class="wide"><table class="grid cards"><caption>Checks that pass</caption><thead><tr><th scope="col">result<th scope="col">check<th scope="col" class="n">value<th scope="col"><th scope="col" class="n">limit<th scope="col" class="n">marginal<th scope="col">unit<th scope="col">rule</thead><tbody>${rows}</tbody></table></div>`;
}

function checkSection(sheet: Sheet): Markup {
  const notPassing = sheet.checks.filter(({ check }) => check.result !== 'pass');
  const passing = sheet.checks.filter(({ check }) => check.result === 'pass');
  return html`<section id="checks"><h2>Design checks</h2>${notPassing.map(checkCard)}${passingTable(passing)}</section>`;
}

const listMarkup = ({ rows }: List): Markup => {
  const lines = rows.map(({ label, value, unit }) => html`<tr><th scope="row">${label}${cell(value)}<td>${unit}`);
  return html`<div class="${rows.length > 9 ? 'lists' : ''}"><table class="list"><tbody>${lines}</tbody></table></div>`;
};

function gridMarkup({ caption, heads, unitFirst, rows }: Grid): Markup {
  const title = (head: string): Markup => html`<th scope="col"${head === 'unit' ? NOTHING : html` class="n"`}>${head}`;
  const lines = rows.map(
    ({ head, unit, values }) =>
      html`<tr><th scope="row">${head}${unitFirst ? html`<td class="nobreak">${unit}` : NOTHING}${values.map((one) => cell(one))}`,
  );
  const kind = heads.length > 7 ? 'grid tight' : 'grid';
  return html`<div class="wide"><table class="${kind}"><caption>${caption}</caption><thead><tr><th scope="col">${unitFirst ? html`<th scope="col">unit` : NOTHING}${heads.map(title)}</thead><tbody>${lines}</tbody></table></div>`;
}

const sectionMarkup = ({ id, title, note, lists, grids }: Section): Markup =>
  html`<section id="${id}"><h2>${title}</h2>${note === '' ? NOTHING : html`<p class="note">${note}</p>`}${lists.map(listMarkup)}${grids.map(gridMarkup)}</section>`;

const QUANTITIES: readonly Pick<Quantity, 'name' | 'default' | 'help'>[] = [
  ...[...MACHINE, ...SIZING].flatMap((part) => part.quantities),
  ...PARAMETERS,
];

/** All input values, with those at their defaults marked. */
function inputSection(input: SizingInput, system: System): Markup {
  const lines = (Object.keys(input) as SizingInputName[]).map((name) => {
    const known = QUANTITIES.find((one) => one.name === name);
    const kind = kindOfQuantity(name);
    const isParameter = PARAMETERS.some((one) => one.name === name);
    const isDefault = known?.default === input[name];
    return html`<tr><th scope="row"><code>${name}</code>${cell({ path: `input.${name}`, text: plain(inSystem(input[name], kind, system)) })}<td class="nobreak">${kind[system].symbol}<td>${isDefault ? 'default' : isParameter ? 'controller' : 'machine'}<td class="text">${known?.help ?? ''}`;
  });
  return html`<section id="input"><h2>Input values</h2><div class="wide"><table class="grid input cards"><caption>From the machine file, else defaults, each in the unit of its name</caption><thead><tr><th scope="col">name<th scope="col" class="n">value<th scope="col">unit<th scope="col">from<th scope="col">meaning</thead><tbody>${lines}</tbody></table></div></section>`;
}

const SYSTEM_WORDS: Readonly<Record<System, string>> = { si: 'Metric units', us: 'US customary units' };

/** A drawing below its title. A narrow screen shows it whole; at full size it scrolls. */
const figure = (title: string, svg: string): Markup =>
  html`<figure><h3>${title}</h3><label class="zoom"><input type="checkbox"> full size</label><div class="wide">${new Markup(svg)}</div></figure>`;

function drawings(input: SizingInput, sizing: Sizing, system: System): Markup {
  return html`<section id="drawings"><h2>Drawings</h2>${[
    figure('Hydraulic circuit of one row', circuitDrawing(input, sizing, system)),
    figure('Operating map: pressure and force, and their limits', mapDrawing(input, sizing, system)),
    figure(input.starWired === 1 ? 'Harness, star' : 'Harness, daisy chain', harnessDrawing(input, sizing, system)),
  ]}</section>`;
}

function head({ name, title, note }: SheetHead, sheet: Sheet, rows: number): Markup {
  const cautions = CAUTIONS.map((one) => html`<li>${one}`);
  return html`<header><h1>Sizing: ${title}</h1><p class="facts">machine ${name}, <span data-path="rowCount">${rows}</span> rows; ${SYSTEM_WORDS[sheet.system]}; closed-form estimates, neither simulated nor measured</p>${note === '' ? NOTHING : html`<p class="note">${note}</p>`}<p class="results">${checkSummary(sheet)}</p><aside class="cautions"><h2>⚠ Cautions</h2><ul>${cautions}</ul></aside></header>`;
}

/** Returns the drawings of a sheet as one SVG picture. */
export const sizingPicture = (title: string, input: SizingInput, sizing: Sizing, system: System): string =>
  stacked(title, `${THEMES}${DRAWING_STYLE}`, [
    circuitDrawing(input, sizing, system),
    mapDrawing(input, sizing, system),
    harnessDrawing(input, sizing, system),
  ]);

/** Returns the sheet of a machine as one printable HTML file without network access, scripts or other files. */
export function sizingPage(of: SheetHead, input: SizingInput, sizing: Sizing, system: System): string {
  const sheet = sheetOf(sizing, system);
  const policy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";
  const style = new Markup(`<style>${SHEET_STYLE}</style>`);
  return html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="${policy}"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark"><title>Sizing: ${of.title}</title>
${style}</head>
<body>${head(of, sheet, sizing.rowCount)}
<main>${checkSection(sheet)}
${drawings(input, sizing, system)}
${sheet.sections.map(sectionMarkup)}
${inputSection(input, system)}</main>
<footer class="faint">latchbench ${of.tool}, machine ${of.name}</footer>
</body></html>
`.text;
}
