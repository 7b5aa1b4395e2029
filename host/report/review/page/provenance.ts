import type { BuildFacts, Review } from '../../../review/review.js';
import { type Head, html, type Markup, table } from '../../form/markup.js';
import { runName } from './words.js';

const FACTS: readonly (readonly [string, (facts: BuildFacts) => string | undefined])[] = [
  ['named as', ({ asked }) => asked],
  ['commit', ({ commit }) => commit],
  ['version', ({ version }) => version],
  ['hash of the sources', ({ sourceHash }) => sourceHash],
  ['hash of the contract', ({ contractHash }) => contractHash],
  ['SHA-256 of the binary', ({ binaryHash }) => binaryHash],
  ['parameter file', ({ parameters }) => parameters?.file],
  ['SHA-256 of the parameter file', ({ parameters }) => parameters?.hash],
];

/** What was compared, so that somebody else can compare the same. */
export function provenanceSection({ old, new: now, tool, runs }: Review): Markup {
  const heads: Head[] = [{ title: 'What' }, { title: 'Old' }, { title: 'New' }, { title: 'Equal' }];
  const facts = FACTS.map(([name, of]) => {
    const [left, right] = [of(old), of(now)];
    return html`<tr><th scope="row">${name}<td class="hash">${left ?? '–'}<td class="hash">${right ?? '–'}<td>${left === right ? '=' : '≠'}`;
  });
  const inputs = runs.map(
    (run) => html`<tr><th scope="row">${runName(run)}<td>${run.kind}<td class="n">${run.seed ?? '–'}<td class="hash">${run.inputHash}`,
  );
  const inputHeads: Head[] = [
    { title: 'Run' },
    { title: 'Kind' },
    { title: 'Seed', isNumber: true },
    { title: 'SHA-256 of the inputs, or of the scenario’s file' },
  ];
  return html`<section id="provenance" aria-labelledby="provenance-h"><h2 id="provenance-h">Provenance</h2>${table('plain', 'The two sides', heads, html`<tbody>${facts}`)}<details><summary>Inputs of all runs</summary>${table('plain', 'Inputs', inputHeads, html`<tbody>${inputs}`)}</details><p class="faint">Made by latchbench ${tool}. Plots are drawn by uPlot, whose licence stands in this file. Nothing is loaded from elsewhere.</p></section>`;
}
