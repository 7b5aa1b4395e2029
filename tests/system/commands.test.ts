import { execFileSync, spawnSync } from 'node:child_process';
import { copyFileSync, existsSync, readFileSync, statSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const INPUT = join(PROJECT.cases, 'target-step', 'input.mcap');

describe('latchbench show', () => {
  it('shows a vector with its reason, ranges and pulses', async () => {
    const { status, out } = await latchbench('show', 'target-step');
    expect(status).toBe(0);
    expect(out).toContain('The operator raises the target, then lowers it');
    expect(out).toMatch(/^ {2}targetLoadN +350 … 700 N +[▁▂▃▄▅▆▇█]{64}$/m);
    expect(out).toMatch(/^ {2}supply open +\d+ pulses +[·╷┃]{64}$/m);
    expect(out).toMatch(/^ +0\.300 s +bank +mode +working$/m);
  });

  it('shows a recording, with chosen signals and row', async () => {
    const { status, out } = await latchbench('show', INPUT, '--row', '2', '--signal', 'loadCounts', '--signal', 'lowered');
    expect(status).toBe(0);
    expect(out).toMatch(/^ {2}loadCounts +\d+ … \d+ counts/m);
    expect(out).toMatch(/^ {2}lowered +1 … 1 +─+$/m);
    expect(out).not.toContain('supply open');
  });

  it('shows the usual inputs of a recording that holds no more', async () => {
    const { out } = await latchbench('show', INPUT);
    const names = [...out.matchAll(/^ {2}(\w+) +\S+ … /gm)].map(([, name]) => name);
    expect(names).toEqual(['targetLoadN', 'loadCounts', 'pressureCounts', 'railCounts', 'supplyMv', 'groundSpeedMmPerS']);
  });
});

describe('latchbench plot', () => {
  it('draws a picture of a vector, the same each time', async () => {
    const files = [1, 2].map((turn) => join(folder, `picture-${turn}.svg`));
    for (const file of files)
      expect(await latchbench('plot', 'target-step', '-o', file)).toEqual({ status: 0, out: `${file} written\n`, err: '' });
    const [one = '', two] = files.map((file) => readFileSync(file, 'utf8'));
    expect(one).toBe(two);
    expect(one).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg" viewBox="0 0 960 \d+"/);
    expect(one.match(/<path class="line"/g)).toHaveLength(5);
    expect(one).not.toMatch(/NaN|Infinity/);
  });

  it('draws a part of a recording, with chosen panes and rows, and gives the numbers', async () => {
    const file = join(folder, 'part.svg');
    const panes = ['--signal', 'loadCounts,loadCounts[2]', '--signal', 'targetLoadN'];
    const { status, out } = await latchbench('plot', INPUT, '--row', '3', ...panes, '--from', '2999', '--to', '3001', '-o', file, '--json');
    expect(status).toBe(0);
    const said = JSON.parse(out);
    expect(said).toMatchObject({ picture: file, rows: 4, tickHz: 1000, fromTick: 2999, toTick: 3001 });
    expect(said.panes.map((pane: { name: string; row: number }[]) => pane.map(({ name, row }) => `${name} ${row}`))).toEqual([
      ['loadCounts 3', 'loadCounts 2'],
      ['targetLoadN 0'],
    ]);
    expect(said.panes[1][0]).toMatchObject({ least: [450, 700, 700], most: [450, 700, 700], mean: [450, 700, 700] });
    expect(readFileSync(file, 'utf8')).toContain('rows 2, 3 of 4');
  });

  it.each([
    ['no picture to write', ['target-step']],
    ['different units in one pane', ['target-step', '--signal', 'loadN,pressureKpa', '-o', 'never.svg']],
    ['a part behind the end', ['target-step', '--from', '9000', '-o', 'never.svg']],
    ['a begin after the end', ['target-step', '--from', '20', '--to', '10', '-o', 'never.svg']],
  ])('refuses %s', async (_, words) => {
    const { status, out, err } = await latchbench('plot', ...words);
    expect(err).not.toBe('');
    expect([status, out]).toEqual([2, '']);
  });
});

describe('latchbench contest', () => {
  const json = async (...words: string[]) => JSON.parse((await latchbench('contest', 'target-step', ...words, '--json')).out);

  it('compares strategies and baselines over the same seeds, in text and as a picture', async () => {
    const file = join(folder, 'curves.svg');
    const words = ['--strategies', 'threshold,cascade,proportional,perfect', '--seeds', '2', '--scales', '0.7,2', '-o', file];
    const { status, out, err } = await latchbench('contest', 'target-step', ...words, '--at', '60,5000');
    expect([status, err]).toEqual([0, '']);
    expect(out).toContain('\nscenario target-step, machine default, 2 seeds from 1\n');
    expect(out).toMatch(/^threshold +0\.7 +[\d.]+ +[\d.]+ +± [\d.]+ +[\d.]+ +[\d.]+ +[\d.]+ +[\d.]+$/m);
    expect(out).toMatch(/^perfect +– +0 +[\d.]+ +± [\d.]+ +[\d.]+ +0 +0 +0$/m);
    expect(out).toMatch(/^ +60\.0 +threshold +[\d.]+ +[\d.]+ +reference$/m);
    expect(out).toMatch(/^ +60\.0 +cascade +[\d.]+ +[\d.]+ +[\d.]+ \[[\d.]+, [\d.]+\] +/m);
    expect(out).toMatch(/^ +5000 +cascade +not reached$/m);
    expect(readFileSync(file, 'utf8')).toMatch(/^<svg xmlns[\s\S]+>proportional<\/text>/);
  });

  it('finds no difference between a contender and itself, and runs what simulate runs', async () => {
    const file = join(folder, 'own.yaml');
    writeFileSync(file, 'strategy: threshold\n');
    const words = ['--parameters', file, '--parameters', `again=${file}`, '--seeds', '2', '--scales', '1,2'];
    const { sweeps, seeds, equalPulses, against } = await json(...words);
    expect([seeds, against]).toEqual([[1, 2], 'own']);
    expect(equalPulses).toHaveLength(3);
    for (const { contenders } of equalPulses) expect(contenders[1].metrics.loadRmsN.ratio).toEqual({ mean: 1, from: 1, to: 1 });
    const single = JSON.parse((await latchbench('simulate', 'target-step', '--strategy', 'threshold', '--seed', '2', '--json')).out)
      .runs[0];
    expect(sweeps[1].points[0].runs[1].hash).toBe(single.hash);
  });
});

describe('latchbench fit', () => {
  it('fits to a recording and writes a parameter file, once', async () => {
    const scenario = join(folder, 'rough.yaml');
    writeFileSync(scenario, 'title: Rough\nstory: Made up.\nrows: 2\nseconds: 30\nseed: 7\nfield: { class: D }\n');
    const [recording, file, never] = ['rough.mcap', 'fitted.yaml', 'never.yaml'].map((name) => join(folder, name)) as [
      string,
      string,
      string,
    ];
    expect((await latchbench('simulate', scenario, '-o', recording)).status).toBe(0);
    const poor = ['--set', 'noAccelPressureTrend1Weight=4', '--set', 'deadbandMode=noise'];
    const { status, out, err } = await latchbench('fit', recording, ...poor, '-o', file);
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(/rough\.mcap: 2 rows, 30 s; fitted to the wheels' true load, as recorded$/m);
    expect(out).toMatch(/^the fitted weights +[\d.]+\n\nThe fitted weights are better by [\d.]+ %\.$/m);
    expect(out).toMatch(/^noAccelPressureTrend1Weight +4\.000 +-?\d\.\d{3}$/m);
    expect(out).toMatch(/^deadbandN +40 +\d+ +N$/m);
    const text = readFileSync(file, 'utf8');
    expect(text).toContain(`# Fitted to ${recording}\n# by latchbench fit --horizon-ms 350 --ridge 1 --pulses 100 ${poor.join(' ')}\n`);
    expect(text).toMatch(/^deadbandMode: noise$/m);
    expect((await latchbench('parameters', file)).status).toBe(0);
    const again = await latchbench('fit', recording, '--parameters', file, '-o', never, '--json');
    expect([again.status, existsSync(never)]).toEqual([1, false]);
    expect(JSON.parse(again.out)).toMatchObject({ settings: { horizonMs: 350 }, isBetter: false, recordings: [{ source: 'truth' }] });
  });
});

describe('latchbench parameters', () => {
  it('lists every parameter with unit, limits and default', async () => {
    const { out } = await latchbench('parameters');
    expect(out).toMatch(/^deadband +deadbandMode +noise +Fixed deadband, .* \(0 fixed, 1 noise\)$/m);
    expect(out).toMatch(/^ +deadbandN +40 +N +1 +1000 /m);
  });

  it('checks a file and lists what it sets beside the defaults', async () => {
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
  ])('refuses %j with file, line and column', async (text, words) => {
    const file = join(folder, 'bad.yaml');
    writeFileSync(file, text);
    const { status, err } = await latchbench('parameters', file);
    expect(err).toMatch(words);
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
      '2999',
      '--to',
      '3001',
    );
    expect(status).toBe(0);
    const lines = out.trimEnd().split('\n');
    expect(lines[0]).toBe('time_s,tick,targetLoadN,loadCounts[2]');
    expect(lines.slice(1).map((line) => line.split(',').slice(0, 3).join())).toEqual(['2.999,2999,450', '3,3000,700', '3.001,3001,700']);
  });

  it('an exported recording comes back the same through import', async () => {
    const csv = join(folder, 'round.csv');
    const map = join(folder, 'round.yaml');
    const back = join(folder, 'round.mcap');
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
    const { status, out, err } = await latchbench('import', csv, '--map', map, '-o', back);
    expect([status, err]).toEqual([0, '']);
    expect(out).toContain('9 000 samples from 0 s to 9 s → 9 000 ticks at 1 000 Hz\nno gaps');
    expect((await latchbench('export', back)).out).toBe(readFileSync(csv, 'utf8'));
  });

  it('recovers what a cut-off recording still holds and says how much', async () => {
    const cut = join(folder, 'cut.mcap');
    copyFileSync(INPUT, cut);
    truncateSync(cut, 100_000);
    const saved = join(folder, 'saved.mcap');
    const { status, out } = await latchbench('recover', cut, '-o', saved);
    expect(status).toBe(0);
    expect(out).toMatch(/saved\.mcap: [\d ]+ messages recovered, an unknown number lost; .* at byte \d+/);
    expect((await latchbench('show', saved)).status).toBe(0);
  });

  it('never writes over what it reads, under whatever name, nor over what is no file', async () => {
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
    for (const words of refused) {
      const { status, err } = await latchbench(...words);
      expect([status, err]).toEqual([2, expect.stringContaining('the output file is also an input')]);
    }
    expect(readFileSync(copy)).toEqual(readFileSync(INPUT));
    const pipe = join(folder, 'pipe');
    execFileSync('mkfifo', [pipe]);
    expect((await latchbench('export', copy, '-o', pipe)).err).toContain('not a regular file');
    expect(statSync(pipe).isFIFO()).toBe(true);
  });

  it('writes through a link and leaves the link where it is', async () => {
    const real = join(folder, 'real.csv');
    writeFileSync(real, 'old');
    symlinkSync(real, join(folder, 'linked.csv'));
    expect((await latchbench('export', INPUT, '-o', join(folder, 'linked.csv'), '--to', '0')).status).toBe(0);
    expect(readFileSync(real, 'utf8')).toMatch(/^time_s,tick,/);
  });

  it('a reader that has seen enough is no fault', () => {
    const command = `"${process.execPath}" dist/host/cli/main.js export "${INPUT}" | head -n 1`;
    const { status, stdout, stderr } = spawnSync('bash', ['-o', 'pipefail', '-c', command], {
      cwd: PROJECT.root,
      encoding: 'utf8',
      timeout: 30_000,
    });
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^time_s,tick,targetLoadN,/);
  });
});

describe('every command', () => {
  const COMMANDS = [
    'replay',
    'simulate',
    'size',
    'compare',
    'bisect',
    'shrink',
    'watch',
    'chip',
    'contest',
    'fit',
    'accept',
    'add',
    'show',
    'plot',
    'parameters',
    'import',
    'export',
    'recover',
  ];

  const EXPLAINED = COMMANDS.flatMap((name) =>
    name === 'chip' ? ['build', 'library', 'replay', 'budget'].map((one) => `chip ${one}`) : [name],
  );

  it.each(EXPLAINED)('%s explains itself and knows --json', async (command) => {
    const { status, out } = await latchbench(...command.split(' '), '--help');
    expect(status).toBe(0);
    expect(out).toContain(`latchbench ${command}`);
    expect(out).toContain('--json');
  });

  it('is named by --help, and no other is', async () => {
    const { out } = await latchbench('--help');
    const named = [...out.slice(out.indexOf('COMMANDS')).matchAll(/^ {2}(\w+) {2,}/gm)].map(([, name]) => name);
    expect(named).toEqual(COMMANDS);
  });

  it('prints one JSON document', async () => {
    const json = async (...words: string[]) => JSON.parse((await latchbench(...words, '--json')).out);
    expect((await json('parameters')).parameters[0]).toMatchObject({ name: 'tickHz', default: 1000 });
    const shown = await json('show', 'target-step', '--signal', 'targetLoadN');
    expect(shown).toMatchObject({ rows: 4, ticks: 9000, series: [{ name: 'targetLoadN', row: 0, unit: 'newton' }] });
    expect([Math.min(...shown.series[0].least), Math.max(...shown.series[0].most)]).toEqual([350, 700]);
    expect(await json('show', INPUT)).toMatchObject({ rows: 4, counts: { input: 9000 } });
    const again = join(folder, 'again.mcap');
    expect(await json('recover', INPUT, '-o', again)).toMatchObject({ recovered: 9000, lostAtLeast: 0 });
    expect(await json('export', again, '-o', join(folder, 'again.csv'), '--to', '5')).toEqual({ file: join(folder, 'again.csv') });
    const map = join(folder, 'again.yaml');
    writeFileSync(map, 'rows: 1\ntime: { column: time_s }\nsignals:\n  - { signal: loadCounts, column: "loadCounts[1]" }\n');
    const one = await json('import', join(folder, 'again.csv'), '--map', map, '-o', join(folder, 'one.mcap'));
    expect(one).toMatchObject({ rows: 1, samples: 6, ticks: 6, gaps: 0 });
  });

  it('add makes a vector that replays the same, and accept has nothing to add to it', async () => {
    const name = join(folder, 'a-new-vector');
    const words = ['--title', 'A step', '--why', 'It is a test', '--by', 'A. Reviewer', '--reason', 'First'];
    const added = JSON.parse((await latchbench('add', name, '--from', INPUT, ...words, '--json')).out);
    expect(added).toMatchObject({ name: 'a-new-vector', acceptance: { by: 'A. Reviewer', signals: ['all'] } });
    expect((await latchbench('replay', name)).status).toBe(0);
    const again = JSON.parse((await latchbench('accept', name, '--by', 'A. Reviewer', '--reason', 'None', '--json')).out);
    expect(again.vectors).toMatchObject([{ name: 'a-new-vector', comparison: { differences: 0 } }]);
    expect((await latchbench('add', name, '--from', INPUT, ...words)).err).toMatch(/exists already/);
  });

  it('starts through npx in the checkout', () => {
    expect(execFileSync('npx', ['--no-install', 'latchbench', '--version'], { cwd: PROJECT.root, encoding: 'utf8' })).toMatch(
      /^\d+\.\d+\.\d+\n$/,
    );
  });
});
