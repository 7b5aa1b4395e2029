import { escapeXml } from './xml.js';

/** A piece of HTML that needs no escaping. */
export class Markup {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

/** What a template may contain: text and numbers are escaped, other pieces are not. */
export type Part = string | number | Markup | readonly Markup[];

const textOf = (part: Part): string => {
  if (part instanceof Markup) return part.text;
  return typeof part === 'object' ? part.map(({ text }) => text).join('') : escapeXml(String(part));
};

/** Makes a piece of HTML from a template. Everything except `Markup` is escaped. */
export const html = (strings: TemplateStringsArray, ...parts: readonly Part[]): Markup =>
  new Markup(strings.map((text, index) => (index === 0 ? text : textOf(parts[index - 1] ?? '') + text)).join(''));

export const NOTHING = new Markup('');

/** A column of a table; `sort` makes its head a button that sorts the rows. */
export interface Head {
  readonly title: string;
  readonly isNumber?: boolean;
  readonly sort?: 'text' | 'number';
}

const headCell = ({ title, isNumber, sort }: Head): Markup => {
  const kind = isNumber ? html` class="n"` : NOTHING;
  if (sort === undefined) return html`<th scope="col"${kind}>${title}`;
  return html`<th scope="col"${kind} data-sort="${sort}"><span class="no-js">${title}</span><button type="button" class="sort js">${title}</button>`;
};

/** Makes a table with a caption from rows of markup. Optional end tags are omitted to save space. */
export const table = (kind: string, caption: Part, heads: readonly Head[], rows: Part): Markup =>
  html`<div class="wide"><table class="${kind}"><caption>${caption}</caption><thead><tr>${heads.map(headCell)}</thead>${rows}</table></div>`;
