import { CAUTIONS } from '../../rig/cautions.js';
import type { BoardCheck } from '../../rig/check-rig.js';
import { placeText, type Rig } from '../../rig/rig-file.js';
import { colours } from '../form/colours.js';
import { counted, textTable } from '../form/text-table.js';
import { clockText, linkTable } from './link-text.js';

const rowsText = ({ config: { firstRow, rows } }: BoardCheck): string =>
  rows === 1 ? String(firstRow) : `${firstRow} to ${firstRow + rows - 1}`;

function boardRow(check: BoardCheck): string[] {
  const { config, greeting, problems } = check;
  const verdict = problems.length === 0 ? colours.green('ready') : colours.red('NOT READY');
  const place = [config.name, placeText(config.place), rowsText(check)];
  if (greeting === undefined) return [...place, '', '', '', '', verdict];
  const { board, contractHash, valveRows, tickHz } = greeting;
  return [...place, board, contractHash, String(valveRows), String(tickHz), verdict];
}

/** What a check of a rig has found, one line per board, and the cautions. */
export function rigCheckText(rig: Rig, checks: readonly BoardCheck[], contractHash: string): string {
  const columns = ['board', 'where', 'rows', 'answers as', 'contract', 'rows wired', 'timer, Hz', ''].map((title) => ({ title }));
  const found = checks.flatMap(({ config, problems, notes, clock }) => [
    ...problems.map((text) => colours.red(`${config.name}: ${text}`)),
    ...notes.map((text) => colours.yellow(`${config.name}: ${text}`)),
    ...(clock === undefined ? [] : [`${config.name}: ${clockText(clock)}`]),
  ]);
  const links = checks.flatMap(({ config, link }) => (link === undefined ? [] : [{ name: config.name, link }]));
  const bad = checks.filter(({ problems }) => problems.length > 0).length;
  return [
    `${rig.title} (${rig.file})${rig.pressurised ? ', can be under pressure' : ''}; contract of the controller: ${contractHash}`,
    '',
    textTable(columns, checks.map(boardRow)),
    ...(links.length === 0 ? [] : [linkTable(links)]),
    ...(found.length === 0 ? [] : [...found, '']),
    ...CAUTIONS,
    '',
    `${counted(checks.length, 'board')}: ${checks.length - bad} ready, ${bad} not ready`,
    '',
  ].join('\n');
}
