import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { TOOL_ROOT } from '../../common/project.js';
import type { BuildFacts, Review } from '../../review/review.js';
import { html, Markup, NOTHING } from '../form/markup.js';
import { provenanceSection } from './page/provenance.js';
import { roomFor } from './page/room.js';
import { runSection } from './page/run.js';
import { STYLE, STYLE_WITHOUT_SCRIPT } from './page/style.js';
import { contractSection, parameterSection, summarySection, verdictCounts, verdictSentence } from './page/summary.js';

/** The page's own code, in an order in which each part knows what it needs. */
const CLIENT = ['unpack', 'axes', 'lanes', 'plots', 'tables', 'states', 'client'];

/**
 * The compiled parts of the page's code as one module: what they import from each other stands above them then, so import lines
 * and the word export go.
 */
function clientScript(): string {
  const parts = CLIENT.map((name) =>
    readFileSync(join(TOOL_ROOT, 'dist', 'host', 'report', 'review', 'page', 'client', `${name}.js`), 'utf8'),
  );
  return parts.map((text) => text.replace(/^import [^;]*;$/gm, '').replace(/^export (?=const|function|class)/gm, '')).join('\n');
}

/** The plotting library with its licence, and its style. */
function plotLibrary(): { script: string; style: string } {
  const { resolve } = createRequire(import.meta.url);
  const read = (path: string): string => readFileSync(resolve(`uplot/${path}`), 'utf8');
  return { script: `/*\n${read('LICENSE').trim()}\n*/\n${read('dist/uPlot.iife.min.js')}`, style: read('dist/uPlot.min.css') };
}

/** How a script is named in the policy, so that no other one runs. */
const scriptHash = (text: string): string => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

/** A script or a style as an element; its own end tag must not stand in it. */
function inlined(open: string, close: string, text: string): Markup {
  if (text.toLowerCase().includes(close.slice(0, -1))) throw new Error(`${close} stands inside what is to be put before it`);
  return new Markup(`${open}${text}${close}`);
}

const sideCell = (name: string, { asked, version, commit, parameters }: BuildFacts): Markup =>
  html`<div class="side"><span class="name">${name}</span><b>${asked}</b> <span class="faint">version ${version}${commit === undefined ? '' : `, commit ${commit.slice(0, 12)}`}${parameters === undefined ? '' : `, with ${parameters.file}`}</span></div>`;

const THEMES = [
  ['light', 'light', ''],
  ['dark', 'dark', ''],
  ['system', 'as the system', ' checked'],
] as const;

/** The title block: what is compared, and what came out. */
function head(review: Review): Markup {
  const theme = THEMES.map(
    ([value, words, checked]) => html`<label><input type="radio" name="theme" value="${value}"${checked}> ${words}</label>`,
  );
  const toggle = html`<fieldset class="theme js"><legend>Colours</legend>${theme}</fieldset>`;
  return html`<header><div class="block"><div class="whole"><h1>Review of a controller: ${review.old.asked} → ${review.new.asked}</h1>${toggle}</div>${sideCell('Old', review.old)}${sideCell('New', review.new)}<div class="whole"><p><b>${verdictSentence(review)}</b></p>${verdictCounts(review)}</div></div><noscript><p class="notice">Without a script there are no plots, filters or sorting. All tables and texts are here.</p></noscript></header>`;
}

function navigation({ contract, parameters }: Review): Markup {
  const link = (id: string, words: string): Markup => html`<li><a href="#${id}">${words}</a>`;
  const some = [
    ...(contract.length > 0 ? [link('contract', 'Contract changes')] : []),
    ...(parameters.length > 0 ? [link('parameters', 'Parameter differences')] : []),
  ];
  return html`<nav aria-label="Parts of this page"><ul>${link('runs', 'Runs')}${some}${link('provenance', 'Provenance')}</ul></nav>`;
}

/**
 * A review as one HTML file that needs nothing else: no network, no folder beside it, and for all but plots no script.
 */
export function reviewPage(review: Review): string {
  const library = plotLibrary();
  const client = clientScript();
  const policy = `default-src 'none'; script-src ${scriptHash(library.script)} ${scriptHash(client)}; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'`;
  const room = roomFor(review.runs.length - review.counts.same);
  const sections = review.runs.map((run, index) => (run.verdict === 'same' ? NOTHING : runSection(run, index + 1, room)));
  return html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="${policy}"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark"><title>Review: ${review.old.asked} → ${review.new.asked}</title>
${inlined('<style>', '</style>', library.style + STYLE)}<noscript>${inlined('<style>', '</style>', STYLE_WITHOUT_SCRIPT)}</noscript></head>
<body><a class="skip" href="#main">To the runs</a>
${head(review)}
${navigation(review)}
<main id="main" tabindex="-1">${summarySection(review)}${contractSection(review)}${parameterSection(review)}
${sections}${provenanceSection(review)}</main>
<footer class="faint">latchbench ${review.tool}</footer>
${inlined('<script>', '</script>', library.script)}
${inlined('<script type="module">', '</script>', client)}
</body></html>
`.text;
}
