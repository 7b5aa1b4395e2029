import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parseYaml, readYaml } from '../../../host/common/yaml-file.js';
import { describeContract } from '../../../host/contract/contract.js';
import { parameterSchema } from '../../../host/contract/parameter-schema.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

const SCHEMA = {
  type: 'object',
  required: ['rows'],
  additionalProperties: false,
  properties: {
    rows: { type: 'integer', minimum: 1, maximum: 48 },
    load: { type: 'number', minimum: 0, unit: 'N' },
    mode: { type: 'string', enum: ['off', 'on'] },
    row: { anyOf: [{ type: 'integer', minimum: 1, maximum: 48 }, { const: 'all' }] },
    title: { type: 'string', maxLength: 5 },
    name: { type: 'string', minLength: 1 },
    day: { type: 'string', format: 'date', title: 'a date as YYYY-MM-DD' },
    list: {
      type: 'array',
      items: { type: 'object', required: ['name'], additionalProperties: false, properties: { name: { type: 'string' } } },
    },
  },
};

describe('valid YAML text', () => {
  const text = 'rows: 3\nlist:\n  - name: a\n  - { name: b }\n';

  it('becomes a value', () => {
    expect(parseYaml(text, 'a.yaml', SCHEMA).value).toEqual({ rows: 3, list: [{ name: 'a' }, { name: 'b' }] });
  });

  it.each([
    [['rows'], 1, 7],
    [['list', 0, 'name'], 3, 11],
    [['list', 1, 'name'], 4, 13],
    [['list', 1], 4, 5],
    [['list', 1, 'unit'], 4, 5],
    [['nothing'], 1, 1],
    [[], 1, 1],
  ])('knows where %j is', (path, line, column) => {
    expect(parseYaml(text, 'a.yaml', SCHEMA).where(path)).toEqual({ line, column });
  });

  it.each([
    [{ allowed: ['c', 'd'] }, 'list[1].name is "b"; it must be one of c, d.'],
    [{ allowed: 'longer' }, 'list[1].name is "b"; it must be longer.'],
    [{ problem: 'b is taken' }, 'b is taken.'],
    [{ problem: 'b is taken', allowed: 'new', hint: 'Try c' }, 'b is taken; it must be new. Try c.'],
  ])('makes an error about a value with %j', (problem, words) => {
    const error = parseYaml(text, 'a.yaml', SCHEMA).errorAt(['list', 1, 'name'], problem);
    expect(error.message).toBe(`a.yaml:4:13: ${words}`);
    expect(error.details).toMatchObject({ file: 'a.yaml', line: 4, column: 13, value: 'b' });
  });

  it('makes an error about a missing value at the mapping that lacks it', () => {
    const error = parseYaml(text, 'a.yaml', SCHEMA).errorAt(['list', 1, 'unit'], { allowed: 'N' });
    expect(error.message).toBe('a.yaml:4:5: list[1].unit is missing; it must be N.');
  });

  it('satisfies the schema that is made from our parameters', () => {
    const schema = parameterSchema(describeContract());
    expect(parseYaml('deadbandN: 35\nstrategy: 1\n', 'p.yaml', schema).value).toEqual({ deadbandN: 35, strategy: 1 });
    const words = 'p.yaml:1:12: deadbandN is 0; it must be between 1 and 1000 N.';
    expect(refusalOf(() => parseYaml('deadbandN: 0\n', 'p.yaml', schema)).message).toBe(words);
  });
});

describe('an error has line, column, value and what is allowed for', () => {
  const keys = 'rows, load, mode, row, title, name, day, list';
  const colon = 'a mapping cannot start here; check the indentation, or put text that holds a colon in quotes.';
  it.each([
    ['a number that is too large', 'rows: 49\n', '1:7: rows is 49; it must be between 1 and 48.'],
    ['a number that is too small', 'load: -1\nrows: 1\n', '1:7: load is -1; it must be at least 0 N.'],
    ['a fraction', 'rows: 1.5\n', '1:7: rows is 1.5; it must be an integer between 1 and 48.'],
    ['text for a number', 'rows: many\n', '1:7: rows is "many"; it must be an integer between 1 and 48.'],
    ['nothing for a number', 'rows:\n', '1:6: rows is empty; it must be an integer between 1 and 48.'],
    ['a number for a list', 'rows: 1\nlist: 3\n', '2:7: list is 3; it must be a list.'],
    ['a mapping for a number', 'rows: {load: 3}\n', '1:7: rows is a mapping; it must be an integer between 1 and 48.'],
    ['an unknown choice', 'rows: 1\nmode: up\n', '2:7: mode is "up"; it must be one of off, on.'],
    ['a value that fits neither form', 'rows: 1\nrow: some\n', '2:6: row is "some"; it must be an integer between 1 and 48, or all.'],
    ['text that is too long', 'rows: 1\ntitle: abcdef\n', '2:8: title is "abcdef"; it must be at most 5 characters long.'],
    ['empty text', 'rows: 1\nname: ""\n', '2:7: name is ""; it must be non-empty text.'],
    ['an unknown key', 'rows: 1\nlever: 3\n', `2:1: unknown key \`lever\`; it must be one of ${keys}.`],
    ['a misspelt key', 'rows: 1\nlaod: 3\n', '2:1: unknown key `laod`; did you mean `load`?'],
    ['a misspelt key in a list', 'rows: 1\nlist:\n  - name: a\n    nmae: b\n', '4:5: unknown key `nmae` in list[0]; did you mean `name`?'],
    ['a missing key', 'load: 1\n', '1:1: rows is missing; it must be an integer between 1 and 48.'],
    ['a missing key in a list', 'rows: 1\nlist:\n  - name: a\n  - {}\n', '4:5: list[1].name is missing; it must be text.'],
    ['an empty file', '', '1:1: the file is empty; it must be a mapping, with lines of `key: value`.'],
    ['a list for a mapping', '- 1\n', '1:1: the file is a list; it must be a mapping, with lines of `key: value`.'],
    ['a duplicate key', 'rows: 1\nload: 2\nrows: 3\n', '3:1: the key `rows` appears twice.'],
    ['a duplicate key in quotes', '"a b": 1\n"a b": 2\n', '2:1: the key `"a b"` appears twice.'],
    ['a tab as indentation', 'list:\n\t- name: a\n', '2:1: a tab is used as indentation; YAML allows only spaces.'],
    ['an open quote', 'title: "a\n', '1:8: a double quote is not closed.'],
    ['an open single quote', "title: 'a\n", '1:8: a single quote is not closed.'],
    ['an open brace', 'row: { a: 1\nrows: 1\n', '1:6: a brace is not closed: `}` is missing.'],
    ['an open bracket at the end', '[1, 2', '1:1: a bracket is not closed: `]` is missing.'],
    ['a missing comma', 'list: [1, "a" "b"]\n', '1:15: a quote, bracket, comma, colon or space is missing.'],
    ['an unknown tag', 'rows: !count 3\n', '1:7: this tag is unknown.'],
    ['wrong indentation', 'rows: 1\n load: 2\n', `1:7: ${colon}`],
    ['a colon in text', 'rows: 1\ntitle: a: b\n', `2:8: ${colon}`],
    ['two documents', 'rows: 1\n---\nrows: 2\n', '2:1: a second document starts here; the file must hold one.'],
    ['an open bracket in another', 'list: [[1], [2\nrows: 1\n', '1:13: a bracket is not closed: `]` is missing.'],
    ['a misspelt key that must be there', 'rwos: 1\n', '1:1: unknown key `rwos`; did you mean `rows`?'],
    ['a list as a key', 'rows: 1\n? [a]\n: 2\n', '2:3: a list or a mapping cannot be a key.'],
    [
      'a merge conflict',
      '<<<<<<< HEAD\nrows: 1\n=======\nrows: 2\n>>>>>>> topic\n',
      '1:1: a merge conflict is not resolved: <<<<<<<. Keep one side and remove the markers.',
    ],
    [
      'half of a merge conflict',
      'rows: 1\n>>>>>>> topic\n',
      '2:1: a merge conflict is not resolved: >>>>>>>. Keep one side and remove the markers.',
    ],
    ['an impossible day', 'rows: 1\nday: 2026-02-29\n', '2:6: day is "2026-02-29"; it must be a date as YYYY-MM-DD.'],
    ['an impossible month', 'rows: 1\nday: 2026-13-01\n', '2:6: day is "2026-13-01"; it must be a date as YYYY-MM-DD.'],
    ['an alias inside its anchor', 'list: &a [*a]\n', '1:11: *a is inside the value that it repeats.'],
    ['an alias without an anchor', 'rows: *b\n', '1:7: the alias *b has no anchor before it.'],
  ])('%s', (_, text, words) => {
    expect(refusalOf(() => parseYaml(text, 'a.yaml', SCHEMA)).message).toBe(`a.yaml:${words}`);
  });

  it('aliases that multiply', () => {
    const levels = Array.from({ length: 9 }, (_, index) => `l${index + 1}: &l${index + 1} [${`*l${index},`.repeat(9)}]`);
    const text = `l0: &l0 [x]\n${levels.join('\n')}\n`;
    expect(refusalOf(() => parseYaml(text, 'a.yaml', {})).message).toBe('a.yaml:2:10: aliases repeat values more than 100 times.');
  });
});

describe('text from a stranger is refused', () => {
  const many = (text: string, count: number): string => text.repeat(count);
  const hidden = (code: string): string => `the text contains ${code}, a character that is not visible.`;
  it.each<[string, string, string]>([
    ['an escape sequence', 'rows: 1\ntitle: \u001b]0;x\u0007\n', `2:8: ${hidden('\\u001b')}`],
    ['an escape sequence in a comment', 'rows: 1 # \u001b[8m\n', `1:11: ${hidden('\\u001b')}`],
    ['an escape sequence that is escaped', 'rows: 1\ntitle: "a\\x1b[8m"\n', `2:8: ${hidden('\\u001b')}`],
    ['an escape sequence in a key', 'rows: 1\n"a\\e": 1\n', `2:1: ${hidden('\\u001b')}`],
    ['a control sequence of one character', 'title: \u009b8m\n', `1:8: ${hidden('\\u009b')}`],
    ['text that runs backwards', 'title: a \u202e b\n', `1:10: ${hidden('\\u202e')}`],
    ['a tag that no font shows', 'title: a\u{E0041}\n', `1:9: ${hidden('\\udb40\\udc41')}`],
    ['a carriage return within a line', 'rows: 1\rload: 2\n', `1:8: ${hidden('\\u000d')}`],
    ['a long value', `rows: 1\ntitle: ${many('x', 10_001)}\n`, '2:8: this text is longer than 10000 characters.'],
    ['a long key', `"${many('x', 10_001)}": 1\n`, '1:1: this text is longer than 10000 characters.'],
    ['nested brackets', `a: ${many('[', 51)}`, '1:54: values are nested in more than 50 levels.'],
    ['nested braces', `a: ${many('{a: ', 51)}`, '1:204: values are nested in more than 50 levels.'],
    ['nested dashes', many('- ', 51), '1:101: values are nested in more than 50 levels.'],
    ['nested explicit keys', many('? ', 51), '1:101: values are nested in more than 50 levels.'],
    ['many values', many('- 1\n', 30_000), '25001:1: the file has more than 100000 values and separators.'],
  ])('with %s', (_, text, words) => {
    expect(refusalOf(() => parseYaml(text, 'a.yaml', {})).message).toBe(`a.yaml:${words}`);
  });

  it('but line ends of Windows are not', () => {
    expect(parseYaml('rows: 1\r\ntitle: a\tb\r\n', 'a.yaml', SCHEMA).value).toEqual({ rows: 1, title: 'a\tb' });
  });

  // A check of all pairs of keys takes 6 s for these.
  it('and many keys take no longer than as many values', () => {
    const text = Array.from({ length: 14_000 }, (_, index) => `key${index}: 1\n`).join('');
    const start = process.cpuUsage();
    expect(Object.keys(parseYaml<object>(text, 'a.yaml', {}).value)).toHaveLength(14_000);
    expect(process.cpuUsage(start).user / 1e6).toBeLessThan(5);
    expect(refusalOf(() => parseYaml(`${text}key7: 2\n`, 'a.yaml', {})).message).toBe('a.yaml:14001:1: the key `key7` appears twice.');
  });
});

describe('a YAML file', () => {
  const path = join(folder, 'a.yaml');

  it('is read and checked', () => {
    writeFileSync(path, 'rows: 5\n');
    expect(readYaml(path, SCHEMA)).toMatchObject({ file: path, value: { rows: 5 } });
  });

  it('may have 1 MiB and no more', () => {
    writeFileSync(path, `rows: 5\n#${'x'.repeat((1 << 20) - 9)}`);
    expect(readYaml(path, SCHEMA).value).toEqual({ rows: 5 });
    writeFileSync(path, `rows: 5\n#${'x'.repeat((1 << 20) - 8)}`);
    expect(refusalOf(() => readYaml(path, SCHEMA)).message).toBe(`${path}: the file has 1048577 bytes; it must be at most 1 MiB.`);
  });

  it('must be UTF-8', () => {
    writeFileSync(path, Buffer.from('rows: 1\n# 40 °C\n', 'latin1'));
    expect(refusalOf(() => readYaml(path, SCHEMA)).message).toBe(`${path}:2:6: this character is not UTF-8. Save it as UTF-8.`);
    writeFileSync(path, Buffer.from('\ufeffrows: 1\n', 'utf16le'));
    expect(refusalOf(() => readYaml(path, SCHEMA)).message).toBe(`${path}:1:1: the text is UTF-16. Save it as UTF-8.`);
  });

  it('may start with a byte order mark and end its lines with CRLF', () => {
    writeFileSync(path, '\ufeffrows: 5\r\n');
    expect(readYaml(path, SCHEMA).value).toEqual({ rows: 5 });
  });

  it('must exist and must not be a folder', () => {
    expect(refusalOf(() => readYaml('nowhere.yaml', SCHEMA)).message).toBe('nowhere.yaml: no such file.');
    expect(refusalOf(() => readYaml(folder, SCHEMA)).message).toBe(`${folder}: this is a folder; it must be a file.`);
  });
});
