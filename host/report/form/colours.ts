import { randomInt } from 'node:crypto';
import { createColors } from 'picocolors';
import { showControls } from '../../common/control-characters.js';

/** Numbers in our colour codes that nobody knows before: text from a file can't pass for one of them. */
const MARK = Array.from({ length: 3 }, () => randomInt(1000, 10_000)).join(';');
const START = '\u001b[';
const OURS = new RegExp(`${START.replace('[', '\\[')}(\\d+);${MARK}m`, 'g');

type Style = (text: string) => string;

/** The same style with marked codes. */
function marked(style: Style): Style {
  const [on = '', off = ''] = style('|')
    .split('|')
    .map((code) => code.replace('m', `;${MARK}m`));
  return (text) => `${on}${text}${off}`;
}

const { bold, red, green, yellow, cyan } = createColors(true);

/** Styles of text for people. `terminalText` turns them into codes for terminals, or removes them. */
export const colours = { bold: marked(bold), red: marked(red), green: marked(green), yellow: marked(yellow), cyan: marked(cyan) };

/**
 * Returns text as it is written to a terminal, a pipe or a file: with its colours or without, and with control characters visible.
 * Everything that a command prints goes through this function, because file names, titles and messages may be a stranger's.
 */
export function terminalText(text: string, hasColour: boolean): string {
  // Every second part is the number of a code.
  const parts = text.split(OURS).map((part, index) => (index % 2 === 0 ? showControls(part) : `${START}${part}m`));
  return parts.filter((_, index) => hasColour || index % 2 === 0).join('');
}

/** The same without colours. */
export const plainText = (text: string): string => terminalText(text, false);
