import type { Verdict } from '../../sizing/check.js';
import type { Sizing } from '../../sizing/size-machine.js';
import { colours } from '../form/colours.js';
import { textTable } from '../form/text-table.js';
import { type CheckLine, type Grid, type List, type Section, type Sheet, sheetOf } from './sizing-sheet.js';
import type { System } from './sizing-units.js';
import { CAUTIONS } from './sizing-words.js';

const PAINT: Readonly<Record<Verdict, (text: string) => string>> = { pass: colours.green, near: colours.yellow, fail: colours.red };
const WORD: Readonly<Record<Verdict, string>> = { pass: 'pass', near: 'near', fail: 'FAIL' };
/** Longest line of prose. */
const LINE = 110;
const LABEL = 54;
const NUMBER = 12;

/** Prose in lines, the second and later ones as far in as the first. */
function wrapped(first: string, text: string): string[] {
  const lines: string[] = [];
  let line = first;
  for (const word of text.split(' ')) {
    if (line.length + word.length >= LINE && line.trim() !== '') {
      lines.push(line);
      line = ' '.repeat(first.length - 1);
    }
    line += `${line.endsWith(' ') && line === first ? '' : ' '}${word}`;
  }
  return [...lines, line];
}

/** `0.75, must be <= 0.9`, with its unit. */
function against({ check, value, limit, nearLimit, unit }: CheckLine): string {
  const of = (text: string): string => `${text} ${unit}`.trimEnd();
  const nearly = nearLimit.text === limit.text ? '' : ` (near: ${of(nearLimit.text)})`;
  return `${of(value.text)}, passes ${check.is} ${of(limit.text)}${nearly}`;
}

/** A check that somebody has to read: all of it. */
function inFull(line: CheckLine): string[] {
  const { verdict, name, reason, remedy, rule, source } = line.check;
  const part = (title: string, text: string): string[] => wrapped(`      ${`${title}:`.padEnd(8)} `, text);
  return [
    `${PAINT[verdict](WORD[verdict])}  ${name}: ${against(line)}`,
    ...part('why', reason),
    ...part('remedy', remedy),
    ...part('rule', rule),
    ...part('source', source),
    '',
  ];
}

/** How the checks came out, as one phrase. */
export function verdictPhrase({ counts }: Sheet): string {
  const { fail, near, pass } = counts;
  return `${fail} of ${fail + near + pass} design checks fail${fail === 1 ? 's' : ''}, ${near} ${near === 1 ? 'is' : 'are'} near, ${pass} pass`;
}

function checksText(sheet: Sheet): string {
  const told = sheet.checks.filter(({ check }) => check.verdict !== 'pass');
  const passing = sheet.checks.filter(({ check }) => check.verdict === 'pass');
  const table = textTable(
    [
      { title: '' },
      { title: 'check' },
      { title: 'value', isNumber: true },
      { title: '' },
      { title: 'limit', isNumber: true },
      { title: '' },
    ],
    passing.map(({ check, value, limit, unit }) => [PAINT.pass(WORD.pass), check.name, value.text, check.is, limit.text, unit]),
  );
  return [colours.bold('Design checks'), `${verdictPhrase(sheet)}.`, '', ...told.flatMap(inFull), table].join('\n');
}

const listText = ({ rows }: List): string =>
  rows.map(({ label, metric, unit }) => `  ${label.padEnd(LABEL)}${metric.text.padStart(NUMBER)} ${unit}`.trimEnd()).join('\n');

function gridText({ caption, heads, unitFirst, rows }: Grid): string {
  const titles = [{ title: '' }, ...(unitFirst ? [{ title: '' }] : []), ...heads.map((title) => ({ title, isNumber: title !== 'unit' }))];
  const cells = rows.map(({ head, unit, metrics }) => [head, ...(unitFirst ? [unit] : []), ...metrics.map(({ text }) => text)]);
  const table = textTable(titles, cells).trimEnd().replaceAll(/^/gm, '  ');
  return `  ${caption}\n${table}`;
}

function sectionText({ title, note, lists, grids }: Section): string {
  const parts = [...(note === '' ? [] : [wrapped('  ', note).join('\n')]), ...lists.map(listText), ...grids.map(gridText)];
  return `${colours.bold(title)}\n${parts.join('\n\n')}\n`;
}

/** What a sheet says of the machine it is of. */
export interface Head {
  readonly name: string;
  readonly title: string;
}

const SYSTEM_WORDS: Readonly<Record<System, string>> = { si: 'metric units', us: 'US customary units' };

/** What goes with every sheet. */
export const cautionText = (): string => `${colours.bold('Cautions')}\n${CAUTIONS.flatMap((one) => wrapped('  - ', one)).join('\n')}\n`;

/** The sheet of a machine on a terminal. */
export function sizingText({ name, title }: Head, sizing: Sizing, system: System): string {
  const sheet = sheetOf(sizing, system);
  const failing = sheet.checks.filter(({ check }) => check.verdict === 'fail').map(({ check }) => check.name);
  const head = `${colours.bold(title)}\nmachine ${name}, ${sizing.rowCount} rows; ${SYSTEM_WORDS[system]}; closed forms, not a simulation and no measurement\n`;
  const end = `${verdictPhrase(sheet)}${failing.length === 0 ? '' : `: ${failing.join(', ')}`}\n`;
  return [head, checksText(sheet), ...sheet.sections.map(sectionText), cautionText(), end].join('\n');
}
