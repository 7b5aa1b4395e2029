/** Characters that our texts have beyond ASCII, and what stands for them. Blocks of a plot become characters of rising density. */
const IN_ASCII: Readonly<Record<string, string>> = {
  '▁': '_',
  '▂': '.',
  '▃': ':',
  '▄': '-',
  '▅': '=',
  '▆': '+',
  '▇': '*',
  '█': '#',
  '─': '-',
  '·': '.',
  '╷': '|',
  '┃': '#',
  '→': '->',
  '…': '...',
  '–': '-',
  '−': '-',
  '±': '+/-',
  '≤': '<=',
  '≥': '>=',
  '×': 'x',
  '√': 'sqrt ',
  '²': '2',
  '³': '3',
  µ: 'u',
  '°': 'deg ',
  Ω: 'ohm',
};

const BEYOND = /[^\t\n -~]/gu;

/** Returns text in ASCII. A character that has no counterpart becomes a question mark. */
export const asciiText = (text: string): string => text.replace(BEYOND, (character) => IN_ASCII[character] ?? '?');
