import { html, type Markup, NOTHING } from '../../form/markup.js';
import type { CauseStrokes } from '../cause-strokes.js';

/** Bins on either side of zero. */
const BINS_MAX = 12;
/** With fewer, the labels of the axis would overlap. */
const BINS_MIN = 5;
/** Pixels. */
const BAR = 14;
const HEIGHT = 48;
const LABELS = 14;

/** The smallest of 1, 2, 5, 10, 20 … ms of which `BINS_MAX` reach that far: a tick is hardly shorter than 1 ms. */
function binWidth(maxMs: number): number {
  const decade = 10 ** Math.max(0, Math.floor(Math.log10(maxMs / BINS_MAX)));
  const factor = [1, 2, 5].find((one) => one * decade * BINS_MAX >= maxMs) ?? 10;
  return factor * decade;
}

/**
 * By how much strokes moved, as a picture: bars to the left are earlier, to the right later. A bin includes its outer end; strokes that
 * did not move are in none.
 */
export function shiftHistogram({ shifts }: CauseStrokes): Markup {
  if (shifts.length === 0) return NOTHING;
  const width = binWidth(Math.max(...shifts.map(([ms]) => Math.abs(ms))));
  const counts = new Map<number, number>();
  for (const [ms, count] of shifts) {
    // Bins count from 1 on either side.
    const bin = Math.sign(ms) * Math.ceil(Math.abs(ms) / width);
    counts.set(bin, (counts.get(bin) ?? 0) + count);
  }
  const bins = Math.max(BINS_MIN, ...[...counts.keys()].map(Math.abs));
  const max = Math.max(...counts.values());
  const middle = bins * BAR;
  const bars = [...counts].map(([bin, count]) => {
    const height = Math.max(1, (HEIGHT * count) / max);
    const x = middle + (bin < 0 ? bin : bin - 1) * BAR;
    return html`<rect x="${x + 1}" y="${(HEIGHT - height).toFixed(1)}" width="${BAR - 2}" height="${height.toFixed(1)}"/>`;
  });
  const ms = bins * width;
  const label = `Strokes by shift, in bins of ${width} ms from −${ms} to +${ms} ms; the highest bar is ${max}`;
  const text = (x: number, anchor: string, words: string): Markup =>
    html`<text x="${x}" y="${HEIGHT + LABELS - 3}" text-anchor="${anchor}">${words}</text>`;
  const axis = html`<path d="M0 ${HEIGHT}H${2 * middle}M${middle} 0V${HEIGHT}"/>`;
  const labels = html`${text(0, 'start', `−${ms} ms`)}${text(middle, 'middle', '0')}${text(2 * middle, 'end', `+${ms} ms`)}`;
  return html`<figure class="shifts"><svg viewBox="0 0 ${2 * middle} ${HEIGHT + LABELS}" width="${2 * middle}" height="${HEIGHT + LABELS}" role="img" aria-label="${label}">${bars}${axis}${labels}</svg><figcaption class="faint">${label}</figcaption></figure>`;
}
