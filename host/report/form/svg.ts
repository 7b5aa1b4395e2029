import { grouped } from './text-table.js';
import { escapeXml } from './xml.js';

/** Width of every picture, px. */
export const WIDTH = 960;
/** Approximate width of a character of 11 px, px. */
export const CHARACTER_WIDTH = 6.2;
const TITLE_LENGTH_MAX = 100;
/** Relative difference below which two values are equal, after rounding to 32 bits and unit conversion. */
const ROUNDING = 1e-6;
const INKS = 6;

/**
 * Colours of signals or contenders by their order (`i0` to `i5`), light and dark. The first three also differ in lightness: mid
 * blue, light orange and near black (or white) can be distinguished with every kind of colour blindness. Hues after Okabe and
 * Ito, Color Universal Design, 2008.
 */
const STYLE = `
  .ground { fill: #fcfcfa } .ink { fill: #2b2f36 } .faint { fill: #6b7078 } .rule { stroke: #e4e4de; fill: none }
  .i0 { color: #1769aa } .i1 { color: #dd8112 } .i2 { color: #23272e } .i3 { color: #009070 } .i4 { color: #b04a86 } .i5 { color: #8a6d00 }
  .line { stroke: currentColor; fill: none; stroke-width: 1.2; stroke-linejoin: round }
  .key { stroke-width: 2.4 } .again .line, .again.line { stroke-dasharray: 4 2 }
  .band { stroke: currentColor; fill: none; opacity: .5; shape-rendering: crispEdges }
  .mode { fill: #e6e8ea } .open { fill: #4a4f57 } .bad { fill: #eeb0a8 }
  text { font: 11px system-ui, sans-serif } .title { font-size: 14px }
  @media (prefers-color-scheme: dark) {
    .ground { fill: #16181b } .ink { fill: #dfe2e6 } .faint { fill: #969ca5 } .rule { stroke: #2a2e33 }
    .i0 { color: #4fa8ea } .i1 { color: #e39a33 } .i2 { color: #f2f4f6 } .i3 { color: #2cc79d } .i4 { color: #e08bbd } .i5 { color: #e6dc4e }
    .mode { fill: #2b2f35 } .open { fill: #b9bfc7 } .bad { fill: #84322a }
  }`;

/** Formats a coordinate, to a tenth of a pixel. */
export const round = (value: number): string => String(Math.round(value * 10) / 10);

/** A value on an axis and its label. */
export interface Mark {
  readonly value: number;
  readonly text: string;
}

/**
 * Returns marks at steps of 1, 2 or 5 times a power of ten that divide a range into at most `parts`.
 * @param stepMin 1 for integers
 */
export function axisMarks(min: number, max: number, parts: number, stepMin = 0): Mark[] {
  const power = 10 ** Math.floor(Math.log10((max - min) / parts));
  const step = Math.max(stepMin, ([1, 2, 5].find((factor) => factor * power * parts >= max - min) ?? 10) * power);
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  // An end that lies on a step may be off by a rounding error.
  const first = Math.ceil(min / step - 1e-9);
  const last = Math.floor(max / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, index) => {
    const value = (first + index) * step;
    return { value, text: grouped(value.toFixed(digits)).replace('-', '−') };
  });
}

/** Returns the limits of an axis: a little beyond the values, so that none lies on the edge. */
export function axisLimits(values: readonly number[]): [min: number, max: number] {
  if (values.length === 0) return [0, 1];
  const min = Math.min(...values);
  const max = Math.max(...values);
  const size = Math.max(Math.abs(min), Math.abs(max));
  const isConstant = max - min <= size * ROUNDING;
  const margin = isConstant ? size * 0.1 || 1 : (max - min) * 0.05;
  return [min - margin, max + margin];
}

/** Returns the style class of the n-th signal; from the seventh on, the colours repeat with dashes. */
export const inkOf = (at: number): string => `i${at % INKS}${at < INKS ? '' : ' again'}`;

/** A line of text with a class of the style. */
export const textAt = (kind: string, x: number, y: number, text: string, anchor = 'start'): string =>
  `<text class="${kind}" x="${round(x)}" y="${round(y)}"${anchor === 'start' ? '' : ` text-anchor="${anchor}"`}>${escapeXml(text)}</text>`;

/** Cuts a title to what fits beside a few words. */
export const shortTitle = (title: string): string => (title.length > TITLE_LENGTH_MAX ? `${title.slice(0, TITLE_LENGTH_MAX - 1)}…` : title);

/** Properties of a picture; the texts are not escaped. */
export interface Picture {
  readonly title: string;
  /** Title and content, for screen readers. */
  readonly label: string;
  readonly description: string;
  readonly height: number;
  /** Style rules that only this kind of picture needs. */
  readonly style?: string;
}

/** Makes an SVG picture of parts; its colours follow the light or dark setting of the reader. */
export function svgPicture({ title, label, description, height, style = '' }: Picture, parts: readonly string[]): string {
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" width="${WIDTH}" height="${height}" role="img" aria-label="${escapeXml(label)}">`,
    `<title>${escapeXml(title)}</title><desc>${escapeXml(description)}</desc><style>${STYLE}${style}</style>`,
    `<rect class="ground" width="${WIDTH}" height="${height}"/>`,
    ...parts,
    '</svg>',
    '',
  ].join('\n');
}
