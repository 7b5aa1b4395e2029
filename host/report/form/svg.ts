import { escapeXml } from './xml.js';

/** Width of every picture, px. */
export const WIDTH = 960;
/** About the width of a character of 11 px; enough to keep words apart. */
export const LETTER = 6.2;
const TITLE_LETTERS = 100;
/** Numbers that differ by a smaller share are the same, in 32 bits and converted to another unit. */
const ROUNDING = 1e-6;
const INKS = 6;

/**
 * Inks of signals or contenders in their order, light and dark. The first three differ in lightness too: mid blue, light orange and
 * nearly black (or white) stay apart for every kind of colour blindness; hues after Okabe and Ito, Color Universal Design, 2008.
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

/** A coordinate, to a tenth of a pixel. */
export const round = (value: number): string => String(Math.round(value * 10) / 10);

/** A value on an axis and how it is written there. */
export interface Mark {
  readonly value: number;
  readonly text: string;
}

/**
 * Steps of 1, 2 or 5 times a power of ten that divide a range into at most `parts`, with the digits that tell them apart.
 * @param stepLeast 1 for what comes in whole numbers
 */
export function stepsIn(least: number, most: number, parts: number, stepLeast = 0): Mark[] {
  const power = 10 ** Math.floor(Math.log10((most - least) / parts));
  const step = Math.max(stepLeast, ([1, 2, 5].find((factor) => factor * power * parts >= most - least) ?? 10) * power);
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  // Ends that lie on a step may be a hair's breadth off it.
  const first = Math.ceil(least / step - 1e-9);
  const last = Math.floor(most / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, index) => {
    const value = (first + index) * step;
    return { value, text: value.toFixed(digits).replace('-', '−') };
  });
}

/** Ends of a scale: a little beyond the values, so that none lies on the edge. */
export function endsAround(values: readonly number[]): [least: number, most: number] {
  if (values.length === 0) return [0, 1];
  const least = Math.min(...values);
  const most = Math.max(...values);
  const size = Math.max(Math.abs(least), Math.abs(most));
  const isLevel = most - least <= size * ROUNDING;
  const margin = isLevel ? size * 0.1 || 1 : (most - least) * 0.05;
  return [least - margin, most + margin];
}

/** From the seventh on, the inks come again with dashes. */
export const inkOf = (at: number): string => `i${at % INKS}${at < INKS ? '' : ' again'}`;

/** A line of text of a kind that the style knows. */
export const textAt = (kind: string, x: number, y: number, text: string, anchor = 'start'): string =>
  `<text class="${kind}" x="${round(x)}" y="${round(y)}"${anchor === 'start' ? '' : ` text-anchor="${anchor}"`}>${escapeXml(text)}</text>`;

/** A title cut to what fits beside a few words. */
export const shortTitle = (title: string): string => (title.length > TITLE_LETTERS ? `${title.slice(0, TITLE_LETTERS - 1)}…` : title);

/** What is said of a picture as a whole; texts as they are, not escaped. */
export interface Picture {
  readonly title: string;
  /** Title and what is drawn, for those who can't see it. */
  readonly label: string;
  readonly description: string;
  readonly height: number;
  /** Rules of style that only this kind of picture needs. */
  readonly style?: string;
}

/** An SVG picture of parts, light or dark as its reader likes it. */
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
