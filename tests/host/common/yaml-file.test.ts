import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { parseYaml, readYaml } from '../../../host/common/yaml-file.js';
import { describeContract } from '../../../host/contract/contract.js';
import { parameterSchema } from '../../../host/contract/parameter-schema.js';

const folder = mkdtempSync(join(tmpdir(), 'latchbench-yaml-'));
afterAll(() => rmSync(folder, { recursive: true }));

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
    list: {
      type: 'array',
      items: { type: 'object', required: ['name'], additionalProperties: false, properties: { name: { type: 'string' } } },
    },
  },
};

function messageOf(run: () => unknown): string {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  throw new Error('no error was thrown');
}

describe('a sound YAML text', () => {
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
  ])('knows where %j stands', (path, line, column) => {
    expect(parseYaml(text, 'a.yaml', SCHEMA).where(path)).toEqual({ line, column });
  });

  it('makes errors about its values', () => {
    const error = parseYaml(text, 'a.yaml', SCHEMA).wrong(['list', 1, 'name'], 'name', ['c', 'd']);
    expect(error.message).toBe('a.yaml:4:13: name "b" — allowed: one of c, d');
    expect(error.details).toMatchObject({ file: 'a.yaml', line: 4, column: 13, value: 'b' });
  });

  it('passes the schema that is made of our parameters', () => {
    const schema = parameterSchema(describeContract());
    expect(parseYaml('deadbandN: 35\nstrategy: 1\n', 'p.yaml', schema).value).toEqual({ deadbandN: 35, strategy: 1 });
    const words = 'p.yaml:1:12: deadbandN 0 — allowed: a number from 1 to 1000 N';
    expect(messageOf(() => parseYaml('deadbandN: 0\n', 'p.yaml', schema))).toBe(words);
  });
});

describe('an error names line, column, value and what is allowed', () => {
  const names = 'rows, load, mode, row, title, list';
  it.each([
    ['a number that is too large', 'rows: 49\n', '1:7: rows 49 — allowed: a whole number from 1 to 48'],
    ['a number that is too small', 'load: -1\nrows: 1\n', '1:7: load -1 — allowed: a number from 0 up N'],
    ['a fraction', 'rows: 1.5\n', '1:7: rows 1.5 — allowed: a whole number from 1 to 48'],
    ['a word for a number', 'rows: many\n', '1:7: rows "many" — allowed: a whole number from 1 to 48'],
    ['nothing for a number', 'rows:\n', '1:6: rows null — allowed: a whole number from 1 to 48'],
    ['a word that is none of several', 'rows: 1\nmode: up\n', '2:7: mode "up" — allowed: one of off, on'],
    ['a value that fits neither form', 'rows: 1\nrow: some\n', '2:6: row "some" — allowed: a whole number from 1 to 48 or "all"'],
    ['a text that is too long', 'rows: 1\ntitle: abcdef\n', '2:8: title "abcdef" — allowed: must NOT have more than 5 characters'],
    ['an unknown key', 'rows: 1\nlaod: 3\n', `2:1: key "laod" — allowed: one of ${names}`],
    ['an unknown key further in', 'rows: 1\nlist:\n  - name: a\n    nmae: b\n', '4:5: list[0] key "nmae" — allowed: one of name'],
    ['a missing key', 'load: 1\n', '1:1: rows is missing — allowed: a whole number from 1 to 48'],
    ['a missing key further in', 'rows: 1\nlist:\n  - name: a\n  - {}\n', '4:5: list[1].name is missing — allowed: a text'],
    ['an empty file', '', '1:1: file null — allowed: a mapping'],
    ['a list for a mapping', '- 1\n', '1:1: file [1] — allowed: a mapping'],
    ['a duplicated key', 'rows: 1\nload: 2\nrows: 3\n', '3:1: Map keys must be unique — allowed: each key once'],
    ['a tab for indentation', 'list:\n\t- name: a\n', '2:1: Tabs are not allowed as indentation — allowed: YAML 1.2'],
    ['an open quote', 'title: "a\n', '2:1: Missing closing "quote — allowed: YAML 1.2'],
    ['an unknown tag', 'rows: !count 3\n', '1:7: Unresolved tag: !count — allowed: YAML 1.2'],
    ['two documents', 'rows: 1\n---\nrows: 2\n', '2:1: '],
  ])('of %s', (_, text, words) => {
    expect(messageOf(() => parseYaml(text, 'a.yaml', SCHEMA))).toContain(`a.yaml:${words}`);
  });

  it('of aliases that multiply', () => {
    const levels = Array.from({ length: 9 }, (_, index) => `l${index + 1}: &l${index + 1} [${`*l${index},`.repeat(9)}]`);
    const text = `l0: &l0 [x]\n${levels.join('\n')}\n`;
    expect(messageOf(() => parseYaml(text, 'a.yaml', {}))).toContain('allowed: at most 100 uses of aliases');
  });
});

describe('a YAML file', () => {
  const path = join(folder, 'a.yaml');

  it('is read and checked', () => {
    writeFileSync(path, 'rows: 5\n');
    expect(readYaml(path, SCHEMA)).toMatchObject({ file: path, value: { rows: 5 } });
  });

  it('may have a million bytes and no more', () => {
    writeFileSync(path, `rows: 5\n#${'x'.repeat((1 << 20) - 9)}`);
    expect(readYaml(path, SCHEMA).value).toEqual({ rows: 5 });
    writeFileSync(path, `rows: 5\n#${'x'.repeat((1 << 20) - 8)}`);
    expect(messageOf(() => readYaml(path, SCHEMA))).toBe(`${path}: size 1048577 — allowed: at most 1048576 bytes`);
  });

  it('is UTF-8', () => {
    writeFileSync(path, Buffer.from([0x23, 0xb0, 0x43, 0x0a]));
    expect(messageOf(() => readYaml(path, SCHEMA))).toBe(`${path}: text that is not UTF-8 — allowed: UTF-8`);
  });

  it('must be there', () => {
    expect(messageOf(() => readYaml('nowhere.yaml', SCHEMA))).toBe('nowhere.yaml: not found — allowed: a file that can be read');
  });
});

describe('the message of an InputError', () => {
  it.each([
    [{ file: 'a', what: 'b', allowed: 'c' }, 'a: b — allowed: c'],
    [{ file: 'a', line: 2, what: 'b', allowed: 'c' }, 'a:2: b — allowed: c'],
    [{ file: 'a', column: 3, what: 'b', allowed: 'c' }, 'a: b — allowed: c'],
    [{ file: 'a', byte: 0, what: 'b', allowed: 'c' }, 'a: byte 0: b — allowed: c'],
    [{ file: 'a', what: 'b', value: Number.NaN, allowed: 'c' }, 'a: b NaN — allowed: c'],
    [{ file: 'a', what: 'b', value: 'two\nlines', allowed: 'c' }, 'a: b "two\\nlines" — allowed: c'],
    [{ file: 'a', what: 'b', value: 'x'.repeat(80), allowed: 'c' }, `a: b "${'x'.repeat(69)}… — allowed: c`],
    [{ file: 'a', what: 'b', value: undefined, allowed: ['c', 'd'] }, 'a: b undefined — allowed: one of c, d'],
  ])('of %j is %j', (details, message) => {
    expect(new InputError(details).message).toBe(message);
  });
});
