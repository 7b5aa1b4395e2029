import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import { describe, expect, it } from 'vitest';
import { INSTANT_RULE } from '../../../host/common/instant.js';
import { describeContract } from '../../../host/contract/contract.js';
import { exportCsv } from '../../../host/recording/csv/csv-export.js';
import { type ImportReport, importCsv } from '../../../host/recording/csv/csv-import.js';
import { startDate } from '../../../host/recording/format.js';
import { openRecording } from '../../../host/recording/reader.js';
import { RecordingWriter } from '../../../host/recording/writer.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();

let files = 0;
const csvPath = join(folder, 'drive.csv');
const mapPath = join(folder, 'map.yaml');

interface Imported {
  readonly path: string;
  readonly report: ImportReport;
}

function load(csv: string | Buffer, map: string): Imported {
  writeFileSync(csvPath, csv);
  writeFileSync(mapPath, map);
  const path = join(folder, `${++files}.mcap`);
  return { path, report: importCsv(csvPath, mapPath, path, contract) };
}

/** Returns the message of the refusal without the folder, and checks that nothing was written. */
function refusal(csv: string | Buffer, map: string): string {
  const recordings = (): string[] => readdirSync(folder).filter((name) => name.includes('.mcap'));
  const before = recordings();
  const { message } = refusalOf(() => load(csv, map));
  expect(recordings()).toEqual(before);
  return message.replaceAll(`${folder}/`, '');
}

async function exported(path: string, options: Parameters<typeof exportCsv>[2] = {}): Promise<string[]> {
  const out = join(folder, `${++files}.csv`);
  await exportCsv(path, out, options);
  return readFileSync(out, 'utf8').trimEnd().split('\n');
}

/** Returns the cells of one signal, tick by tick. */
async function column({ path }: Imported, signal: string): Promise<string[]> {
  const lines = await exported(path, { signals: [signal] });
  return lines.slice(1).map((line) => line.split(',')[2] ?? '');
}

// Computed by hand with the default sensors: counts = 4096 · (0.1 + 0.8 · (load + 500 N) / 5000 N), so 450 N → 1032.192,
// and counts = 4096 · (0.1 + 0.8 · pressure / 25000 kPa), so 4500 kPa → 999.424.
const DRIVE = 't,load,pressure,target\n10,450,45,450\n10.002,500,50,450\n10.005,400,40,460\n';
const DRIVE_MAP = `rows: 2
time: { column: t, unit: s }
about: { title: A drive }
signals:
  - { signal: loadCounts, row: 1, column: load, unit: N }
  - { signal: pressureCounts, column: pressure, unit: bar }
  - { signal: targetLoadN, column: target }
`;

describe('importing a CSV file', () => {
  it('holds each sample until the next one', async () => {
    const drive = load(DRIVE, DRIVE_MAP);
    expect(await column(drive, 'loadCounts[1]')).toEqual(['1032', '1032', '1065', '1065', '1065', '999']);
    expect(await column(drive, 'pressureCounts[2]')).toEqual(['999', '999', '1065', '1065', '1065', '934']);
    expect(await column(drive, 'targetLoadN')).toEqual(['450', '450', '450', '450', '450', '460']);
  });

  it('gives signals that the mapping omits the values of a bank at work', async () => {
    const drive = load(DRIVE, DRIVE_MAP);
    const [names, values] = await exported(drive.path, { toTick: 0 });
    const cells = values?.split(',') ?? [];
    const first = Object.fromEntries((names?.split(',') ?? []).map((name, index) => [name, cells[index]]));
    expect(first).toMatchObject({
      railCounts: '2376', // 15000 kPa → 2375.68
      supplyMv: '12800',
      reservoirMv: '12800',
      groundSpeedMmPerS: '3000',
      oilTemperatureC: '40',
      lowered: '1',
      enabled: '1',
      shutDown: '0',
      'enabled[1]': '1',
      'enabled[2]': '1',
      'accelerationCounts[2]': '2048', // 0 m/s²
    });
  });

  it('sets the load of unmapped rows to the target', async () => {
    expect((await column(load(DRIVE, DRIVE_MAP), 'loadCounts[2]')).slice(4)).toEqual(['1032', '1039']);
  });

  it('reports samples, ticks and defaults', () => {
    expect(load(DRIVE, DRIVE_MAP).report).toEqual({
      rows: 2,
      tickHz: 1000,
      samples: 3,
      ticks: 6,
      firstTimeS: 10,
      lastTimeS: 10.005,
      firstTime: '10',
      lastTime: '10.005',
      intervals: { count: 2, medianS: 0.002, p99S: 0.003, maxS: 0.003 },
      gaps: 0,
      repeatedTimes: 0,
      stepsBack: 0,
      droppedSamples: 0,
      clamped: [],
      missing: [],
      cautions: ['railCounts: constant, which the controller takes for a frozen sensor; run with the parameter frozenMs: 0'],
      headerUnits: [],
      defaults: [
        { signal: 'railCounts', value: '15000 kPa' },
        { signal: 'loadCounts', value: 'equal to the target' },
        { signal: 'lowered', value: '1' },
        { signal: 'enabled', value: '1' },
        { signal: 'shutDown', value: '0' },
        { signal: 'supplyMv', value: '12800 mV' },
        { signal: 'reservoirMv', value: '12800 mV' },
        { signal: 'oilTemperatureC', value: '40 °C' },
        { signal: 'groundSpeedMmPerS', value: '3000 mm/s' },
        { signal: 'accelerationCounts', value: '0 m/s²' },
        { signal: 'soilAheadN', value: '0 N' },
        { signal: 'enabled', value: '1' },
      ],
    });
  });

  it('keeps the text about the data', () => {
    expect(openRecording(load(DRIVE, DRIVE_MAP).path, contract).about).toEqual({ title: 'A drive', log: 'drive.csv; tick 0 is at 10' });
  });

  it.each([
    ['plain counts', 'loadCounts', '', '1234', '1234'],
    ['counts with their unit', 'loadCounts', 'unit: count', '1234.4', '1234'],
    ['pound-force', 'loadCounts', 'unit: lbf', '100', '1029'], // 444.8222 N → 1028.80
    ['pound per square inch', 'pressureCounts', 'unit: psi', '1000', '1313'], // 6894.757 kPa → 1313.31
    ['bar', 'railCounts', 'unit: bar', '150', '2376'],
    ['megapascal', 'railCounts', 'unit: MPa', '15', '2376'],
    ['acceleration', 'accelerationCounts', 'unit: m/s²', '9.81', '2369'], // 32.768 · 59.81 + 409.6 = 2369.45
    ['kilometres per hour', 'groundSpeedMmPerS', 'unit: km/h', '10.8', '3000'],
    ['miles per hour', 'groundSpeedMmPerS', 'unit: mile/h', '5', '2235'], // 2235.2
    ['a temperature', 'oilTemperatureC', 'unit: °C', '21.5', '21.5'],
    ['scale and offset', 'supplyMv', 'scale: 1000, offset: 5', '12.5', '12505'],
    ['scale before the unit', 'loadCounts', 'unit: N, scale: 10', '45', '1032'],
    ['an exponent', 'targetLoadN', '', '4.5e2', '450'],
    ['spaces around', 'targetLoadN', '', '  450 ', '450'],
  ])('converts %s', async (_, signal, more, cell, expected) => {
    const drive = load(`x\n${cell}\n`, `rows: 1\nrate: { hz: 10 }\nsignals:\n  - { signal: ${signal}, column: x, ${more} }\n`);
    const [, line] = await exported(drive.path, { signals: [signal] });
    expect(line).toBe(`0,0,${expected}`);
  });

  it('uses the parameters of the machine for the conversion', async () => {
    const parameters = 'parameters: { adcFullScaleCounts: 1000, loadAtTenPercentN: 0, loadAtNinetyPercentN: 4000 }';
    const map = `rows: 1\nrate: { hz: 1 }\n${parameters}\nsignals:\n  - { signal: loadCounts, column: x, unit: N }\n`;
    expect(await column(load('x\n2000\n', map), 'loadCounts[1]')).toEqual(['500']);
  });

  it('takes constants, for one row or all', async () => {
    const map = `rows: 2\nrate: { hz: 1 }\nsignals:
  - { signal: enabled, row: 2, value: 0 }
  - { signal: loadCounts, row: all, value: 950, unit: N }
  - { signal: enabled, value: 0 }\n`;
    const lines = await exported(load('x\n1\n', map).path, { signals: ['enabled', 'loadCounts'] });
    // 950 N → 4096 · (0.1 + 0.8 · 0.29) = 1359.87
    expect(lines).toEqual(['time_s,tick,enabled,enabled[1],enabled[2],loadCounts[1],loadCounts[2]', '0,0,0,1,0,1360,1360']);
  });

  it('takes evenly spaced samples by their rate', () => {
    const { report } = load('x\n1\n2\n3\n', 'rows: 1\ntickHz: 500\nrate: { hz: 10 }\nsignals:\n  - { signal: targetLoadN, column: x }\n');
    expect(report).toMatchObject({ samples: 3, ticks: 101, firstTimeS: 0, lastTimeS: 0.2, gaps: 0 });
  });

  it('takes times in milliseconds, and samples between ticks from the next tick on', async () => {
    const map = 'rows: 1\ntime: { column: t, unit: ms }\nsignals:\n  - { signal: targetLoadN, column: x }\n';
    expect(await column(load('t,x\n0,1\n1.2,2\n2.0001,3\n', map), 'targetLoadN')).toEqual(['1', '1', '3']);
  });

  it.each([
    ['semicolons', 't;x\n0;1\n0.001;2\n'],
    ['tabs', 't\tx\n0\t1\n0.001\t2\n'],
    ['quotes, also around a line end', '"t","x","note"\n0,"1","two\nlines"\n0.001,2,"a ""b"""\n'],
    ['carriage returns', 't,x\r\n0,1\r\n0.001,2\r\n'],
    ['semicolons and carriage returns', 't;x\r\n0;1\r\n0.001;2\r\n'],
    ['tabs, carriage returns and a byte order mark', '\uFEFFt\tx\r\n0\t1\r\n0.001\t2\r\n'],
    ['blank lines and no last line end', 't,x\n0,1\n\n0.001,2'],
    ['a byte order mark', '\uFEFFt,x\n0,1\n0.001,2\n'],
    ['spaces in the header', 't , x\n0,1\n0.001,2\n'],
  ])('reads %s', async (_, csv) => {
    const map = 'rows: 1\ntime: { column: t }\nsignals:\n  - { signal: targetLoadN, column: x }\n';
    expect(await column(load(csv, map), 'targetLoadN')).toEqual(['1', '2']);
  });

  it('reads a file of many blocks, with a line end in each place of a block', async () => {
    const csv = `t,x\n${Array.from({ length: 60_000 }, (_, index) => `${index / 1000},${index}\n`).join('')}`;
    expect(csv.length).toBeGreaterThan(2 * (1 << 18));
    const map = 'rows: 1\ntime: { column: t }\nsignals:\n  - { signal: targetLoadN, column: x }\n';
    const values = await column(load(csv, map), 'targetLoadN');
    expect(values).toHaveLength(60_000);
    expect(values.findIndex((value, index) => value !== String(index))).toBe(-1);
  });
});

describe('the start of an imported recording', () => {
  const mapping = (clock: string): string => `rows: 1\n${clock}\nsignals:\n  - { signal: targetLoadN, column: x }\n`;
  /** Time of the first message, and the target of each tick. */
  async function started(csv: string, clock: string): Promise<[start: string | undefined, values: string[]]> {
    const drive = load(csv, mapping(clock));
    const start = startDate(openRecording(drive.path, contract).startNs);
    expect(drive.report.startTime).toBe(start);
    return [start, await column(drive, 'targetLoadN')];
  }

  it.each([
    ['an unknown date', 't,x\n10,1\n10.002,2\n', 'time: { column: t }', undefined],
    [
      'dates',
      't,x\n2026-04-30T07:12:00.0015Z,1\n2026-04-30T07:12:00.0035Z,2\n',
      'time: { column: t, format: date }',
      '2026-04-30T07:12:00.0015Z',
    ],
    [
      'dates that cross midnight, with an offset',
      't,x\n2026-02-28 23:59:59.999-01:00,1\n2026-03-01 00:00:00.001-01:00,2\n',
      'time: { column: t, format: date }',
      '2026-03-01T00:59:59.999Z',
    ],
    // 20573 days and 25,920 s after 1970-01-01.
    ['seconds since 1970', 't,x\n1777533120.25,1\n1777533120.252,2\n', 'time: { column: t, since: 1970-01-01 }', '2026-04-30T07:12:00.25Z'],
    [
      'milliseconds since 1970',
      't,x\n1777533120250,1\n1777533120252,2\n',
      'time: { column: t, unit: ms, since: 1970-01-01 }',
      '2026-04-30T07:12:00.25Z',
    ],
    [
      'seconds since the start of the drive',
      't,x\n10,1\n10.002,2\n',
      'time: { column: t, since: 2026-04-30T07:12:00+02:00 }',
      '2026-04-30T05:12:10Z',
    ],
    ['a rate', 'x\n1\n2\n', 'rate: { hz: 500, since: 2026-04-30T07:12 }', '2026-04-30T07:12:00Z'],
  ])('is taken from %s', async (_, csv, clock, start) => {
    expect(await started(csv, clock)).toEqual([start, ['1', '1', '2']]);
  });

  it.each([
    ['a date that does not exist', '2026-02-30T07:12:00Z', 't is "2026-02-30T07:12:00Z"'],
    ['another word', 'yesterday', 't is "yesterday"'],
    ['the day first', '30.04.2026 07:12', 't is "30.04.2026 07:12"'],
  ])('is refused from %s', (_, cell, problem) => {
    const message = refusal(`x,t\n1,2026-02-28T07:12:00Z\n1,${cell}\n`, mapping('time: { column: t, format: date }'));
    expect(message).toBe(`drive.csv:3:3: ${problem}; it must be ${INSTANT_RULE}.`);
  });

  it('is refused if a date comes twice', () => {
    const csv = 't,x\n2026-04-30T07:12:00Z,1\n2026-04-30T09:12:00+02:00,2\n';
    expect(refusal(csv, mapping('time: { column: t, format: date }'))).toMatch(
      /^drive\.csv:3:1: the time is 2026-04-30T09:12:00\+02:00 again; it must be later than 2026-04-30T09:12:00\+02:00\. /,
    );
  });

  it.each([
    ['time: { column: t, since: 2026-02-30 }', 'map.yaml:2:27: time.since is "2026-02-30"; '],
    ['rate: { hz: 1, since: noon }', 'map.yaml:2:23: rate.since is "noon"; '],
    ['time: { column: t, format: date, unit: s }', 'map.yaml:2:40: a column of dates has no unit.'],
    ['time: { column: t, format: date, since: 1970-01-01 }', 'map.yaml:2:41: a column of dates has no since.'],
    ['time: { column: t, since: 1970-01-01 }', 'drive.csv:2:1: this is 1e+300 s after `since`; '],
  ])('is refused from %s', (clock, words) => {
    expect(refusal('t,x\n1e300,1\n', mapping(clock))).toContain(words);
  });
});

describe('the report of an import', () => {
  const map = 'rows: 1\ntime: { column: t, unit: ms }\nsignals:\n  - { signal: loadCounts, column: x, unit: N }\n';
  const at = (...times: number[]): string => `t,x\n${times.map((time) => `${time},450\n`).join('')}`;

  it.each([
    ['none at four sample periods', map, at(0, 1, 2, 6, 7), 0, undefined],
    ['one at six sample periods', map, at(0, 1, 2, 8, 9), 1, { ms: 6, line: 5, fromS: 0.002 }],
    ['the longest of two', map, at(0, 1, 10, 11, 100), 2, { ms: 89, line: 6, fromS: 0.011 }],
    ['none as long as gapMs', `gapMs: 6\n${map}`, at(0, 1, 2, 8, 9), 0, undefined],
    ['one longer than gapMs', `gapMs: 5.9\n${map}`, at(0, 1, 2, 8, 9), 1, { ms: 6, line: 5, fromS: 0.002 }],
  ])('counts gaps: %s', (_, mapping, csv, gaps, longest) => {
    const { report } = load(csv, mapping);
    expect(report.gaps).toBe(gaps);
    if (longest === undefined) expect(report.longestGap).toBeUndefined();
    else {
      expect(report.longestGap?.ms).toBeCloseTo(longest.ms, 9);
      expect(report.longestGap?.fromS).toBeCloseTo(longest.fromS, 9);
      expect(report.longestGap?.line).toBe(longest.line);
    }
  });

  it('counts samples that were clamped to the range of their field', async () => {
    // −2000 N → −573 counts, 200000 N → 131809 counts.
    const drive = load('t,x\n0,-2000\n1,200000\n2,450\n', map);
    expect(drive.report.clamped).toEqual([{ signal: 'loadCounts', samples: 2, line: 2, time: '0' }]);
    expect(await column(drive, 'loadCounts[1]')).toEqual(['0', '65535', '1032']);
  });
});

describe('a CSV file is refused with line and column for', () => {
  const map = 'rows: 1\ntime: { column: t }\nsignals:\n  - { signal: targetLoadN, column: x }\n';
  const number = 'it must be a finite number (decimal point, not comma).';
  const missing = 'Give targetLoadN `missing` in the mapping file: hold, invalid, or { fill: interpolate, upToMs: 100 }.';
  const quotes = 'a quote is missing or misplaced; quotes enclose a cell and are doubled inside it.';
  it.each([
    ['a word', 't,x\n0,1\n0.001,abc\n', `drive.csv:3:7: x is "abc"; ${number}`],
    ['a word in the time', 't,x\nnow,1\n', `drive.csv:2:1: t is "now"; ${number}`],
    ['an empty cell', 't,x\n0,1\n0.001,\n', `drive.csv:3:7: x is empty. ${missing}`],
    ['a cell of spaces', 't,x\n0,  \n', `drive.csv:2:3: x is empty. ${missing}`],
    ['not a number', 't,x\n0,NaN\n', `drive.csv:2:3: x is "NaN". ${missing}`],
    ['an infinite number', 't,x\n0,Infinity\n', `drive.csv:2:3: x is "Infinity"; ${number}`],
    ['a number beyond 64-bit floating point', 't,x\n0,1e999\n', `drive.csv:2:3: x is "1e999"; ${number}`],
    ['a number that is far too large', 't,x\n0,1e39\n', 'drive.csv:2:3: x is "1e39"; it must be between -1000000000000 and 1000000000000.'],
    ['a hexadecimal number', 't,x\n0,0x10\n', `drive.csv:2:3: x is "0x10"; ${number}`],
    [
      'a decimal comma',
      't;x\n0;1,5\n',
      `drive.csv:2:3: x is "1,5"; ${number} Give \`table: { decimal: "," }\` in the mapping file if that is the decimal sign of the log.`,
    ],
    ['a word after a quoted cell', 'a,t,x\n"1,""2",0,abc\n', `drive.csv:2:11: x is "abc"; ${number}`],
    ['a word below a quoted line end', 'a,t,x\n"1\n2",0,1\n3,1,abc\n', `drive.csv:4:5: x is "abc"; ${number}`],
    [
      'time that runs backwards',
      't,x\n0,1\n2,1\n1.5,1\n',
      'drive.csv:4:1: time runs backwards to 1.5; it must be later than 2. Give `backwards: continue` or `backwards: drop` under `time` in the mapping file.',
    ],
    [
      'a time twice',
      't,x\n0,1\n2,1\n2,1\n',
      'drive.csv:4:1: the time is 2 again; it must be later than 2. Give `repeated: spread` or `repeated: drop` under `time` in the mapping file.',
    ],
    ['a time beyond a day', 't,x\n0,1\n86401,1\n', 'drive.csv:3:1: this is 86401 s after the first sample; it must be at most 86400 s.'],
    ['too few cells', 't,x\n0\n', 'drive.csv:2:1: the row has 1 cell; the header has 2.'],
    ['too many cells', 't,x\n0,1,2\n', 'drive.csv:2:1: the row has 3 cells; the header has 2.'],
    ['an open quote', 't,x\n0,"1\n', `drive.csv:2:1: ${quotes}`],
    ['a quote inside a quoted cell', 't,x\n0,"1"2"\n', `drive.csv:2:1: ${quotes}`],
    ['an open quote in the header', 't,"x\n0,1\n', `drive.csv:1:1: ${quotes}`],
    ['a line end in the header', '"t\nu",x\n0,1\n', `drive.csv:1:1: ${quotes}`],
    [
      'lines that end with carriage returns alone',
      't,x\r0,1\r',
      'drive.csv:1:4: a line ends with a carriage return alone; save the file with line feeds.',
    ],
    ['an empty file', '', 'drive.csv:1:1: the first line is empty; it must hold the names of the columns.'],
    ['a header alone', 't,x\n', 'drive.csv:2:1: there are no rows below the header.'],
    [
      'a name twice in the header',
      't,x,x\n0,1,2\n',
      'drive.csv:1:5: this is a second column named "x". Give `table: { repeatedNames: number }` in the mapping file to call it "x (2)".',
    ],
    [
      'a name twice in the header, of columns that are not mapped',
      't,x,y,y\n0,1,2,3\n',
      'drive.csv:1:7: this is a second column named "y". Give `table: { repeatedNames: number }` in the mapping file to call it "y (2)".',
    ],
    [
      'bytes that are not UTF-8',
      Buffer.from([0x74, 0x2c, 0x78, 0x0a, 0xb0, 0x0a]),
      'drive.csv:2:1: this character is not UTF-8. Save it as UTF-8, or give `table: { encoding: windows-1252 }` in the mapping file.',
    ],
  ])('%s', (_, csv, message) => {
    expect(refusal(csv, map)).toBe(message);
  });

  it('a row without an end', () => {
    const csv = `t,x\n0,"${'1\n'.repeat(600_000)}`;
    expect(refusal(csv, map)).toBe('drive.csv:2:1: the row is longer than 1048576 characters; a closing quote may be missing.');
  });

  it('a number of many digits, in time that grows as its length', () => {
    const start = performance.now();
    expect(refusal(`t,x\n0,${'1'.repeat(500_000)}x\n`, map)).toContain(`; ${number}`);
    expect(performance.now() - start).toBeLessThan(2000);
  });

  it('a day of samples at a fixed rate', () => {
    const slow = 'rows: 1\nrate: { hz: 0.00000762939453125 }\nsignals: []\n';
    expect(refusal('x\n1\n1\n', slow)).toBe('drive.csv:3:1: this is 131072 s after the first sample; it must be at most 86400 s.');
  });
});

describe('a mapping is refused with line and column for', () => {
  const mapping = (...lines: string[]): string => ['rows: 2', 'time: { column: t }', 'signals:', ...lines, ''].join('\n');
  const both = 'time and rate are both';
  it.each([
    [
      'a misspelt signal',
      mapping('  - { signal: loadCount, column: x }'),
      '4:15: signals[0].signal is "loadCount"; did you mean `loadCounts`?',
    ],
    ['an unknown column', mapping('  - { signal: supplyMv, column: y }'), '4:33: drive.csv has no column "y"; it must be one of t, x.'],
    [
      'an unknown time column',
      'rows: 1\ntime: { column: time }\nsignals: []\n',
      '2:17: drive.csv has no column "time"; it must be one of t, x.',
    ],
    [
      'a signal that is mapped twice',
      mapping('  - { signal: supplyMv, column: x }', '  - { signal: supplyMv, value: 1 }'),
      '5:15: supplyMv is mapped twice.',
    ],
    [
      'a row that is mapped twice',
      mapping('  - { signal: loadCounts, row: all, column: x }', '  - { signal: loadCounts, row: 2, value: 1 }'),
      '5:15: loadCounts[2] is mapped twice.',
    ],
    [
      'a row that the bank does not have',
      mapping('  - { signal: loadCounts, row: 3, column: x }'),
      '4:32: signals[0].row is 3; it must be between 1 and 2, or all.',
    ],
    [
      'row 0',
      mapping('  - { signal: loadCounts, row: 0, column: x }'),
      '4:32: signals[0].row is 0; it must be an integer between 1 and 48, or all.',
    ],
    [
      'a row of a signal of the bank',
      mapping('  - { signal: supplyMv, row: 1, column: x }'),
      '4:30: supplyMv is a signal of the bank; it has no row.',
    ],
    ['neither column nor value', mapping('  - { signal: supplyMv }'), '4:15: supplyMv has neither a column nor a value.'],
    ['both column and value', mapping('  - { signal: supplyMv, column: x, value: 1 }'), '4:15: supplyMv has both a column and a value.'],
    [
      'a unit of another quantity',
      mapping('  - { signal: loadCounts, column: x, unit: bar }'),
      '4:44: loadCounts cannot have the unit bar; it must be one of counts, N, lbf, kN, daN, kgf.',
    ],
    [
      'an unknown unit',
      mapping('  - { signal: targetLoadN, column: x, unit: kg }'),
      '4:45: targetLoadN cannot have the unit kg; it must be one of N, lbf, kN, daN, kgf. A load that is displayed in kg is in kgf.',
    ],
    ['neither time nor rate', 'rows: 1\nsignals: []\n', `1:1: ${both} missing; the mapping file must have one of them.`],
    [
      'both time and rate',
      'rows: 1\ntime: { column: t }\nrate: { hz: 1 }\nsignals: []\n',
      `3:7: ${both} given; the mapping file must have only one of them.`,
    ],
    [
      'a unit that is not one of time',
      'rows: 1\ntime: { column: t, unit: N }\nsignals: []\n',
      '2:26: time.unit is "N"; it must be one of ms, s, µs, ns, min, h.',
    ],
    [
      'a parameter beyond its limits',
      'rows: 1\nrate: { hz: 1 }\nparameters:\n  adcFullScaleCounts: 1\nsignals: []\n',
      '4:23: parameters.adcFullScaleCounts is 1; it must be between 256 and 65535 counts.',
    ],
    [
      'a sensor range that is upside down',
      'rows: 1\nrate: { hz: 1 }\nparameters:\n  loadAtTenPercentN: 4600\nsignals: []\n',
      '4:22: loadAtTenPercentN is 4600, but loadAtNinetyPercentN is 4500. loadAtTenPercentN must be less than loadAtNinetyPercentN.',
    ],
    [
      'an unknown key',
      'rows: 1\nhz: 3\nsignals: []\n',
      '2:1: unknown key `hz`; it must be one of rows, tickHz, time, rate, table, gapMs, about, orders and 3 more.',
    ],
    [
      'a constant that is far too large',
      mapping('  - { signal: targetLoadN, value: 1e39 }'),
      '4:35: signals[0].value is 1e+39; it must be between -1000000000000 and 1000000000000.',
    ],
  ])('%s', (_, map, message) => {
    expect(refusal('t,x\n0,1\n', map)).toBe(`map.yaml:${message}`);
  });
});

describe('exporting CSV', () => {
  /** Two rows; inputs at every tick, outputs at every second one. */
  function recordTwo(): string {
    const path = join(folder, `${++files}.mcap`);
    const writer = RecordingWriter.create(path, { contract, rows: 2, tickHz: 1000, messages: ['input', 'output'] });
    for (let tick = 0; tick < 6; tick++) {
      const input = new Uint8Array(44);
      const view = new DataView(input.buffer);
      view.setFloat32(0, 0.1 * tick, true);
      view.setUint16(24, 100 + tick, true);
      view.setUint16(36, 200 + tick, true);
      writer.write('input', tick, input);
      const output = new Uint8Array(24);
      new DataView(output.buffer).setUint32(0, 0x80000000 + tick, true);
      if (tick % 2 === 0) writer.write('output', tick, output);
    }
    writer.close();
    return path;
  }

  it('writes one line per tick, with messages side by side', async () => {
    expect(await exported(recordTwo(), { signals: ['targetLoadN', 'loadCounts', 'faults'], toTick: 2 })).toEqual([
      'time_s,tick,targetLoadN,loadCounts[1],loadCounts[2],faults,faults[1],faults[2]',
      '0,0,0,100,200,2147483648,0,0',
      '0.001,1,0.1,101,201,,,',
      '0.002,2,0.2,102,202,2147483650,0,0',
    ]);
  });

  it('writes every field except the spare ones', async () => {
    const [header] = await exported(recordTwo());
    expect(header).toBe(
      [
        'time_s,tick,targetLoadN,oilTemperatureC,railCounts,supplyMv,reservoirMv,groundSpeedMmPerS,lowered,enabled,shutDown',
        'soilAheadN[1],soilAheadN[2],loadCounts[1],loadCounts[2],pressureCounts[1],pressureCounts[2],accelerationCounts[1],accelerationCounts[2]',
        'enabled[1],enabled[2],faults,mode,allClosed,powerMayBeCut,faults[1],faults[2],mode[1],mode[2]',
        'supplyOrder[1],supplyOrder[2],returnOrder[1],returnOrder[2]',
      ].join(','),
    );
  });

  it.each([
    ['each column once', { signals: ['loadCounts[2]', 'loadCounts[2]'], toTick: 0 }, ['0,0,200']],
    ['one row', { signals: ['loadCounts[2]'] }, ['0,0,200', '0.001,1,201', '0.002,2,202', '0.003,3,203', '0.004,4,204', '0.005,5,205']],
    ['from tick to tick', { signals: ['loadCounts[1]'], fromTick: 4, toTick: 5 }, ['0.004,4,104', '0.005,5,105']],
    ['every third tick', { signals: ['loadCounts[1]'], everyTicks: 3 }, ['0,0,100', '0.003,3,103']],
    ['every third tick from tick 1 on', { signals: ['loadCounts[1]'], fromTick: 1, everyTicks: 3 }, ['0.003,3,103']],
  ])('picks %s', async (_, options, lines) => {
    expect((await exported(recordTwo(), options)).slice(1)).toEqual(lines);
  });

  it('prefixes a name that two messages share with the message', async () => {
    const path = join(folder, `${++files}.mcap`);
    RecordingWriter.create(path, { contract, rows: 1, tickHz: 1000, messages: ['probe', 'input'] }).close();
    const names = (await exported(path))[0]?.split(',') ?? [];
    expect(names.filter((name) => name.includes('.'))).toEqual(['input.targetLoadN', 'probe.targetLoadN']);
  });

  it('refuses an unknown signal and suggests the name that was probably meant', async () => {
    const path = recordTwo();
    const out = join(folder, 'none.csv');
    await expect(exportCsv(path, out, { signals: ['loadCount'] })).rejects.toThrow(
      `${path}: there is no signal loadCount; did you mean \`loadCounts\`?`,
    );
    expect(existsSync(out)).toBe(false);
  });

  it('writes to a stream and leaves it open', async () => {
    let text = '';
    const slow = new Writable({
      highWaterMark: 1,
      write(chunk, _, done) {
        text += chunk;
        setImmediate(done);
      },
    });
    await exportCsv(recordTwo(), slow, { signals: ['loadCounts[1]'], toTick: 0 });
    expect(text).toBe('time_s,tick,loadCounts[1]\n0,0,100\n');
    expect(slow.writableEnded).toBe(false);
  });
});
