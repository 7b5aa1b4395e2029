/**
 * Characters that are not seen, but change what a terminal does or how text is shown: control characters except tab and line
 * feed (they start escape sequences), marks that reorder text, spaces without width, invisible tags, and the line ends of Unicode.
 */
const CONTROL = /(?![\t\n])[\p{Cc}\p{Bidi_Control}\p{Zl}\p{Zp}\u200B\u2060-\u2064\uFEFF\u{E0000}-\u{E007F}]/u;
const CONTROLS = new RegExp(CONTROL, 'gu');

/** `\u001b`, as in JSON and in double quotes in YAML. */
const escaped = (character: string): string =>
  Array.from({ length: character.length }, (_, index) => `\\u${character.charCodeAt(index).toString(16).padStart(4, '0')}`).join('');

/** Returns the first control character in a text, escaped, and its offset. */
export function findControl(text: string): { readonly offset: number; readonly escaped: string } | undefined {
  const found = CONTROL.exec(text);
  return found === null ? undefined : { offset: found.index, escaped: escaped(found[0]) };
}

/** Makes control characters visible as `\u001b`. In JSON, where they only are in strings, the values stay the same. */
export const showControls = (text: string): string => text.replace(CONTROLS, escaped);
