import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { type ImportReport, importCsv } from '../../../host/recording/csv/csv-import.js';
import { inspectLog } from '../../../host/recording/csv/inspect.js';
import { decisionLines, newMap } from '../../../host/recording/csv/new-map.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();
const [CSV, MAP, OUT] = ['log.csv', 'map.yaml', 'log.mcap'].map((name) => join(folder, name)) as [string, string, string];

function mapOf(csv: string | Uint8Array): string {
  writeFileSync(CSV, csv);
  return newMap(inspectLog(CSV));
}

/** Imports a log by a mapping. */
function imported(map: string): ImportReport {
  writeFileSync(MAP, map);
  return importCsv(CSV, MAP, OUT, contract);
}

/** Lines of a mapping without comments and blank ones. */
const content = (map: string): string[] =>
  map
    .split('\n')
    .map((line) => line.replace(/ {2}#.*/, ''))
    .filter((line) => line !== '' && !line.startsWith('#'));

/** Rows of a table, 10 ms apart. */
const table = (header: string, row: (index: number) => string, count = 4): string =>
  `${header}\n${Array.from({ length: count }, (_, index) => row(index)).join('\n')}\n`;

describe('a mapping that is written for a log', () => {
  it('is valid as it stands where names and header say everything', () => {
    const csv = table(
      '# bench\nTime [s];Target [kgf];Load 1 [kgf];I supply 1 [mA];I return 1 [mA];note',
      (index) => `0,0${index};45,9;46,1;${index * 1000};-2500,0;a`,
    );
    const map = mapOf(csv);
    expect(content(map)).toEqual([
      'rows: 1',
      'table: { delimiter: ";", decimal: ",", comment: "#" }',
      'time: { column: "Time [s]", unit: s }',
      'signals:',
      '  - { signal: targetLoadN, column: "Target [kgf]", unit: "kgf" }',
      '  - { signal: loadCounts, row: 1, column: "Load 1 [kgf]", unit: "kgf", between: linear }',
      'orders:',
      '  - { valve: supply, row: 1, current: "I supply 1 [mA]", unit: "mA", onA: 1.5 }',
      '  - { valve: return, row: 1, current: "I return 1 [mA]", unit: "mA", onA: 1.3 }',
    ]);
    expect(map).toContain('# Columns that are not used:\n#   "note": text such as "a"\n');
    expect(imported(map)).toMatchObject({ samples: 4, rows: 1, orders: [{ opens: 1 }, { closes: 1 }] });
  });

  it('marks what a person must decide, and an import names the line', () => {
    const map = mapOf(table('t,load 1,load 2,pressure 1 [bar]', (index) => `${index},5,6,${index === 2 ? '' : 40}`));
    expect(content(map).slice(2)).toEqual([
      'time: { column: "t", unit: decide }',
      'signals:',
      '  - { signal: loadCounts, row: 1, column: "load 1", unit: decide }',
      '  - { signal: loadCounts, row: 2, column: "load 2", unit: decide }',
      '  - { signal: pressureCounts, row: 1, column: "pressure 1 [bar]", unit: "bar", missing: decide }',
    ]);
    const lines = decisionLines(map);
    expect(lines.map((line) => map.split('\n')[line - 1]?.includes('decide'))).toEqual([true, true, true, true]);
    expect(map).toContain('# the values step by 1: in s that is 1 Hz, in ms 1000 Hz\n');
    expect(map).toContain('1 cell without a value, the first in line 4: ');
    // Each decision is asked for in turn; with all made, the mapping is valid.
    const decided = ['unit: ms', 'unit: kgf', 'unit: kgf', 'missing: hold'];
    let left = map;
    for (const [index, line] of lines.entries()) {
      expect(refusalOf(() => imported(left)).message).toContain(`map.yaml:${index === 0 ? lines[3] : lines[index - 1]}:`);
      const choose = index === 0 ? 3 : index - 1;
      const at = lines[choose] ?? 0;
      left = left
        .split('\n')
        .map((text, one) => (one === at - 1 ? text.replace(/(unit|missing): decide/, decided[choose] ?? '') : text))
        .join('\n');
      expect(line).toBeGreaterThan(0);
    }
    expect(imported(left)).toMatchObject({ rows: 2, samples: 4, ticks: 4 });
  });

  it.each<[what: string, csv: string | Uint8Array, line: string]>([
    ['seconds since 1970', table('time,x', (index) => `17775331${20 + index},1`), 'time: { column: "time", unit: s, since: 1970-01-01 }'],
    ['ms in the name', table('time_ms,x', (index) => `${index},1`), 'time: { column: "time_ms", unit: ms }'],
    ['ISO dates', table('Timestamp,x', (index) => `2026-04-30T07:12:0${index}Z,1`), 'time: { column: "Timestamp", format: "date" }'],
    [
      'days before months',
      table('date;x', (index) => `30.04.2026 07:12:0${index};1`),
      'time: { column: "date", format: "DD.MM.YYYY hh:mm:ss.fff" }',
    ],
    [
      'months before days',
      table('date,x', (index) => `04/30/2026 07:12:0${index},1`),
      'time: { column: "date", format: "MM/DD/YYYY hh:mm:ss.fff" }',
    ],
    ['either', table('date,x', (index) => `04/05/2026 07:12:0${index},1`), 'time: { column: "date", format: decide }'],
    [
      'two columns',
      table('Date,Time,x', (index) => `30.04.2026,07:12:0${index},1`),
      'time: { columns: ["Date", "Time"], format: "DD.MM.YYYY hh:mm:ss.fff" }',
    ],
    ['clock times', table('clock,x', (index) => `07:12:00.0${index},1`), 'time: { column: "clock", format: "hh:mm:ss.fff" }'],
    ['none', table('x,y', (index) => `${index},1`), 'rate: { hz: decide }'],
    [
      'a clock that steps back',
      table('t_s,x', (index) => `${[1, 2, 0, 1][index]},1`, 4),
      'time: { column: "t_s", unit: s, backwards: decide }',
    ],
    ['times that repeat', table('t_s,x', (index) => `${index >> 1},1`), 'time: { column: "t_s", unit: s, repeated: decide }'],
  ])('finds the time: %s', (_, csv, line) => {
    expect(content(mapOf(csv))).toContain(line);
  });

  it.each<[what: string, csv: string | Uint8Array, line: string]>([
    ['tabs', table('t_s\tx', (index) => `${index}\t1`), 'table: { delimiter: "\\t", decimal: "." }'],
    [
      'a preamble',
      `Bench;3\nby hand\n${table('t_s;x;y', (index) => `${index};1,5;2`)}`,
      'table: { delimiter: ";", decimal: ",", skipLines: 2 }',
    ],
    [
      'a row of units',
      table('t,x', (index) => (index === 0 ? 'ms,kgf' : `${index},1`)),
      'table: { delimiter: ",", decimal: ".", unitsRow: true }',
    ],
    ['names twice', table('t_s,x,x', (index) => `${index},1,2`), 'table: { delimiter: ",", decimal: ".", repeatedNames: number }'],
    [
      'UTF-16',
      Buffer.from(`\ufeff${table('t_s,x', (index) => `${index},1`)}`, 'utf16le'),
      'table: { delimiter: ",", decimal: ".", encoding: utf-16le }',
    ],
    [
      'Windows-1252',
      Buffer.from(
        table('t_s,\xb0C', (index) => `${index},1`),
        'latin1',
      ),
      'table: { delimiter: ",", decimal: ".", encoding: windows-1252 }',
    ],
  ])('finds how the table is written: %s', (_, csv, line) => {
    expect(content(mapOf(csv))).toContain(line);
  });

  it('guesses nothing from names that only resemble an input', () => {
    const map = mapOf(
      table('t_s,engine load 1 [%],fan speed [km/h],air pressure 1 [bar],load 1 [bar],CPU temp [degC]', (index) => `${index},1,2,3,4,5`),
    );
    expect(content(map)).toContain('signals: []');
  });

  it('says that a log has no header', () => {
    writeFileSync(CSV, '0,1\n1,2\n');
    expect(refusalOf(() => inspectLog(CSV)).message).toContain(
      'log.csv:1:1: this line holds numbers; a log needs a line with the names of its columns. ',
    );
  });

  it('takes names with quotes, control characters and comments as text', () => {
    const map = mapOf('t_s,"load 1 ""x"", # y: decide [kgf]",load 2\u0007\n0,1,2\n1,2,3\n');
    expect(imported(map)).toMatchObject({ rows: 1, samples: 2, clamped: [] });
    expect(map).toContain('#   "load 2\\u0007": 2 to 3');
  });
});
