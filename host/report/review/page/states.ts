import type { RunReview, Snapshot } from '../../../review/review.js';
import { type Head, html, type Markup, NOTHING, table } from '../../form/markup.js';
import { counted } from '../../form/text-table.js';
import { tickText } from '../phrases.js';
import { byKind, equalValuesOf } from './equal-values.js';
import { rowLabel, symbolOf } from './labels.js';

const HEADS: readonly Head[] = [{ title: 'Signal' }, { title: 'Base' }, { title: 'Head' }, { title: 'Unit' }];

const equalValues = (snapshot: Snapshot): Markup[] =>
  equalValuesOf(snapshot).map(
    ({ kind, values }) => html`<p>${kind}, same on both sides</p><ul>${values.map((value) => html`<li>${value}`)}</ul>`,
  );

function differing({ row, values }: Snapshot): Markup {
  const body = byKind(values.filter(({ differs }) => differs)).map((group) => {
    const rows = group.values.map(
      ({ signal, unit, base, head }) => html`<tr><th scope="row">${signal}<td>${base}<td>${head}<td>${symbolOf(unit)}`,
    );
    return html`<tbody><tr><th scope="rowgroup" colspan="4">${group.kind}${rows}`;
  });
  return body.length === 0 ? html`<p>Nothing differs.</p>` : table('plain state', `Values of ${rowLabel(row)} that differ`, HEADS, body);
}

/** Every value of the bank or a row: a table of those that differ, and a dense list of the others, which a check box hides by CSS. */
function stateDetails(snapshot: Snapshot, id: string, hasEqualValues: boolean): Markup {
  const { row, values } = snapshot;
  const count = values.filter(({ differs }) => differs).length;
  const equal = hasEqualValues ? html`<div class="equal">${equalValues(snapshot)}</div>` : html`<div class="equal packed-equal"></div>`;
  const note = hasEqualValues ? NOTHING : html`<p class="no-js faint">Values that are equal on both sides need JavaScript.</p>`;
  return html`<details class="states"><summary>${rowLabel(row)}: ${count} of ${counted(values.length, 'value')} differ</summary><input type="checkbox" id="${id}" checked><label for="${id}"> only differences</label>${differing(snapshot)}${equal}${note}</details>`;
}

const afterText = (tick: number, tickHz: number): string =>
  tick < 0 ? 'After configure().' : `After ${tickText(tick, tickHz)}, the tick of the first difference.`;

/** All values after the tick of the first difference. */
export function statesBlock({ views, first, tickHz }: RunReview, index: number, hasEqualValues: boolean): Markup {
  if (views === undefined || views.states.length === 0) return NOTHING;
  const when = first === undefined ? NOTHING : html`<p class="faint">${afterText(first.tick, tickHz)}</p>`;
  return html`<div><h3>All values</h3>${when}${views.states.map((one, at) => stateDetails(one, `only-${index}-${at + 1}`, hasEqualValues))}</div>`;
}
