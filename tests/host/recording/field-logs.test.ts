import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { exportCsv } from '../../../host/recording/csv/csv-export.js';
import { type ImportReport, importCsv } from '../../../host/recording/csv/csv-import.js';
import { Intervals } from '../../../host/recording/csv/intervals.js';
import { compileTimeFormat } from '../../../host/recording/csv/time-format.js';
import { openRecording } from '../../../host/recording/reader.js';
import type { Change } from '../../../host/replay/change.js';
import { compareWithLog } from '../../../host/replay/log-orders.js';
import { viewRecording } from '../../../host/replay/view.js';
import { importText } from '../../../host/report/vector/import-text.js';
import { logOrdersText } from '../../../host/report/vector/log-orders-text.js';
import { viewText } from '../../../host/report/vector/view-text.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();
const [CSV, MAP, OUT, BACK] = ['log.csv', 'map.yaml', 'log.mcap', 'back.csv'].map((name) => join(folder, name)) as [
  string,
  string,
  string,
  string,
];

function load(csv: string | Uint8Array, map: string): ImportReport {
  writeFileSync(CSV, csv);
  writeFileSync(MAP, map);
  return importCsv(CSV, MAP, OUT, contract);
}

/** Values of a signal by tick, after an import. */
async function valuesOf(signal: string): Promise<string[]> {
  await exportCsv(OUT, BACK, { signals: [signal] });
  const lines = readFileSync(BACK, 'utf8').trimEnd().split('\n').slice(1);
  return lines.map((line) => line.split(',')[2] ?? '');
}

const refusal = (csv: string, map: string): string => refusalOf(() => load(csv, map)).message.replaceAll(`${folder}/`, '');

/** A mapping of one signal, with a time in ms. */
const oneSignal = (entry: string, more = ''): string =>
  `rows: 1\ntime: { column: t, unit: ms }\n${more}signals:\n  - { signal: targetLoadN, column: x${entry} }\n`;

describe('a log is read', () => {
  it.each<[how: string, csv: string | Uint8Array, table: string]>([
    ['with a decimal comma', 't;x\n0;1,5\n1;2,5\n', 'decimal: ","'],
    ['in UTF-16, little-endian', Buffer.from('\ufefft;x\r\n0;1.5\r\n1;2.5\r\n', 'utf16le'), ''],
    ['in UTF-16, big-endian', Buffer.from('\ufefft;x\n0;1.5\n1;2.5\n', 'utf16le').swap16(), ''],
    ['in Windows-1252', Buffer.from('t;x;T \xb0C\n0;1.5;20\n1;2.5;20\n', 'latin1'), 'encoding: windows-1252'],
    ['below a preamble', 'Bench 3\n"a;b\n\nt;x\n0;1.5\n1;2.5\n', 'skipLines: 3'],
    ['between comments', '# bench\nt,x\n0,1.5\n# "pause"\n1,2.5\n', 'comment: "#"'],
    ['above a row of units', 't,x\nms,N\n0,1.5\n1,2.5\n', 'unitsRow: true'],
    ['with a delimiter after each row', 't;x\n0;1.5;\n1;2.5;\n', ''],
    ['with a delimiter that is given', 't|x\n0|1.5\n1|2.5\n', 'delimiter: "|"'],
    ['with a name twice', 't,x,x\n0,1.5,9\n1,2.5,9\n', 'repeatedNames: number'],
  ])('%s', async (_, csv, table) => {
    load(csv, oneSignal('', `table: { ${table} }\n`));
    expect(await valuesOf('targetLoadN')).toEqual(['1.5', '2.5']);
  });

  it.each([
    [
      'a dot where the decimal sign is a comma',
      't;x\n0;1.5\n',
      'decimal: ","',
      'log.csv:2:3: x is "1.5"; it must be a finite number (decimal comma',
    ],
    ['a row of units of another length', 't,x\nms\n0,1\n', 'unitsRow: true', 'log.csv:2:1: the row of units has 1 cell; the header has 2.'],
    ['an error below a preamble', 'a\nb\nt,x\n0,?\n', 'skipLines: 2', 'log.csv:4:3: x is "?"; '],
    ['no header below the preamble', 'a\n', 'skipLines: 3', 'log.csv:4:1: this line is empty; it must hold the names of the columns.'],
  ])('but not with %s', (_, csv, table, message) => {
    expect(refusal(csv, oneSignal('', `table: { ${table} }\n`))).toContain(message);
  });

  it('with the units of its header, and says so', async () => {
    const map =
      'rows: 1\ntime: { column: t }\nsignals:\n  - { signal: targetLoadN, column: "load [kgf]" }\n  - { signal: supplyMv, column: U (V) }\n';
    const report = load('t,load [kgf],U (V)\n0,10,12.5\n', map);
    expect(report.headerUnits).toEqual([
      { signal: 'targetLoadN', unit: 'kgf' },
      { signal: 'supplyMv', unit: 'V' },
    ]);
    expect([await valuesOf('targetLoadN'), await valuesOf('supplyMv')]).toEqual([['98.0665'], ['12500']]);
    expect(refusal('t,load [bar],U (V)\n0,1,1\n', map.replace('kgf', 'bar'))).toBe(
      'map.yaml:4:36: targetLoadN cannot have the unit bar, which the header says; it must be one of N, lbf, kN, daN, kgf.',
    );
  });

  it('with words for numbers', async () => {
    const map = 'rows: 1\ntime: { column: t, unit: ms }\nsignals:\n  - { signal: lowered, column: x, words: { Up: 0, down: 1 } }\n';
    load('t,x\n0,DOWN\n1,up\n', map);
    expect(await valuesOf('lowered')).toEqual(['1', '0']);
    expect(refusal('t,x\n0,half\n', map)).toContain('log.csv:2:3: x is "half"; it must be one of up, down.');
  });
});

describe('times', () => {
  // By hand: 30 April 2026 is day 20573 since 1970; 07:12:00.25 is 25,920.25 s.
  it.each<[pattern: string, text: string, seconds: number | undefined]>([
    ['DD.MM.YYYY hh:mm:ss.fff', '30.04.2026 07:12:00.250', 1_777_533_120.25],
    ['DD.MM.YYYY hh:mm:ss.fff', '30.4.2026 7:12:00,25', 1_777_533_120.25],
    ['DD.MM.YYYY hh:mm:ss.fff', '30.04.2026 07:12:00', 1_777_533_120],
    ['MM/DD/YY hh:mm:ss AM', '4/30/26 7:12:00 PM', 1_777_576_320],
    ['DD/MM/YYYY hh:mm:ss', '30/02/2026 07:12:00', undefined],
    ['DD/MM/YYYY hh:mm:ss', '04/30/2026 07:12:00', undefined],
    ['hh:mm:ss.fff', '07:12:00.250', 25_920.25],
    ['hh:mm:ss.fff', '24:00:00', undefined],
    ['hh:mm:ss', '12:00', undefined],
    ['mm:ss.f', '12:00.5', 720.5],
  ])('in the form %s: %s', (pattern, text, seconds) => {
    const ns = compileTimeFormat(pattern)?.parse(text);
    expect(ns).toBe(seconds === undefined ? undefined : BigInt(seconds * 1e3) * 1_000_000n);
  });

  it.each(['dd.mm.yyyy', 'hh', 'DD.MM. hh:mm:ss', 'hh:mm:ss hh:mm:ss', 'YYYY-MM-DD'])('have no form %s', (pattern) => {
    expect(compileTimeFormat(pattern)).toBeUndefined();
  });

  it.each<[what: string, csv: string, time: string, start: string | undefined, ticks: number]>([
    [
      'a date with the day first, in a zone',
      't,x\n30.04.2026 07:12:00.000,1\n30.04.2026 07:12:00.002,2\n',
      'column: t, format: "DD.MM.YYYY hh:mm:ss.fff", zone: "+02:00"',
      '2026-04-30T05:12:00Z',
      3,
    ],
    [
      'an ISO date in a zone',
      't,x\n2026-04-30T07:12:00,1\n2026-04-30T07:12:00.002,2\n',
      'column: t, format: date, zone: "-01:00"',
      '2026-04-30T08:12:00Z',
      3,
    ],
    [
      'date and time in two columns',
      'd,t,x\n30.04.2026,07:12:00,1\n30.04.2026,07:12:00.002,2\n',
      'columns: [d, t], format: "DD.MM.YYYY hh:mm:ss.fff"',
      '2026-04-30T07:12:00Z',
      3,
    ],
    [
      'a clock across midnight',
      't,x\n23:59:59.999,1\n00:00:00.001,2\n',
      'column: t, format: "hh:mm:ss.fff", since: 2026-04-30',
      '2026-04-30T23:59:59.999Z',
      3,
    ],
    [
      'microseconds since 1970',
      't,x\n1777533120250000,1\n1777533120252000,2\n',
      'column: t, unit: us, since: 1970-01-01',
      '2026-04-30T07:12:00.25Z',
      3,
    ],
    ['nanoseconds', 't,x\n1000,1\n2001000,2\n', 'column: t, unit: ns', undefined, 3],
  ])('as %s', (_, csv, time, start, ticks) => {
    const report = load(csv, `rows: 1\ntime: { ${time} }\nsignals:\n  - { signal: targetLoadN, column: x }\n`);
    expect([report.startTime, report.ticks]).toEqual([start, ticks]);
  });

  it.each([
    ['column: t, columns: [t, x]', 'map.yaml:2:7: time must have either `column` or `columns`.'],
    ['columns: [t, x]', 'map.yaml:2:18: two columns of the time need a `format`.'],
    ['column: t, format: "dd.mm"', 'map.yaml:2:28: time.format is "dd.mm"; it must be date, or a pattern of '],
    ['column: t, format: date, zone: CET', 'map.yaml:2:40: time.zone is "CET"; it must be an offset from UTC such as "+02:00".'],
    ['column: t, zone: "+02:00"', 'map.yaml:2:26: a column of numbers has no zone.'],
    ['column: t, format: "hh:mm:ss", unit: s', 'map.yaml:2:46: a column of clock times has no unit.'],
  ])('are refused with { %s }', (time, message) => {
    expect(refusal('t,x\n0,1\n', `rows: 1\ntime: { ${time} }\nsignals: []\n`)).toContain(message);
  });
});

describe('a clock', () => {
  const clock = (option: string): string =>
    `rows: 1\ntime: { column: t, unit: ms${option} }\ngapMs: 5\nsignals:\n  - { signal: targetLoadN, column: x }\n`;

  it.each([
    ['that rounds its times is spread', 't,x\n0,1\n0,2\n2,3\n2,4\n4,5\n', ', repeated: spread', '1,2,3,4,5', { repeatedTimes: 2 }],
    ['that repeats a time drops the second sample', 't,x\n0,1\n1,2\n1,9\n2,3\n', ', repeated: drop', '1,2,3', { droppedSamples: 1 }],
    ['that is set back continues', 't,x\n10,1\n11,2\n12,3\n5,4\n6,5\n', ', backwards: continue', '1,2,3,4,5', { stepsBack: 1 }],
    [
      'that is set back drops until it has caught up',
      't,x\n0,1\n1,2\n0,8\n0.5,9\n2,3\n',
      ', backwards: drop',
      '1,2,3',
      { stepsBack: 1, droppedSamples: 2 },
    ],
    ['that is set forward is closed', 't,x\n0,1\n1,2\n2,3\n500,4\n501,5\n', ', gaps: close', '1,2,3,4,5', { gaps: 0 }],
  ])('%s', async (_, csv, option, values, found) => {
    expect(load(csv, clock(option))).toMatchObject(found);
    expect((await valuesOf('targetLoadN')).join()).toBe(values);
  });

  it('has median, 99 % and maximum of its intervals reported', () => {
    const intervals = new Intervals();
    for (let index = 0; index < 980; index++) intervals.add(0.005);
    for (let index = 0; index < 20; index++) intervals.add(0.006 + index / 1e5);
    // By rank: the 500th of 1000 is 5 ms; the 990th is the 10th of those that rise from 6 ms in steps of 0.01 ms, within 0.2 %.
    const { medianS = 0, p99S = 0, maxS = 0, count = 0 } = intervals.statistics() ?? {};
    expect([count, medianS, maxS]).toEqual([1000, 0.005, 0.00619]);
    expect(p99S).toBeGreaterThan(0.00609 * 0.998);
    expect(p99S).toBeLessThan(0.00609 * 1.002);
  });

  it('with a gap has the times of the log reported', () => {
    const report = load(
      't,x\n07:00:00,1\n07:00:01,2\n07:00:02,3\n07:00:09.5,4\n',
      'rows: 1\ntime: { column: t, format: "hh:mm:ss.f" }\nsignals:\n  - { signal: targetLoadN, column: x }\n',
    );
    expect(importText(report, 'log.mcap')).toContain('1 gap, the longest 7500 ms, after 2 s (line 5, 07:00:02 to 07:00:09.5)\n');
    expect(openRecording(OUT, contract).about.log).toBe('log.csv; tick 0 is at 07:00:00');
  });
});

describe('missing values', () => {
  const csv = 't,x\n0,10\n1,\n2,NaN\n3,40\n4,-\n5,60\n';
  it.each([
    ['are held', ', missing: hold', '10,10,10,40,40,60'],
    ['are interpolated', ', missing: { fill: interpolate, upToMs: 3 }', '10,20,30,40,50,60'],
    ['are held after a longer time', ', missing: { fill: interpolate, upToMs: 2, beyond: hold }', '10,10,10,40,50,60'],
    ['are invalid', ', missing: invalid', '10,NaN,NaN,40,NaN,60'],
    ['are invalid after a longer time', ', missing: { fill: hold, upToMs: 1, beyond: invalid }', '10,10,NaN,40,40,60'],
  ])('%s', async (_, entry, values) => {
    const { missing } = load(csv, oneSignal(entry));
    expect(missing).toEqual([{ signal: 'targetLoadN', column: 'x', samples: 3, invalid: values.split('NaN').length - 1 }]);
    expect((await valuesOf('targetLoadN')).join()).toBe(values);
  });

  it('by the policy of the whole log, except where a signal has another', async () => {
    load('t,x,y\n0,10,20\n1,,\n', `${oneSignal('', 'missing: invalid\n')}  - { signal: loadCounts, column: y, missing: hold }\n`);
    expect([await valuesOf('targetLoadN'), await valuesOf('loadCounts')]).toEqual([
      ['10', 'NaN'],
      ['20', '20'],
    ]);
  });

  // 4096 counts are the whole sensor supply: above openRatio, so the controller reads an open circuit.
  it.each([
    ['loadCounts', '4096'],
    ['groundSpeedMmPerS', '65535'],
  ])('of %s are what the controller takes for invalid', async (signal, invalid) => {
    load('t,x\n0,10\n1,\n', oneSignal(', missing: invalid').replace('targetLoadN', signal));
    expect(await valuesOf(signal)).toEqual(['10', invalid]);
  });

  it('at the start take the first value', async () => {
    load('t,x\n0,\n1,\n2,30\n', oneSignal(', missing: hold'));
    expect(await valuesOf('targetLoadN')).toEqual(['30', '30', '30']);
  });

  it.each([
    [
      oneSignal(', missing: { fill: hold, upToMs: 1 }'),
      'log.csv:4:1: x has had no value for 0.002 s, up to 2. Give targetLoadN another policy',
    ],
    [
      oneSignal(', missing: invalid').replace('targetLoadN', 'supplyMv'),
      'map.yaml:4:45: supplyMv has no invalid value that the controller knows. Choose hold or interpolate.',
    ],
    [oneSignal(', missing: sometimes'), 'map.yaml:4:48: signals[0].missing is "sometimes"; it must be '],
  ])('are refused', (map, message) => {
    expect(refusal(csv, map)).toContain(message);
  });

  it('of rows, in a gap, follow the same policy', async () => {
    const gap = 't,x\n0,10\n1,20\n5,60\n6,70\n';
    const values = async (entry: string): Promise<string> => {
      load(gap, oneSignal(entry, 'gapMs: 2\n'));
      return (await valuesOf('targetLoadN')).join();
    };
    expect(await values('')).toBe('10,20,20,20,20,60,70');
    expect(await values(', missing: { fill: interpolate, upToMs: 4 }')).toBe('10,20,30,40,50,60,70');
    expect(await values(', missing: invalid')).toBe('10,20,20,20,NaN,60,70');
  });

  it('are not needed between samples that are interpolated', async () => {
    load('t,x\n0,10\n4,50\n', oneSignal(', between: linear'));
    expect((await valuesOf('targetLoadN')).join()).toBe('10,20,30,40,50');
  });
});

describe('orders of a log', () => {
  const valves = (supply: string, returned = 'order: r'): string =>
    `rows: 1\ntime: { column: t, unit: ms }\nsignals: []\norders:\n  - { valve: supply, row: 1, ${supply} }\n  - { valve: return, row: 1, ${returned} }\n`;
  const table = (header: string, ...rows: readonly string[]): string =>
    `t,r,${header}\n${rows.map((row, index) => `${index},0,${row}\n`).join('')}`;

  it.each([
    ['codes', 'order: s', table('s', '0', '1', '1.0', '0', '2', '0'), '0,1,1,0,2,0'],
    ['words', 'order: s, words: { idle: none, OPEN: open, shut: close }', table('s', 'idle', 'open', 'Idle', 'shut'), '0,1,0,2'],
    ['a column for each direction', 'open: o, close: c', table('o,c', '0,0', '1,0', '0,0', '0,1'), '0,1,0,2'],
    ['positions', 'position: p, strokeMs: 2', table('p', '1', '1', '0', '0', '0', '1'), '0,0,2,2,0,1'],
    ['a signed current', 'current: i, unit: A, onA: 2', table('i', '0', '2.5', '1.2', '0.4', '-2.5', '-0.9', '1.9'), '0,1,1,0,2,0,0'],
    ['a current whose sign is reversed', 'current: i, unit: mA, scale: -1, onA: 2', table('i', '0', '-2500', '0'), '0,1,0'],
    [
      'a current of each coil',
      'openCurrent: o, closeCurrent: c, unit: A, onA: 2, offA: 2',
      table('o,c', '0,0', '2,0', '1.9,0', '0,3'),
      '0,1,0,2',
    ],
    ['strokes of a given length', 'order: s, strokeMs: 2', table('s', '0', '1', '1', '1', '1', '0'), '0,1,1,0,0,0'],
    ['strokes that are long enough', 'order: s, minMs: 2', table('s', '0', '1', '0', '1', '1', '0', '2'), '0,0,0,1,1,0,2'],
    ['overlapping directions, the later one', 'open: o, close: c, overlap: later', table('o,c', '1,0', '1,1', '0,1'), '1,2,2'],
    ['overlapping directions, neither', 'open: o, close: c, overlap: none', table('o,c', '1,0', '1,1', '0,1'), '1,0,2'],
    ['missing values', 'order: s, missing: none', table('s', '1', '', '2'), '1,0,2'],
  ])('are read from %s', async (_, supply, csv, expected) => {
    load(csv, valves(supply));
    expect((await valuesOf('supplyOrder')).join()).toBe(expected);
    expect(new Set(await valuesOf('returnOrder'))).toEqual(new Set(['0']));
  });

  it('keep a stroke that is shorter than a tick, and end one that a gap hides', async () => {
    load('t,r,s\n0,0,0\n0.2,0,1\n0.4,0,0\n3,0,0\n', valves('order: s').replace('signals', 'gapMs: 100\nsignals'));
    expect((await valuesOf('supplyOrder')).join()).toBe('0,1,0,0');
    load('t,r,s\n0,0,0\n1,0,1\n9,0,0\n', valves('order: s').replace('signals', 'gapMs: 2\nsignals'));
    expect((await valuesOf('supplyOrder')).join()).toBe('0,1,1,0,0,0,0,0,0,0');
  });

  it('are counted, with what is odd about them', () => {
    const csv = table('i', '0', '2500', '0', '-2500', '0', '0');
    const report = load(csv, valves('current: i, unit: mA, onA: 1, strokeMs: 4', 'current: r, unit: A, onA: 1'));
    expect(report.orders).toEqual([
      { valve: 'supply', row: 1, columns: ['i'], opens: 1, closes: 1, ignored: 0, overlaps: 0, cut: 1, lost: 0, peakA: 2.5 },
      { valve: 'return', row: 1, columns: ['r'], opens: 0, closes: 0, ignored: 0, overlaps: 0, cut: 0, lost: 0, peakA: 0 },
    ]);
    expect(importText(report, 'log.mcap')).toContain(
      "orders of the log's controller: 1 opening stroke, 1 closing stroke\n  row 1 supply valve (i): 1 stroke cut short by the next one\n  row 1 return valve (r): no stroke; the highest current is 0 A\n",
    );
  });

  it.each([
    ['order: s, words: { "0": none }', table('s', '7'), /^log\.csv:2:5: s is "7"; it must be 0\.$/],
    [
      'open: o, close: c',
      table('o,c', '0,0', '1,1'),
      /^log\.csv:3:1: row 1's supply valve is driven open and closed at the same time, at 1 \(o and c\)\. .*`overlap: later`/,
    ],
    ['order: s', table('s', ''), /^log\.csv:2:5: s is empty\. Give the entry of this valve `missing: none`/],
    ['current: s, onA: 1', table('s', '0'), /^map\.yaml:5:39: the header gives no unit of s\. Add `unit: A` or `unit: mA`\.$/],
    ['current: s, unit: V, onA: 1', table('s', '0'), /^map\.yaml:5:48: a coil current cannot have the unit V; it must be one of A, mA\.$/],
    ['current: s, unit: A', table('s', '0'), /^map\.yaml:5:39: a coil current needs a threshold\. /],
    [
      'current: s, unit: A, onA: 1, offA: 2',
      table('s', '0'),
      /^map\.yaml:5:65: orders\[0\]\.offA is 2; it must be at most onA, which is 1\.$/,
    ],
    ['order: s, onA: 1', table('s', '0'), /^map\.yaml:5:45: only currents have a threshold\.$/],
    ['open: s', table('s', '0'), /^map\.yaml:5:14: the orders of row 1's supply valve come from open and close; /],
    ['order: s, position: s', table('s', '0'), /come from order and position; it must be one of: order; position; /],
    ['order: u', table('s', '0'), /^map\.yaml:5:37: log\.csv has no column "u"; /],
  ])('are refused with { %s }', (supply, csv, message) => {
    expect(refusal(csv, valves(supply))).toMatch(message);
  });

  it('are refused for a part of the valves, or twice for one', () => {
    const map = valves('order: s');
    const csv = table('s', '0');
    expect(refusal(csv, map.replace('rows: 1', 'rows: 2'))).toContain(
      "row 2's supply valve has no orders; it must be both valves of every row, or none.",
    );
    expect(refusal(csv, map.replace('valve: return', 'valve: supply'))).toContain("map.yaml:6:14: row 1's supply valve has two entries.");
    expect(refusal(csv, map.replace('row: 1, order: s', 'row: 2, order: s'))).toContain('map.yaml:5:27: orders[0].row is 2; it must be 1.');
  });

  it('are shown as those of the log, and compared with ours in an open loop', () => {
    load(table('s', '0', '1', '0', '0', '0', '2', '0', '0'), valves('order: s'));
    const changes: Change[] = [];
    const view = viewRecording(OUT, { row: 1, bins: 8 }, { onChange: (one) => void changes.push(one) });
    expect(changes.filter(({ value }) => value !== 'none').map(({ tick, row, signal, value }) => [tick, row, signal, value])).toEqual([
      [1, 1, 'supplyOrder', 'open'],
      [5, 1, 'supplyOrder', 'close'],
    ]);
    expect([view.isOfLog, view.lanes?.bank.mode, [...(view.lanes?.rows[0]?.supply.openRatio ?? [])]]).toEqual([
      true,
      [],
      [0, 1, 1, 1, 1, 0, 0, 0],
    ]);
    expect(viewText(view, 1, changes)).toContain('supply open, log  1 pulse');
    // Ours opens one tick later, closes at the same tick, and closes the other valve too.
    const order = (tick: number, signal: string, value: string): Change => ({ tick, row: 1, signal, value });
    const ours = [
      order(2, 'supplyOrder', 'open'),
      order(3, 'supplyOrder', 'none'),
      order(3, 'mode', 'holding'),
      order(5, 'supplyOrder', 'close'),
      order(5, 'returnOrder', 'close'),
      order(6, 'supplyOrder', 'none'),
      order(6, 'returnOrder', 'none'),
    ];
    const found = compareWithLog(OUT, contract, ours, view.part);
    expect(found).toMatchObject({
      logStrokes: 2,
      ourStrokes: 3,
      strokes: { added: 1, removed: 0, later: { count: 1, minTicks: 1, medianTicks: 1, p95Ticks: 1, maxTicks: 1 } },
    });
    expect(found && logOrdersText(found, 1000).split('\n').slice(0, 3)).toEqual([
      "  the log's controller gave 2 strokes, this one 3 over the same inputs",
      '  from the log to this one: 1 added, 1 later by 1 tick (1 ms), 1 in the same tick',
      '    supply pulses, 1 on both sides: 1 shorter by 1 ms, 1 start later by 1 ms',
    ]);
    load('t,x\n0,1\n', oneSignal(''));
    expect(compareWithLog(OUT, contract, ours, view.part)).toBeUndefined();
  });

  it('cautions where samples are too far apart to show them, or to be held', () => {
    const csv = 't,r,s,x\n0,0,0,10\n10,0,1,20\n20,0,0,30\n';
    const map = valves('order: s').replace('signals: []', 'signals:\n  - { signal: loadCounts, column: x, unit: N }');
    expect(load(csv, map).cautions).toEqual([
      'railCounts, pressureCounts: constant, which the controller takes for a frozen sensor; run with the parameter frozenMs: 0',
      'samples are 10 ms apart: to the controller, held values of loadCounts jump or stand still, which it reports as faults of the sensors; `between: linear` avoids that',
      'samples are 10 ms apart and strokes may be shorter: some may be missing; log faster, or log positions',
    ]);
    expect(
      load(csv, map.replace('unit: N', 'unit: N, between: linear').replace('order: s', 'position: s').replace('order: r', 'position: r'))
        .cautions,
    ).toHaveLength(1);
  });
});
