import { createColors } from 'picocolors';
import { showControls } from '../../common/control-characters.js';
import { asciiText } from './ascii.js';
import { fitTables } from './fit-table.js';
import { mark, START, splitAtMarks } from './marks.js';

type Style = (text: string) => string;

/** The same style with marked codes. */
function marked(style: Style): Style {
  const [on = '', off = ''] = style('|')
    .split('|')
    .map((code) => mark(Number(/\d+/.exec(code)?.[0])));
  return (text) => `${on}${text}${off}`;
}

const { bold, red, green, yellow, cyan } = createColors(true);

/** Styles of text for people. `terminalText` turns them into codes for terminals, or removes them. */
export const colours = { bold: marked(bold), red: marked(red), green: marked(green), yellow: marked(yellow), cyan: marked(cyan) };

/** What text is printed on. */
export interface Terminal {
  readonly hasColour: boolean;
  /** Width in characters; infinite where there is no terminal, so that what a program or file gets is complete. */
  readonly columns: number;
  /** Whether it shows nothing but ASCII. */
  readonly isAscii: boolean;
}

const NO_TERMINAL: Terminal = { hasColour: false, columns: Number.POSITIVE_INFINITY, isAscii: false };

/**
 * Returns text as it is written to a terminal, a pipe or a file: with its colours or without, with tables that fit its width, and with
 * control characters visible. Everything that a command prints goes through this function, because file names, titles and messages may
 * be a stranger's.
 */
export function terminalText(text: string, terminal: Partial<Terminal>): string {
  const { hasColour, columns, isAscii } = { ...NO_TERMINAL, ...terminal };
  const fitted = fitTables(text, columns);
  // Every second part is the number of a code.
  const parts = splitAtMarks(fitted).map((part, index) => (index % 2 === 0 ? showControls(part) : `${START}${part}m`));
  const shown = parts.filter((_, index) => hasColour || index % 2 === 0).join('');
  return isAscii ? asciiText(shown) : shown;
}

/** The same without colours. */
export const plainText = (text: string): string => terminalText(text, {});
