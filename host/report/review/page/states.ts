import type { RunReview, Snapshot } from '../../../review/review.js';
import { type Head, html, type Markup, NOTHING, table } from '../../form/markup.js';
import { counted } from '../../form/text-table.js';
import { alikeOf, byKind } from './alike.js';
import { rowWords, symbolOf, tickWords } from './words.js';

const HEADS: readonly Head[] = [{ title: 'Signal' }, { title: 'Old' }, { title: 'New' }, { title: 'Unit' }];

const alikeText = (snapshot: Snapshot): Markup[] =>
  alikeOf(snapshot).map(
    ({ kind, values }) => html`<p>${kind}, the same on both sides</p><ul>${values.map((value) => html`<li>${value}`)}</ul>`,
  );

function differing({ row, values }: Snapshot): Markup {
  const body = byKind(values.filter(({ differs }) => differs)).map((one) => {
    const rows = one.values.map(
      ({ signal, unit, old, new: now }) => html`<tr><th scope="row">${signal}<td>${old}<td>${now}<td>${symbolOf(unit)}`,
    );
    return html`<tbody><tr><th scope="rowgroup" colspan="4">${one.kind}${rows}`;
  });
  return body.length === 0 ? html`<p>Nothing differs.</p>` : table('plain state', `State of ${rowWords(row)}: what differs`, HEADS, body);
}

/**
 * Every value of a bank or a row: what differs as a table, the rest, some hundreds, as a dense list. Whether that is shown is a
 * matter of a check box and the style alone.
 */
function stateDetails(snapshot: Snapshot, id: string, isText: boolean): Markup {
  const { row, values } = snapshot;
  const count = values.filter(({ differs }) => differs).length;
  const alike = isText ? html`<div class="alike">${alikeText(snapshot)}</div>` : html`<div class="alike packed-alike"></div>`;
  const note = isText ? NOTHING : html`<p class="no-js faint">A script shows the values that are the same on both sides.</p>`;
  return html`<details class="states"><summary>${rowWords(row)}: ${count} of ${counted(values.length, 'value')} differ</summary><input type="checkbox" id="${id}" checked><label for="${id}"> only what differs</label>${differing(snapshot)}${alike}${note}</details>`;
}

/** Full states after the tick in which the sides part. */
export function statesBlock({ sight, first, tickHz }: RunReview, index: number, isText: boolean): Markup {
  if (sight === undefined || sight.states.length === 0) return NOTHING;
  const when = first === undefined ? NOTHING : html`<p class="faint">After ${tickWords(first.tick, tickHz)}, in which they part.</p>`;
  return html`<div><h3>Full states</h3>${when}${sight.states.map((one, at) => stateDetails(one, `only-${index}-${at + 1}`, isText))}</div>`;
}
