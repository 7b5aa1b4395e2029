import { execFileSync } from 'node:child_process';
import { copyFileSync, existsSync, readFileSync, statSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const INPUT = join(PROJECT.vectors, 'target-step', 'input.mcap');
/** Runs a command with --json and parses what it prints. */
const json = async (...argv: string[]) => JSON.parse((await latchbench(...argv, '--json')).out);

describe('latchbench show', () => {
  it('shows a vector with its reason, ranges and pulses', async () => {
    const { status, out } = await latchbench('show', 'target-step');
    expect(status).toBe(0);
    expect(out).toContain('The operator raises the target, then lowers it');
    expect(out).toMatch(/^ {2}targetLoadN +350 … 700 N +[▁▂▃▄▅▆▇█]{64}$/m);
    expect(out).toMatch(/^ {2}supply open +\d+ pulses +[·╷┃]{64}$/m);
    expect(out).toMatch(/^ {2}tick 5 \(0\.005 s\) +bank +mode +working$/m);
  });

  it('shows a recording, with chosen signals and row', async () => {
    const { status, out } = await latchbench('show', INPUT, '--row', '2', '--signal', 'loadCounts', '--signal', 'lowered');
    expect(status).toBe(0);
    expect(out).toMatch(/^ {2}loadCounts +\d+ … \d+ counts/m);
    expect(out).toMatch(/^ {2}lowered +1 … 1 +─+$/m);
    expect(out).not.toContain('supply open');
  });

  it('shows a default set of inputs of a recording that has only inputs', async () => {
    const { out } = await latchbench('show', INPUT);
    const names = [...out.matchAll(/^ {2}(\w+) +\d[\d ]* … /gm)].map(([, name]) => name);
    expect(names).toEqual(['targetLoadN', 'loadCounts', 'pressureCounts', 'railCounts', 'supplyMv', 'groundSpeedMmPerS']);
  });
});

describe('latchbench plot', () => {
  it('plots a vector, the same each time', async () => {
    const files = [1, 2].map((turn) => join(folder, `picture-${turn}.svg`));
    for (const file of files)
      expect(await latchbench('plot', 'target-step', '-o', file)).toEqual({
        status: 0,
        out: expect.stringContaining(`\n${file} written\n`),
        err: '',
      });
    const [one = '', two] = files.map((file) => readFileSync(file, 'utf8'));
    expect(one).toBe(two);
    expect(one).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg" viewBox="0 0 960 \d+"/);
    expect(one.match(/<path class="line"/g)).toHaveLength(5);
    expect(one).not.toMatch(/NaN|Infinity/);
  });

  it('plots a part of a recording, with chosen panes and rows, and prints the numbers as JSON', async () => {
    const file = join(folder, 'part.svg');
    const panes = ['--signal', 'loadCounts,loadCounts[2]', '--signal', 'targetLoadN'];
    const { status, out } = await latchbench(
      'plot',
      INPUT,
      '--row',
      '3',
      ...panes,
      '--from',
      '2999t',
      '--to',
      '3.001',
      '-o',
      file,
      '--json',
    );
    expect(status).toBe(0);
    const found = JSON.parse(out);
    expect(found).toMatchObject({ picture: file, rows: 4, tickHz: 1000, fromTick: 2999, toTick: 3001 });
    expect(found.panes.map((pane: { name: string; row: number }[]) => pane.map(({ name, row }) => `${name} ${row}`))).toEqual([
      ['loadCounts 3', 'loadCounts 2'],
      ['targetLoadN 0'],
    ]);
    expect(found.panes[1][0]).toMatchObject({ min: [450, 700, 700], max: [450, 700, 700], mean: [450, 700, 700] });
    expect(readFileSync(file, 'utf8')).toContain('rows 2, 3 of 4');
  });

  it.each([
    ['a missing output', ['target-step']],
    ['different units in one pane', ['target-step', '--signal', 'loadN,pressureKpa', '-o', 'never.svg']],
    ['a part after the end', ['target-step', '--from', '9', '-o', 'never.svg']],
    ['a first tick after the last', ['target-step', '--from', '20', '--to', '10', '-o', 'never.svg']],
  ])('refuses %s', async (_, argv) => {
    const { status, out, err } = await latchbench('plot', ...argv);
    expect(err).not.toBe('');
    expect([status, out]).toEqual([2, '']);
  });
});

describe('latchbench parameters', () => {
  it('lists every parameter with unit, limits and default', async () => {
    const { out } = await latchbench('parameters');
    expect(out).toMatch(/^deadband +deadbandMode +noise +Fixed deadband, .* \(0 fixed, 1 noise\)$/m);
    expect(out).toMatch(/^ +deadbandN +40 +N +1 +1000 /m);
    // Limits are not rounded to the digits of the value.
    expect(out).toMatch(/^ +retryS +1\.0 +s +0\.05 +60\.0 /m);
  });

  it('checks a file and lists its values beside the defaults', async () => {
    const file = join(folder, 'good.yaml');
    writeFileSync(file, 'deadbandN: 60.25\nstrategy: threshold\n');
    const { status, out } = await latchbench('parameters', file);
    expect(status).toBe(0);
    expect(out).toMatch(/^general +strategy +threshold +predictive +How/m);
    expect(out).toMatch(/^deadband +deadbandN +60\.25 +40 +N/m);
  });

  it.each([
    ['deadbandN: 0.5\n', /bad\.yaml:1:12: deadbandN is 0\.5; it must be /],
    ['strategy: treshold\n', /bad\.yaml:1:11: strategy is "treshold"; did you mean `threshold`\?$/m],
    ['deadbandN: .nan\n', /bad\.yaml:1:12: deadbandN is NaN; it must be /],
    ['strokesAtOnce: 1.5\n', /bad\.yaml:1:16: strokesAtOnce is 1\.5; it must be an integer /],
    ['minPulseMs: 3\nstrokeMs: 5\n', /bad\.yaml:1:13: minPulseMs is 3, but strokeMs is 5\. minPulseMs must be at least strokeMs/],
    ['deadbandN: 60\ndeadbandN: 70\n', /bad\.yaml:2:1: /],
    ['- deadbandN\n', /bad\.yaml:1:1: /],
  ])('refuses %j with file, line and column', async (text, message) => {
    const file = join(folder, 'bad.yaml');
    writeFileSync(file, text);
    const { status, err } = await latchbench('parameters', file);
    expect(err).toMatch(message);
    expect(status).toBe(2);
  });
});

describe('latchbench export, import and recover', () => {
  it('exports chosen columns and ticks to standard output', async () => {
    const { status, out } = await latchbench(
      'export',
      INPUT,
      '--signal',
      'targetLoadN',
      '--signal',
      'loadCounts[2]',
      '--from',
      '2.999',
      '--to',
      '3001t',
    );
    expect(status).toBe(0);
    const lines = out.trimEnd().split('\n');
    expect(lines[0]).toBe('time_s,tick,targetLoadN,loadCounts[2]');
    expect(lines.slice(1).map((line) => line.split(',').slice(0, 3).join())).toEqual(['2.999,2999,450', '3,3000,700', '3.001,3001,700']);
  });

  it.each([
    [
      ['--from', '10', '--to', '5'],
      /input\.mcap: --to is tick 5000 \(5\.000 s\); it must be at or after --from, tick 10000 \(10\.000 s\)\.$/m,
    ],
    [['--from', '999999t'], /input\.mcap: the recording has no tick 999999 \(999\.999 s\)\. Give an earlier --from\.$/m],
    [['--from', '2.5ticks'], /--from/],
    [['--signal', 'nonsense'], /input\.mcap: there is no signal nonsense; it must be one of /],
  ])('refuses to export %j', async (words, message) => {
    const csv = join(folder, 'never.csv');
    for (const target of [[], ['-o', csv]]) {
      const { status, out, err } = await latchbench('export', INPUT, ...words, ...target);
      expect(err).toMatch(message);
      expect([status, out]).toEqual([2, '']);
    }
    expect(existsSync(csv)).toBe(false);
  });

  it('restores an exported recording by import', async () => {
    const csv = join(folder, 'round.csv');
    const map = join(folder, 'round.yaml');
    const restored = join(folder, 'round.mcap');
    expect((await latchbench('export', INPUT, '-o', csv)).status).toBe(0);
    const [header = ''] = readFileSync(csv, 'utf8').split('\n', 1);
    const signals = header
      .split(',')
      .slice(2)
      .map((column) => {
        const [, signal, row] = /^([^[]+)(?:\[(\d+)\])?$/.exec(column) ?? [];
        return `  - { signal: ${signal?.replace(/^input\./, '')}, column: "${column}"${row === undefined ? '' : `, row: ${row}`} }\n`;
      });
    writeFileSync(map, `rows: 4\ntime: { column: time_s, unit: s }\nsignals:\n${signals.join('')}`);
    const { status, out, err } = await latchbench('import', csv, '--map', map, '-o', restored);
    expect([status, err]).toEqual([0, '']);
    expect(out).toContain(
      '9000 samples from 0 s to 9 s → 9000 ticks at 1000 Hz\ninterval between samples: median 1 ms, 99 % up to 1 ms, max 1 ms\nno gaps',
    );
    expect((await latchbench('export', restored)).out).toBe(readFileSync(csv, 'utf8'));
  });

  it('recovers the intact part of a truncated recording and reports how much', async () => {
    const cut = join(folder, 'cut.mcap');
    copyFileSync(INPUT, cut);
    truncateSync(cut, 100_000);
    const saved = join(folder, 'saved.mcap');
    const { status, out } = await latchbench('recover', cut, '-o', saved);
    expect(status).toBe(0);
    expect(out).toMatch(/saved\.mcap: [\d ]+ messages recovered, an unknown number lost; .* at byte \d+/);
    expect((await latchbench('show', saved)).status).toBe(0);
  });

  it('overwrites no input, under any name, and nothing but regular files', async () => {
    const copy = join(folder, 'own.mcap');
    copyFileSync(INPUT, copy);
    symlinkSync(copy, join(folder, 'link.mcap'));
    const csv = join(folder, 'own.csv');
    const map = join(folder, 'own.yaml');
    writeFileSync(csv, 't,load\n0,1200\n1,1201\n');
    writeFileSync(map, 'rows: 1\ntime: { column: t }\nsignals:\n  - { signal: loadCounts, column: load }\n');
    const refused = [
      ['recover', copy, '-o', join(folder, 'link.mcap')],
      ['export', copy, '-o', copy],
      ['import', csv, '--map', map, '-o', csv],
      ['import', csv, '--map', map, '-o', map],
      ['plot', copy, '-o', copy],
    ];
    for (const argv of refused) {
      const { status, err } = await latchbench(...argv);
      expect([status, err]).toEqual([2, expect.stringContaining('the output file is also an input')]);
    }
    expect(readFileSync(copy)).toEqual(readFileSync(INPUT));
    const pipe = join(folder, 'pipe');
    execFileSync('mkfifo', [pipe]);
    expect((await latchbench('export', copy, '-o', pipe)).err).toContain('not a regular file');
    expect(statSync(pipe).isFIFO()).toBe(true);
  });

  it('writes through a link and keeps the link', async () => {
    const real = join(folder, 'real.csv');
    writeFileSync(real, 'old');
    symlinkSync(real, join(folder, 'linked.csv'));
    expect((await latchbench('export', INPUT, '-o', join(folder, 'linked.csv'), '--to', '0')).status).toBe(0);
    expect(readFileSync(real, 'utf8')).toMatch(/^time_s,tick,/);
  });
});

describe('--json', () => {
  it('prints one document for parameters, show, recover, export and import', async () => {
    expect((await json('parameters')).parameters[0]).toMatchObject({ name: 'tickHz', default: 1000 });
    const shown = await json('show', 'target-step', '--signal', 'targetLoadN');
    expect(shown).toMatchObject({ rows: 4, ticks: 9000, series: [{ name: 'targetLoadN', row: 0, unit: 'newton' }] });
    expect([Math.min(...shown.series[0].min), Math.max(...shown.series[0].max)]).toEqual([350, 700]);
    expect(await json('show', INPUT)).toMatchObject({ rows: 4, counts: { input: 9000 } });
    const again = join(folder, 'again.mcap');
    expect(await json('recover', INPUT, '-o', again)).toMatchObject({ recovered: 9000, lost: 0 });
    const csv = join(folder, 'again.csv');
    expect(await json('export', again, '-o', csv, '--to', '5t')).toEqual({ file: csv });
    const map = join(folder, 'again.yaml');
    writeFileSync(map, 'rows: 1\ntime: { column: time_s }\nsignals:\n  - { signal: loadCounts, column: "loadCounts[1]" }\n');
    const imported = await json('import', csv, '--map', map, '-o', join(folder, 'one.mcap'));
    expect(imported).toMatchObject({ rows: 1, samples: 6, ticks: 6, gaps: 0 });
  });
});
