import { escapeXml } from './xml.js';

/** A piece of HTML that may stand in a page as it is. */
export class Markup {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

/** What may be put into a piece of HTML: texts and numbers are escaped, other pieces are not. */
export type Part = string | number | Markup | readonly Markup[];

const textOf = (part: Part): string => {
  if (part instanceof Markup) return part.text;
  return typeof part === 'object' ? part.map(({ text }) => text).join('') : escapeXml(String(part));
};

/** A piece of HTML from a template. Nothing gets in without being escaped but through `Markup`. */
export const html = (strings: TemplateStringsArray, ...parts: readonly Part[]): Markup =>
  new Markup(strings.map((text, index) => (index === 0 ? text : textOf(parts[index - 1] ?? '') + text)).join(''));

export const NOTHING = new Markup('');

/** A column of a table; `sort` makes its head a button that sorts. */
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

/** A table with a caption. Rows are written by whoever knows them; end tags that HTML does not need are left out, to save room. */
export const table = (kind: string, caption: Part, heads: readonly Head[], rows: Part): Markup =>
  html`<div class="wide"><table class="${kind}"><caption>${caption}</caption><thead><tr>${heads.map(headCell)}</thead>${rows}</table></div>`;
