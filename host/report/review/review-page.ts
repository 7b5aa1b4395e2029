import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { abbreviated } from '../../common/hash.js';
import { TOOL_ROOT } from '../../common/project.js';
import type { BuildFacts, Review } from '../../review/review.js';
import { html, Markup, NOTHING } from '../form/markup.js';
import { buildName } from '../form/run-identity.js';
import { answers, causesSection, changeSection, suggestionSection, vectorsSection } from './page/change.js';
import { limitsFor } from './page/limits.js';
import { provenanceSection } from './page/provenance.js';
import { runSection } from './page/run.js';
import { STYLE, STYLE_WITHOUT_SCRIPT } from './page/style.js';
import { contractSection, parameterSection, summarySection, verdictCounts } from './page/summary.js';
import { verdictSentence } from './phrases.js';

/** The client code, each file after those that it imports. */
const CLIENT = ['unpack', 'axes', 'lanes', 'differences', 'states', 'plots', 'tables', 'client'];

/** The compiled client code as one module: without imports and exports, since each file follows those that it imports. */
function clientScript(): string {
  const parts = CLIENT.map((name) =>
    readFileSync(join(TOOL_ROOT, 'dist', 'host', 'report', 'review', 'page', 'client', `${name}.js`), 'utf8'),
  );
  return parts.map((text) => text.replace(/^import [^;]*;$/gm, '').replace(/^export (?=const|function|class)/gm, '')).join('\n');
}

/** The plotting library with its licence, and its style sheet. */
function plotLibrary(): { script: string; style: string } {
  const { resolve } = createRequire(import.meta.url);
  const read = (path: string): string => readFileSync(resolve(`uplot/${path}`), 'utf8');
  return { script: `/*\n${read('LICENSE').trim()}\n*/\n${read('dist/uPlot.iife.min.js')}`, style: read('dist/uPlot.min.css') };
}

/** Hash of a script for the content security policy, so that no other script runs. */
const scriptHash = (text: string): string => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

/** A script or a style sheet as an element; its text must not contain the end tag. */
function inlined(open: string, close: string, text: string): Markup {
  if (text.toLowerCase().includes(close.slice(0, -1))) throw new Error(`a script or style sheet contains ${close}`);
  return new Markup(`${open}${text}${close}`);
}

const sideCell = (side: string, build: BuildFacts): Markup => {
  const { version, commit, sourceHash, parameters } = build;
  return html`<div class="side"><span class="name">${side}</span><b>${buildName(build)}</b> <span class="faint">version ${version}, source hash ${abbreviated(sourceHash)}${commit === undefined ? '' : `, commit ${abbreviated(commit)}`}${parameters === undefined ? '' : `, with ${parameters.file}`}</span></div>`;
};

const THEMES = [
  ['light', 'light', ''],
  ['dark', 'dark', ''],
  ['system', 'system', ' checked'],
] as const;

/** The title block: what was compared, and the result. */
function titleBlock(review: Review): Markup {
  const theme = THEMES.map(
    ([value, words, checked]) => html`<label><input type="radio" name="theme" value="${value}"${checked}> ${words}</label>`,
  );
  const toggle = html`<fieldset class="theme js"><legend>Theme</legend>${theme}</fieldset>`;
  return html`<header><div class="block"><div class="whole"><h1>Controller review: ${buildName(review.base)} → ${buildName(review.head)}</h1>${toggle}</div>${sideCell('Base', review.base)}${sideCell('Head', review.head)}<div class="whole"><p><b>${verdictSentence(review)}</b></p>${verdictCounts(review)}</div><div class="whole">${answers(review)}</div></div><noscript><p class="notice">Plots, filters and sorting need JavaScript. All tables and texts are complete without it.</p></noscript></header>`;
}

function navigation({ contract, parameters, causes, change, coverage, vectors = [], suggestion }: Review): Markup {
  const link = (id: string, words: string): Markup => html`<li><a href="#${id}">${words}</a>`;
  const some = [
    ...(causes.length > 0 ? [link('causes', 'Causes')] : []),
    ...(change !== undefined || coverage !== undefined ? [link('change', 'The change')] : []),
    ...(vectors.length > 0 ? [link('vectors', 'Vectors that changed')] : []),
    ...(suggestion !== undefined ? [link('suggestion', 'Search for inputs')] : []),
    ...(contract.length > 0 ? [link('contract', 'Contract changes')] : []),
    ...(parameters.length > 0 ? [link('parameters', 'Parameter differences')] : []),
  ];
  return html`<nav aria-label="Sections"><ul>${some}${link('runs', 'Runs')}${link('provenance', 'Provenance')}</ul></nav>`;
}

/**
 * A review as a self-contained HTML file. It needs no network and no other file, and JavaScript only for plots, filters and sorting.
 */
export function reviewPage(review: Review): string {
  const library = plotLibrary();
  const client = clientScript();
  const policy = `default-src 'none'; script-src ${scriptHash(library.script)} ${scriptHash(client)}; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'`;
  const limits = limitsFor(review.runs.length - review.counts.same);
  const sections = review.runs.map((run, index) => (run.verdict === 'same' ? NOTHING : runSection(run, index + 1, limits)));
  return html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="${policy}"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark"><title>Review: ${buildName(review.base)} → ${buildName(review.head)}</title>
${inlined('<style>', '</style>', library.style + STYLE)}<noscript>${inlined('<style>', '</style>', STYLE_WITHOUT_SCRIPT)}</noscript></head>
<body><a class="skip" href="#main">Skip to the runs</a>
${titleBlock(review)}
${navigation(review)}
<main id="main" tabindex="-1">${changeSection(review)}${causesSection(review)}${summarySection(review)}${vectorsSection(review)}${suggestionSection(review)}${contractSection(review)}${parameterSection(review)}
${sections}${provenanceSection(review)}</main>
<footer class="faint">latchbench ${review.tool}</footer>
${inlined('<script>', '</script>', library.script)}
${inlined('<script type="module">', '</script>', client)}
</body></html>
`.text;
}
