import type { BuildFacts, Review } from '../../../review/review.js';
import { type Head, html, type Markup, table } from '../../form/markup.js';
import { buildName } from '../../form/run-identity.js';
import { ranWithText, runName } from '../phrases.js';

const FACTS: readonly (readonly [string, (facts: BuildFacts) => string | undefined])[] = [
  ['Build', buildName],
  ['Commit', ({ commit }) => commit],
  ['Version', ({ version }) => version],
  ['Source hash', ({ sourceHash }) => sourceHash],
  ['Contract hash', ({ contractHash }) => contractHash],
  ['SHA-256 of the binary', ({ binaryHash }) => binaryHash],
  ['Parameter file', ({ parameters }) => parameters?.file],
  ['SHA-256 of the parameter file', ({ parameters }) => parameters?.hash],
];

/** What was compared, so that the review can be repeated. */
export function provenanceSection({ base, head, tool, runs }: Review): Markup {
  const heads: Head[] = [{ title: 'Fact' }, { title: 'Base' }, { title: 'Head' }, { title: 'Equal' }];
  const facts = FACTS.map(([name, of]) => {
    const [left, right] = [of(base), of(head)];
    return html`<tr><th scope="row">${name}<td class="hash">${left ?? '–'}<td class="hash">${right ?? '–'}<td>${left === right ? '=' : '≠'}`;
  });
  const inputs = runs.map(
    (run) =>
      html`<tr><th scope="row">${runName(run)}<td>${run.kind}<td class="n">${run.seed ?? '–'}<td>${ranWithText(run)}<td class="hash">${run.inputHash}`,
  );
  const inputHeads: Head[] = [
    { title: 'Run' },
    { title: 'Kind' },
    { title: 'Seed', isNumber: true },
    { title: 'Strategy and parameters' },
    { title: 'SHA-256 of the inputs or the scenario file' },
  ];
  return html`<section id="provenance" aria-labelledby="provenance-h"><h2 id="provenance-h">Provenance</h2>${table('plain', 'The two builds', heads, html`<tbody>${facts}`)}<details><summary>Inputs of all runs</summary>${table('plain', 'Inputs', inputHeads, html`<tbody>${inputs}`)}</details><p class="faint">Made by latchbench ${tool}. Plots are drawn by uPlot, whose licence is included in this file. Nothing is loaded from the network.</p></section>`;
}
