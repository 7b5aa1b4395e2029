import type { Site } from './yaml-sites.js';

/** A text with a mistake, and the offset in it that the error must name by its line; or several lines that are as good. */
export interface Mutant {
  readonly text: string;
  readonly at: number | readonly number[];
}

interface Mutation {
  readonly mistake: string;
  /** Whether the site can have the mistake. */
  readonly fits: (site: Site) => boolean;
  readonly make: (site: Site) => Mutant;
}

const replaceAt = (text: string, from: number, to: number, by: string): string => text.slice(0, from) + by + text.slice(to);

/** Another value in place of the right one. */
const value = (mistake: string, fits: Mutation['fits'], text: string | ((site: Site) => string)): Mutation => ({
  mistake,
  fits,
  make: (site) => ({
    text: replaceAt(site.text, site.valueStart, site.valueEnd, typeof text === 'string' ? text : text(site)),
    at: site.valueStart,
  }),
});

const isNumber = ({ value: one }: Site): boolean => typeof one === 'number';
const isWord = ({ value: one }: Site): boolean => typeof one === 'string' && /^[a-z]/i.test(one);
const always = (): boolean => true;
const inLines = (site: Site): boolean => !site.isInline;
const ownLine = (site: Site): boolean => !site.isInline && site.startsLine;

/** Keys of numbers without limits: they are factors, or limits themselves. */
const UNLIMITED = ['min', 'max'];
const isLimited = (site: Site): boolean => isNumber(site) && !UNLIMITED.includes(site.key);

/** Mappings whose keys are the user's. */
const FREE = ['choices', 'about', 'digests'];
const hasKnownKeys = ({ path }: Site): boolean => !FREE.includes(path.at(-1) ?? '');

/** Swaps the first two different letters after the first one: `rows` → `rwos`. */
function misspell(word: string): string {
  const at = [...word].findIndex((letter, index) => index > 0 && letter !== word[index + 1]);
  return word.slice(0, at) + (word[at + 1] ?? '') + (word[at] ?? '') + word.slice(at + 2);
}

const written = ({ text, keyStart, valueEnd }: Site): string => text.slice(keyStart, valueEnd);
const endOfLine = (text: string, from: number): number => {
  const at = text.indexOf('\n', from);
  return at < 0 ? text.length : at + 1;
};

/** Inserts a line below the site's, at its depth; in braces, a pair before the site's. */
function withPair(site: Site, pair: string): Mutant {
  if (site.isInline) return { text: replaceAt(site.text, site.keyStart, site.keyStart, `${pair}, `), at: site.keyStart };
  const at = endOfLine(site.text, site.valueEnd);
  return { text: replaceAt(site.text, at, at, `${' '.repeat(site.indent)}${pair}\n`), at };
}

function withConflict(site: Site): Mutant {
  const start = site.text.lastIndexOf('\n', site.keyStart - 1) + 1;
  const end = endOfLine(site.text, site.valueEnd);
  const line = site.text.slice(start, end);
  return { text: replaceAt(site.text, start, end, `<<<<<<< HEAD\n${line}=======\n${line}>>>>>>> topic\n`), at: start };
}

/** Without the line break before it, so that the line before is as good a place. */
const before = (site: Site): number[] => [site.keyStart, site.text.lastIndexOf('\n', site.keyStart) - 1];

/** Mistakes at one key. */
export const MUTATIONS: readonly Mutation[] = [
  value('a list for a value', always, '[[1]]'),
  value('a mapping for a value', always, '{ nonsense: 1 }'),
  value('text for a number', isNumber, 'many'),
  value('a number for text', isWord, '12345'),
  value('a switch for a number', isNumber, 'true'),
  value('a word for a switch', ({ value: one }) => typeof one === 'boolean', 'perhaps'),
  value('far too large', isLimited, '1e30'),
  value('far too small', isLimited, '-1e30'),
  value('not a number', isNumber, '.nan'),
  value('infinity', isNumber, '-.inf'),
  value('a number beyond floating point', isNumber, '9'.repeat(400)),
  value('a unit that does not fit', isNumber, '3 furlong'),
  value('a decimal comma', isNumber, ({ isInline }) => (isInline ? '"4,5"' : '4,5')),
  value('no value', always, ''),
  value('very long text', isNumber, 'x'.repeat(100_000)),
  value('very long text for text', isWord, 'x'.repeat(100_000)),
  value('an alias without an anchor', always, '*nowhere'),
  value('an unknown tag', always, '!count 3'),
  value('deep nesting', inLines, '['.repeat(3000)),
  value('an open quote', inLines, '"left open'),
  value('an open bracket', inLines, '[1, 2'),
  value('a quote in quotes', always, "'it's'"),
  value('typographic quotes', isNumber, '“5”'),
  value('a percent sign first', inLines, '%5'),
  value('text that starts with @', always, '@5'),
  { mistake: 'an unknown key', fits: hasKnownKeys, make: (site) => withPair(site, 'nonsense: 1') },
  { mistake: 'a duplicate key', fits: always, make: (site) => withPair(site, written(site)) },
  {
    mistake: 'a misspelt key',
    fits: (site) => hasKnownKeys(site) && misspell(site.key) !== site.key && site.key.length >= 3,
    make: (site) => ({
      text: replaceAt(site.text, site.keyStart, site.keyStart + site.key.length, misspell(site.key)),
      at: site.keyStart,
    }),
  },
  {
    mistake: 'a key in another case',
    fits: (site) => hasKnownKeys(site) && /[a-z]/.test(site.key),
    make: (site) => ({
      text: replaceAt(site.text, site.keyStart, site.keyStart + site.key.length, site.key.toUpperCase()),
      at: site.keyStart,
    }),
  },
  {
    mistake: 'a tab as indentation',
    fits: (site) => ownLine(site) && site.indent > 0,
    make: (site) => ({ text: replaceAt(site.text, site.keyStart - site.indent, site.keyStart, '\t'), at: before(site) }),
  },
  {
    mistake: 'one space too many',
    fits: (site) => ownLine(site) && !site.isFirst && site.isAfterOneLine,
    make: (site) => ({ text: replaceAt(site.text, site.keyStart, site.keyStart, ' '), at: before(site) }),
  },
  {
    mistake: 'no colon',
    fits: ownLine,
    make: (site) => ({ text: replaceAt(site.text, site.keyStart, site.valueStart, `${site.key} `), at: before(site) }),
  },
  {
    mistake: 'no space after the colon',
    fits: (site) => ownLine(site) && isNumber(site),
    make: (site) => ({ text: replaceAt(site.text, site.keyStart, site.valueStart, `${site.key}:`), at: before(site) }),
  },
  {
    mistake: 'an equals sign for the colon',
    fits: ownLine,
    make: (site) => ({ text: replaceAt(site.text, site.keyStart, site.valueStart, `${site.key} = `), at: before(site) }),
  },
  { mistake: 'a merge conflict', fits: inLines, make: withConflict },
  {
    mistake: 'the end is missing',
    fits: ({ isInline }) => isInline,
    make: (site) => ({ text: site.text.slice(0, site.valueStart), at: [site.mapStart, site.valueStart - 1] }),
  },
  {
    mistake: 'a brace is missing',
    fits: (site) => site.isInline && /^\s*\}$/m.test(site.text.slice(site.valueEnd, endOfLine(site.text, site.valueEnd)).trimEnd()),
    make: (site) => ({
      text: replaceAt(site.text, site.text.indexOf('}', site.valueEnd), site.text.indexOf('}', site.valueEnd) + 1, ''),
      at: site.mapStart,
    }),
  },
  value('an impossible date', ({ key }) => key === 'date', '2026-02-30'),
  value('a date in another order', ({ key }) => key === 'date', '30.11.2026'),
];

const first = (text: string): number => text.search(/^[^#\s]/m);

/** Mistakes of a whole text. */
export const WHOLE: readonly { readonly mistake: string; readonly make: (text: string) => Mutant }[] = [
  { mistake: 'an empty file', make: () => ({ text: '', at: 0 }) },
  { mistake: 'only comments', make: () => ({ text: '# nothing yet\n', at: [0, 14] }) },
  { mistake: 'a list for the file', make: () => ({ text: '- title: A\n- rows: 1\n', at: 0 }) },
  { mistake: 'prose for the file', make: () => ({ text: 'A planter with four rows.\n', at: 0 }) },
  { mistake: 'braces of another language', make: () => ({ text: '<machine rows="4"/>\n', at: 0 }) },
  { mistake: 'a second document', make: (text) => ({ text: `${text}---\ntitle: Another\n`, at: text.length }) },
  { mistake: 'a list as a key', make: (text) => ({ text: `${text}? [a]\n: 1\n`, at: text.length }) },
  { mistake: 'a number as a key', make: (text) => ({ text: `${text}1: 2\n`, at: text.length }) },
  { mistake: 'a stray bracket', make: (text) => ({ text: `${text}]\n`, at: text.length }) },
  { mistake: 'a dangling quote', make: (text) => ({ text: `${text}"\n`, at: [text.length, text.length + 2] }) },
  { mistake: 'an unknown first key', make: (text) => ({ text: `nonsense: 1\n${text}`, at: 0 }) },
  { mistake: 'a wrong directive', make: (text) => ({ text: `%YAML banana\n---\n${text}`, at: 0 }) },
];

/** Removes a key and its value, at any depth of lines, with everything below it. */
export function without(text: string, key: string): Mutant {
  const lines = text.split('\n');
  const from = lines.findIndex((line) => line.startsWith(`${key}:`));
  const next = lines.findIndex((line, index) => index > from && /^[^\s#-]/.test(line));
  const left = [...lines.slice(0, from), ...(next < 0 ? [''] : lines.slice(next))].join('\n');
  return { text: left, at: first(left) };
}
