import { escapeXml } from '../form/xml.js';

/** Width of every drawing on a sheet, px; on paper it is scaled to the page's. */
export const WIDE = 860;

const near = (value: number): string => String(Math.round(value * 10) / 10);

/** Strokes of a drawing by kind; the sheet's style knows them. */
export type Stroke = 'ink' | 'thin' | 'heavy' | 'dash' | 'dot' | 'faint';

export const line = (x1: number, y1: number, x2: number, y2: number, kind: Stroke = 'ink'): string =>
  `<line class="${kind}" x1="${near(x1)}" y1="${near(y1)}" x2="${near(x2)}" y2="${near(y2)}"/>`;

/** Corners joined by straight lines: `10,20 30,20`. */
export const way = (corners: readonly (readonly [x: number, y: number])[], kind: Stroke = 'ink', more = ''): string =>
  `<polyline class="${kind}${more === '' ? '' : ` ${more}`}" points="${corners.map(([x, y]) => `${near(x)},${near(y)}`).join(' ')}"/>`;

export const box = (x: number, y: number, width: number, height: number, kind = 'ink', radius = 0): string =>
  `<rect class="${kind}" x="${near(x)}" y="${near(y)}" width="${near(width)}" height="${near(height)}"${radius > 0 ? ` rx="${radius}"` : ''}/>`;

export const ring = (x: number, y: number, radius: number, kind = 'ink'): string =>
  `<circle class="${kind}" cx="${near(x)}" cy="${near(y)}" r="${near(radius)}"/>`;

/** Where lines are joined. */
export const joint = (x: number, y: number): string => ring(x, y, 3.2, 'full');

/** A filled triangle. */
export const wedge = (corners: readonly (readonly [x: number, y: number])[], kind = 'full'): string =>
  `<polygon class="${kind}" points="${corners.map(([x, y]) => `${near(x)},${near(y)}`).join(' ')}"/>`;

export const words = (x: number, y: number, text: string, anchor: 'start' | 'middle' | 'end' = 'start', kind = ''): string =>
  `<text x="${near(x)}" y="${near(y)}"${anchor === 'start' ? '' : ` text-anchor="${anchor}"`}${kind === '' ? '' : ` class="${kind}"`}>${escapeXml(text)}</text>`;

/** Lines of words below each other, the first one strong. */
export const label = (x: number, y: number, lines: readonly string[], anchor: 'start' | 'middle' | 'end' = 'start'): string =>
  lines.map((text, index) => words(x, y + 15 * index, text, anchor, index === 0 ? 'strong' : '')).join('');

/** Words that run upwards. */
export const upwards = (x: number, y: number, text: string, anchor: 'start' | 'end' = 'end'): string =>
  `<text transform="translate(${near(x)} ${near(y)}) rotate(-90)" text-anchor="${anchor}">${escapeXml(text)}</text>`;

/** A drawing with its title, and what it shows for those who can't see it. */
export function drawing(title: string, description: string, height: number, parts: readonly string[]): string {
  const open = `<svg class="drawing" viewBox="0 0 ${WIDE} ${near(height)}" role="img" aria-label="${escapeXml(title)}">`;
  return `${open}<title>${escapeXml(title)}</title><desc>${escapeXml(description)}</desc>${parts.join('')}</svg>`;
}

/** Drawings below each other as a picture of their own. */
export function stacked(title: string, style: string, drawings: readonly string[]): string {
  let at = 0;
  const placed = drawings.map((one) => {
    const [, height = '0'] = /viewBox="0 0 \d+ ([\d.]+)"/.exec(one) ?? [];
    const put = one.replace('<svg ', `<svg x="${GAP}" y="${near(at + GAP)}" width="${WIDE}" height="${height}" `);
    at += Number(height) + GAP;
    return put;
  });
  const [width, height] = [WIDE + 2 * GAP, near(at + GAP)];
  const open = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escapeXml(title)}">`;
  return `${open}\n<style>${style}</style>\n<rect width="100%" height="100%" fill="var(--ground)"/>\n${placed.join('\n')}\n</svg>\n`;
}

/** Around and between them, px. */
const GAP = 16;
