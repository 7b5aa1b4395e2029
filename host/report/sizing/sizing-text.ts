import type { CheckResult } from '../../sizing/check.js';
import type { Sizing } from '../../sizing/size-machine.js';
import { colours } from '../form/colours.js';
import { textTable } from '../form/text-table.js';
import { CAUTIONS } from './sizing-labels.js';
import { type CheckLine, type Grid, type List, type Section, type Sheet, sheetOf } from './sizing-sheet.js';
import type { System } from './sizing-units.js';

const COLOUR: Readonly<Record<CheckResult, (text: string) => string>> = {
  pass: colours.green,
  marginal: colours.yellow,
  fail: colours.red,
};
const RESULT: Readonly<Record<CheckResult, string>> = { pass: 'pass', marginal: 'marginal', fail: 'FAIL' };
/** Maximum line length of prose. */
const LINE_MAX = 110;
const LABEL_WIDTH = 58;
const VALUE_WIDTH = 10;

/** Returns prose in lines, with a hanging indent. */
function wrapped(first: string, text: string): string[] {
  const lines: string[] = [];
  let line = first;
  for (const word of text.split(' ')) {
    if (line.length + word.length >= LINE_MAX && line.trim() !== '') {
      lines.push(line);
      line = ' '.repeat(first.length - 1);
    }
    line += `${line.endsWith(' ') && line === first ? '' : ' '}${word}`;
  }
  return [...lines, line];
}

/** `0.95; must be <= 0.9 (marginal: <= 1)`, or `0.95 s; must be <= 0.9 s (0.8 s with oil at 40 °C)`. */
function comparison({ check, relation, value, milder, limit, marginalLimit, unit }: CheckLine): string {
  const of = ({ text }: { readonly text: string }): string => `${text} ${unit}`.trimEnd();
  const ownMarginal = marginalLimit.text === limit.text ? '' : ` (marginal: ${relation} ${of(marginalLimit)})`;
  const marginal = milder === undefined ? ownMarginal : ` (${of(milder)} ${check.milder?.when})`;
  return `${of(value)}; must be ${relation} ${of(limit)}${marginal}`;
}

/** A check that does not pass, with all its texts. */
function checkDetails(line: CheckLine): string[] {
  const { result, name, reason, remedy, rule, source } = line.check;
  const part = (title: string, text: string): string[] => wrapped(`      ${`${title}:`.padEnd(8)} `, text);
  return [
    `${COLOUR[result](RESULT[result])}  ${name}: ${comparison(line)}`,
    ...part('why', reason),
    ...part('remedy', remedy),
    ...part('rule', rule),
    ...part('source', source),
    '',
  ];
}

/** `1 of 30 design checks fails, 3 are marginal, 26 pass`. */
export function checkSummary({ counts }: Sheet): string {
  const { fail, marginal, pass } = counts;
  const total = fail + marginal + pass;
  return `${fail} of ${total} design checks fail${fail === 1 ? 's' : ''}, ${marginal} ${marginal === 1 ? 'is' : 'are'} marginal, ${pass} pass`;
}

function checksText(sheet: Sheet): string {
  const notPassing = sheet.checks.filter(({ check }) => check.result !== 'pass');
  const passing = sheet.checks.filter(({ check }) => check.result === 'pass');
  const table = textTable(
    [
      { title: '' },
      { title: 'check' },
      { title: 'value', isNumber: true },
      { title: '' },
      { title: 'limit', isNumber: true },
      { title: '' },
    ],
    passing.map(({ check, relation, value, limit, unit }) => [
      COLOUR.pass(RESULT.pass),
      check.name,
      value.text,
      relation,
      limit.text,
      unit,
    ]),
  );
  return [colours.bold('Design checks'), `${checkSummary(sheet)}.`, '', ...notPassing.flatMap(checkDetails), table].join('\n');
}

const listText = ({ rows }: List): string =>
  rows.map(({ label, value, unit }) => `  ${label.padEnd(LABEL_WIDTH)}${value.text.padStart(VALUE_WIDTH)} ${unit}`.trimEnd()).join('\n');

function gridText({ caption, heads, unitFirst, rows }: Grid): string {
  const titles = [{ title: '' }, ...(unitFirst ? [{ title: '' }] : []), ...heads.map((title) => ({ title, isNumber: title !== 'unit' }))];
  const cells = rows.map(({ head, unit, values }) => [head, ...(unitFirst ? [unit] : []), ...values.map(({ text }) => text)]);
  const table = textTable(titles, cells).trimEnd().replaceAll(/^/gm, '  ');
  return `  ${caption}\n${table}`;
}

function sectionText({ title, note, lists, grids }: Section): string {
  const parts = [...(note === '' ? [] : [wrapped('  ', note).join('\n')]), ...lists.map(listText), ...grids.map(gridText)];
  return `${colours.bold(title)}\n${parts.join('\n\n')}\n`;
}

/** The machine in the head of a sheet. */
export interface Head {
  readonly name: string;
  readonly title: string;
}

const SYSTEM_WORDS: Readonly<Record<System, string>> = { si: 'metric units', us: 'US customary units' };

/** Returns the cautions that every sheet ends with. */
export const cautionText = (): string => `${colours.bold('Cautions')}\n${CAUTIONS.flatMap((one) => wrapped('  - ', one)).join('\n')}\n`;

/** Returns the sheet of a machine as text. */
export function sizingText({ name, title }: Head, sizing: Sizing, system: System): string {
  const sheet = sheetOf(sizing, system);
  const failing = sheet.checks.filter(({ check }) => check.result === 'fail').map(({ check }) => check.name);
  const head = `${colours.bold(title)}\nmachine ${name}, ${sizing.rowCount} rows; ${SYSTEM_WORDS[system]}; closed-form estimates, neither simulated nor measured\n`;
  const end = `${checkSummary(sheet)}${failing.length === 0 ? '' : `: ${failing.join(', ')}`}\n`;
  return [head, checksText(sheet), ...sheet.sections.map(sectionText), cautionText(), end].join('\n');
}
