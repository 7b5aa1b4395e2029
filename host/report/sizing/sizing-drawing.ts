import { escapeXml } from '../form/xml.js';

/** Width of every drawing, px; scaled to the page in print. */
export const WIDTH = 860;

type Point = readonly [x: number, y: number];
type Anchor = 'start' | 'middle' | 'end';

const round = (value: number): string => String(Math.round(value * 10) / 10);
const pointList = (points: readonly Point[]): string => points.map(([x, y]) => `${round(x)},${round(y)}`).join(' ');

/** Line classes that the sheet's style defines. */
export type Stroke = 'ink' | 'thin' | 'heavy' | 'dash' | 'dot' | 'faint';

export const line = (x1: number, y1: number, x2: number, y2: number, kind: Stroke = 'ink'): string =>
  `<line class="${kind}" x1="${round(x1)}" y1="${round(y1)}" x2="${round(x2)}" y2="${round(y2)}"/>`;

export const polyline = (points: readonly Point[], kind: Stroke = 'ink'): string =>
  `<polyline class="${kind}" points="${pointList(points)}"/>`;

export const polygon = (points: readonly Point[], kind = 'full'): string => `<polygon class="${kind}" points="${pointList(points)}"/>`;

export const rect = (x: number, y: number, width: number, height: number, kind = 'ink', radius = 0): string =>
  `<rect class="${kind}" x="${round(x)}" y="${round(y)}" width="${round(width)}" height="${round(height)}"${radius > 0 ? ` rx="${radius}"` : ''}/>`;

export const circle = (x: number, y: number, radius: number, kind = 'ink'): string =>
  `<circle class="${kind}" cx="${round(x)}" cy="${round(y)}" r="${round(radius)}"/>`;

/** A dot where lines are connected. */
export const junction = (x: number, y: number): string => circle(x, y, 3.2, 'full');

export const textAt = (x: number, y: number, content: string, anchor: Anchor = 'start', kind = ''): string =>
  `<text x="${round(x)}" y="${round(y)}"${anchor === 'start' ? '' : ` text-anchor="${anchor}"`}${kind === '' ? '' : ` class="${kind}"`}>${escapeXml(content)}</text>`;

/** Lines of text below each other, the first one bold. */
export const label = (x: number, y: number, lines: readonly string[], anchor: Anchor = 'start'): string =>
  lines.map((content, index) => textAt(x, y + 15 * index, content, anchor, index === 0 ? 'strong' : '')).join('');

/** Text that runs upwards. */
export const verticalText = (x: number, y: number, content: string, anchor: 'start' | 'end' = 'end'): string =>
  `<text transform="translate(${round(x)} ${round(y)}) rotate(-90)" text-anchor="${anchor}">${escapeXml(content)}</text>`;

/** A drawing with its title, and a description for screen readers. */
export function drawing(title: string, description: string, height: number, parts: readonly string[]): string {
  const open = `<svg class="drawing" viewBox="0 0 ${WIDTH} ${round(height)}" role="img" aria-label="${escapeXml(title)}">`;
  return `${open}<title>${escapeXml(title)}</title><desc>${escapeXml(description)}</desc>${parts.join('')}</svg>`;
}

/** Space around and between stacked drawings, px. */
const GAP = 16;

/** Returns drawings below each other as one SVG file. */
export function stacked(title: string, style: string, drawings: readonly string[]): string {
  let at = 0;
  const placed = drawings.map((one) => {
    const [, height = '0'] = /viewBox="0 0 \d+ ([\d.]+)"/.exec(one) ?? [];
    const put = one.replace('<svg ', `<svg x="${GAP}" y="${round(at + GAP)}" width="${WIDTH}" height="${height}" `);
    at += Number(height) + GAP;
    return put;
  });
  const [width, height] = [WIDTH + 2 * GAP, round(at + GAP)];
  const open = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escapeXml(title)}">`;
  return `${open}\n<style>${style}</style>\n<rect width="100%" height="100%" fill="var(--ground)"/>\n${placed.join('\n')}\n</svg>\n`;
}
