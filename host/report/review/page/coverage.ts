import type { CoveredLine, Review } from '../../../review/review.js';
import { html, type Markup, NOTHING } from '../../form/markup.js';
import { coverageText, REACH_TEXT, reachLines } from '../coverage-phrases.js';
import { runName } from '../phrases.js';

/** Maximum number of lines on the page. */
const LINES_MAX = 400;

/** What was reached of a line, in words and with a mark. */
function mark({ reach }: CoveredLine): Markup {
  return reach === 'unreached' ? html`<b class="stop">▲ ${REACH_TEXT[reach]}</b>` : html`${REACH_TEXT[reach]}`;
}

function lineItem(covered: CoveredLine, names: readonly string[]): Markup {
  const { side, line } = covered;
  const details = reachLines(covered, names).map((text) => html`<div class="faint">${text}</div>`);
  return html`<li class="cause">${mark(covered)}: <span class="place">${line.file}:${line.line}</span>${side === 'base' ? ' of base' : ''}<div><code><span class="sign" aria-hidden="true">${side === 'base' ? '−' : '+'}</span> ${line.text.trim()}</code></div>${details}`;
}

/** Number of lines of a file that no run reaches. */
export const unreachedIn = ({ coverage }: Review, path: string): number =>
  coverage?.lines.filter(({ reach, line }) => reach === 'unreached' && line.file === path).length ?? 0;

/** Each changed line with code, and whether runs reach it. */
export function coverageMarkup({ coverage, runs }: Review): Markup {
  if (coverage === undefined) return NOTHING;
  const text = coverageText(coverage);
  if (coverage.lines.length === 0) return html`<p>${text}</p>`;
  const names = runs.map(runName);
  const more = coverage.lines.length - LINES_MAX;
  const lines = coverage.lines.slice(0, LINES_MAX).map((line) => lineItem(line, names));
  return html`<p>${text}</p><ul class="list">${lines}</ul>${more > 0 ? html`<p>and ${more} more changed lines` : NOTHING}`;
}
