import { readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { copyVector, latchbench, latchbenchIn, type Result, snapshot } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const edit = (file: string, from: string | RegExp, to: string): void => writeFileSync(file, readFileSync(file, 'utf8').replace(from, to));

/** One line on stderr, nothing on stdout, exit code 2. */
function expectRefusal({ status, out, err }: Result, message: RegExp): void {
  expect(err).toMatch(message);
  expect(err.trimEnd().split('\n')).toHaveLength(1);
  expect(out).toBe('');
  expect(status).toBe(2);
}

describe('replay refuses, in one line and with exit code 2,', () => {
  const damages: [string, (copy: string) => void, RegExp][] = [
    [
      'a truncated recording',
      (copy) => truncateSync(join(copy, 'input.mcap'), 50_000),
      /input\.mcap: byte \d+: .+\. Run `latchbench recover`/,
    ],
    [
      'a recording with one bit flipped',
      (copy) => {
        const file = join(copy, 'input.mcap');
        const bytes = readFileSync(file);
        bytes[40_000] = (bytes[40_000] ?? 0) ^ 0x10;
        writeFileSync(file, bytes);
      },
      /input\.mcap: byte \d+: the (checksum|unpacked size) of a chunk is .+; it must be /,
    ],
    ['no recording', (copy) => rmSync(join(copy, 'input.mcap')), /input\.mcap: no such file/],
    [
      'no acceptance',
      (copy) => edit(join(copy, 'case.yaml'), /acceptances:[\s\S]*/, ''),
      /case\.yaml: the outputs have never been accepted\. Run `latchbench accept \S+target-step --by NAME --reason TEXT/,
    ],
    [
      'no accepted outputs',
      (copy) => rmSync(join(copy, 'expected.csv')),
      /expected\.csv: the vector has no accepted outputs\. Run `latchbench accept/,
    ],
    [
      'an edited expected.csv',
      (copy) => edit(join(copy, 'expected.csv'), '\n5,,mode,working', '\n6,,mode,working'),
      /expected\.csv: the file has changed since .+ accepted it on \d{4}-\d\d-\d\d: its SHA-256 starts with [0-9a-f]{12}, not [0-9a-f]{12}\./,
    ],
    [
      'an unknown parameter',
      (copy) => edit(join(copy, 'case.yaml'), 'parameters:', 'parameters:\n  deadBandN: 50'),
      /case\.yaml:\d+:3: unknown key `deadBandN` in parameters; did you mean `deadbandN`\?/,
    ],
    [
      'a parameter outside its limits',
      (copy) => edit(join(copy, 'case.yaml'), 'parameters:', 'parameters:\n  deadbandN: 5000'),
      /case\.yaml:\d+:14: .* is 5000; it must be between .* and 1000/,
    ],
    [
      'two inconsistent parameters',
      (copy) => edit(join(copy, 'case.yaml'), 'parameters:', 'parameters:\n  minPulseMs: 1.5'),
      /case\.yaml:\d+:15: minPulseMs is 1\.5, but strokeMs is 2\. minPulseMs must be at least strokeMs/,
    ],
    [
      'more rows than the recording has',
      (copy) => edit(join(copy, 'case.yaml'), 'rows: 4', 'rows: 5'),
      /input\.mcap: the recording has 4 rows, but the vector has 5\./,
    ],
    [
      'a tick rate that is not that of the recording',
      (copy) => edit(join(copy, 'case.yaml'), 'tickHz: 1000', 'tickHz: 500'),
      /input\.mcap: the recording.s tick rate is 1000 Hz, but the vector.s is 500 Hz\./,
    ],
    [
      'text for a number',
      (copy) => edit(join(copy, 'case.yaml'), 'rows: 4', 'rows: four'),
      /case\.yaml:\d+:7: rows is "four"; it must be an integer /,
    ],
    ['broken YAML', (copy) => edit(join(copy, 'case.yaml'), 'rows: 4', 'rows: [4'), /case\.yaml:\d+:\d+: /],
  ];

  it.each(damages)('%s', async (_, damage, message) => {
    const copy = copyVector('target-step', folder);
    damage(copy);
    const before = snapshot(copy);
    expectRefusal(await latchbench('replay', copy), message);
    expect(snapshot(copy)).toEqual(before);
  });

  it('a vector that exercises nothing', async () => {
    const csv = join(folder, 'quiet.csv');
    writeFileSync(csv, `t\n${Array.from({ length: 100 }, (_, index) => index / 100).join('\n')}\n`);
    writeFileSync(join(folder, 'quiet.yaml'), 'rows: 1\ntime: { column: t, unit: s }\nsignals:\n  - { signal: enabled, value: 0 }\n');
    expect((await latchbench('import', csv, '--map', join(folder, 'quiet.yaml'), '-o', join(folder, 'quiet.mcap'))).status).toBe(0);
    writeFileSync(join(folder, 'off.yaml'), 'frozenMs: 0\n');
    const before = snapshot(folder);
    const result = await latchbenchIn({ ...PROJECT, vectors: folder }, [
      'add',
      'exercises-nothing',
      '--from',
      join(folder, 'quiet.mcap'),
      '--title',
      'Quiet',
      '--why',
      'None',
      '--origin',
      'invented',
      '--parameters',
      join(folder, 'off.yaml'),
      '--by',
      'A. Reviewer',
      '--reason',
      'None',
    ]);
    expectRefusal(result, /the vector exercises nothing: no stroke, mode or fault changes after the start/);
    expect(snapshot(folder)).toEqual(before);
  });

  it('an unknown vector', async () => {
    expectRefusal(await latchbench('replay', 'target-stop'), /there is no vector target-stop; did you mean `target-step`\?/);
    expectRefusal(
      await latchbench('replay', 'vectors/cases/target-step/input.mcap'),
      /input\.mcap: this is a file, not the folder of a vector\. /,
    );
    expectRefusal(await latchbench('replay', './tests'), /^\.\/tests: this is not a vector: the folder has no case\.yaml\.$/m);
  });

  it('a file that is not a controller', async () => {
    const none = join(folder, 'none.wasm');
    writeFileSync(none, Buffer.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]));
    expectRefusal(
      await latchbench('replay', 'target-step', '--controller', none),
      /none\.wasm: this is not a controller: it has no memory\. Run `npm run build:controller`\./,
    );
    expectRefusal(await latchbench('replay', 'target-step', '--controller', join(folder, 'missing.wasm')), /missing\.wasm: no such file/);
  });
});

describe('import refuses, in one line and with exit code 2, and writes nothing:', () => {
  const MAP = 'rows: 1\ntime: { column: t, unit: s }\nsignals:\n  - { signal: loadCounts, column: load }\n';
  const CSV = 't,load\n0,1200\n0.01,1201\n0.02,1202\n';
  const damages: [string, string, string, RegExp][] = [
    [
      'a missing column',
      CSV,
      MAP.replace('column: load', 'column: force'),
      /map\.yaml:4:35: .* has no column "force"; it must be one of t, load/,
    ],
    ['text in a number', CSV.replace('1201', 'abc'), MAP, /log\.csv:3:6: load is "abc"; it must be a finite number/],
    ['an empty cell', CSV.replace('1201', ''), MAP, /log\.csv:3:6: load is empty\. Give loadCounts `missing` in the mapping file/],
    [
      'time that runs backwards',
      CSV.replace('0.02', '0.005'),
      MAP,
      /log\.csv:4:1: time runs backwards to 0\.005; it must be later than 0\.01\. /,
    ],
    ['an unknown signal', CSV, MAP.replace('loadCounts', 'loadCount'), /map\.yaml:4:15: .*"loadCount"; did you mean `loadCounts`\?/],
    [
      'a row that the bank does not have',
      CSV,
      MAP.replace('loadCounts,', 'loadCounts, row: 2,'),
      /map\.yaml:4:32: signals\[0\]\.row is 2; it must be /,
    ],
    [
      'an unknown unit',
      CSV,
      MAP.replace('column: load', 'column: load, unit: furlong'),
      /map\.yaml:4:\d+: loadCounts cannot have the unit furlong; it must be /,
    ],
    ['an empty file', '', MAP, /log\.csv/],
  ];

  it.each(damages)('%s', async (_, csv, map, message) => {
    writeFileSync(join(folder, 'log.csv'), csv);
    writeFileSync(join(folder, 'map.yaml'), map);
    const before = snapshot(folder);
    expectRefusal(
      await latchbench('import', join(folder, 'log.csv'), '--map', join(folder, 'map.yaml'), '-o', join(folder, 'log.mcap')),
      message,
    );
    expect(snapshot(folder)).toEqual(before);
  });
});

describe('contest refuses, in one line and with exit code 2, before anything runs,', () => {
  const TWO = ['--strategies', 'threshold,cascade'];
  it.each<[string, string[], RegExp]>([
    ['one contender', ['--strategies', 'cascade'], /^--strategies, --parameters: there is 1 contender; a contest needs 2 to 12\./],
    ['a contender twice', ['--strategies', 'cascade,cascade'], /two contenders are called "cascade"\./],
    ['an unknown strategy', ['--strategies', 'cascade,fuzzy'], /^--strategies: one strategy is "fuzzy"; it must be one of threshold, /],
    [
      'an unknown reference',
      [...TWO, '--against', 'perfect'],
      /^--against: "perfect" is not a contender; it must be one of threshold, cascade\.$/m,
    ],
    [
      'a scale of zero',
      [...TWO, '--scales', '0,1'],
      /^--scales: the list is "0,1"; it must be 1 to 30 different numbers between 0\.01 and 100, /,
    ],
    ['a scale twice', [...TWO, '--scales', '1,1'], /^--scales: the list is "1,1"; it must be 1 to 30 different numbers/],
    ['an invalid rate', [...TWO, '--at', '60,'], /^--at: the list is "60,"; it must be 1 to 30 different numbers/],
    ['a setting outside its limits', [...TWO, '--set', 'deadbandN=-3'], /deadbandN is -3; it must be /],
    ['a missing parameter file', [...TWO, '--parameters', 'x=missing.yaml'], /^missing\.yaml: no such file/],
    ['a missing scenario', TWO, /there is no scenario nowhere; it must be one of /],
  ])('%s', async (what, words, message) => {
    expectRefusal(await latchbench('contest', what.endsWith('scenario') ? 'nowhere' : 'target-step', ...words), message);
  });

  it('an output over an input', async () => {
    const file = join(folder, 'contender.yaml');
    writeFileSync(file, 'deadbandN: 60\n');
    expectRefusal(
      await latchbench('contest', 'target-step', ...TWO, '--parameters', `x=${file}`, '-o', file),
      /the output file is also an input/,
    );
    expect(readFileSync(file, 'utf8')).toBe('deadbandN: 60\n');
  });
});

describe('fit refuses, in one line and with exit code 2,', () => {
  const INPUT = 'vectors/cases/target-step/input.mcap';
  it.each<[string, string[], RegExp]>([
    ['a recording without outputs', [INPUT], /input\.mcap: the recording has no outputs\. A fit needs both/],
    ['a missing recording', ['nowhere.mcap'], /^nowhere\.mcap: no such file/],
    ['a file that is not a recording', ['README.md'], /^README\.md: byte 0: /],
    ['a setting outside its limits', [INPUT, '--set', 'deadbandN=-3'], /deadbandN is -3; it must be /],
    ['an output over an input', [INPUT, '-o', INPUT], /the output file is also an input/],
  ])('%s', async (_, words, message) => {
    expectRefusal(await latchbench('fit', ...words), message);
  });
});

describe('bad usage exits with 2 and says what is wrong:', () => {
  it.each<[string, string, RegExp]>([
    ['an unknown command', 'repaly', /^unknown command repaly; did you mean replay\?\nSee 'latchbench --help'\.$/],
    ['an unknown subcommand', 'chip repaly', /^unknown command repaly; did you mean replay\?\nSee 'latchbench chip --help'\.$/],
    ['an unknown flag', 'replay --jsno', /^unknown flag --jsno; did you mean --json\?\nSee 'latchbench replay --help'\.$/],
    ['an unknown short flag', 'replay -z', /^unknown flag -z\.$/m],
    ['missing flags', 'add new --from log.mcap', /^--title is required\.\n--why is required\.\n/m],
    ['an output without its mapping', 'import log.csv -o log.mcap', /^--output: needs --map\. `--new-map FILE` writes one /m],
    ['a mapping without an output', 'import log.csv --map map.yaml', /^--map: needs --output, the recording to write\.$/m],
    ['two mappings', 'import log.csv --map map.yaml --new-map new.yaml', /^--map: cannot be combined with --new-map: /m],
    ['a flag without its value', 'import log.csv --map -o x.mcap', /^--map needs a value, but is followed by --output\.$/m],
    ['a flag twice', 'size default --seed 1 --seed 2', /^--seed is given more than once, again with 2\.$/m],
    ['a missing argument', 'show', /^the argument <vector\|recording> is missing\.$/m],
    ['a missing list', 'fit', /^the argument <recording> is missing\.$/m],
    ['an extra argument', 'size default wide', /^unexpected argument wide; at most 1 can be given\.$/m],
    ['a negative penalty', 'fit log.mcap --ridge -1', /^--ridge is -1; it must be a number between 0 and 1000000\.$/m],
    ['a fraction of a row', 'chip build --rows 1.5', /^--rows is 1\.5; it must be an integer between 1 and 48\.$/m],
    ['an unknown choice', 'size default --units uk', /^--units is uk; it must be one of si, us\.$/m],
    ['nothing to accept', 'accept --by A --reason B', /^latchbench accept: no vector is named/],
    ['an unknown signal', 'show target-step --signal loadNewton', /loadNewton/],
    ['a row that the vector does not have', 'show target-step --row 5', /5/],
    ['a missing parameter file', 'parameters missing.yaml', /^missing\.yaml: no such file\.$/],
  ])('%s', async (_, line, message) => {
    const { status, out, err } = await latchbench(...line.split(' '));
    expect(err.trimEnd()).toMatch(message);
    expect([status, out]).toEqual([2, '']);
  });

  it('an empty reason', async () => {
    const { status, err } = await latchbench('accept', 'target-step', '--by', 'A', '--reason', ' ');
    expect([status, err]).toEqual([2, expect.stringMatching(/^--reason is " "; it must not be empty\.$/m)]);
  });

  it('as a JSON document with --json', async () => {
    expect(JSON.parse((await latchbench('replay', '--jsno', '--json')).out).error.message).toBe(
      'unknown flag --jsno; did you mean --json?',
    );
    const { status, out } = await latchbench('replay', 'target-stop', '--json');
    expect(JSON.parse(out).error).toMatchObject({ problem: 'there is no vector target-stop', value: 'target-stop' });
    expect(status).toBe(2);
  });
});
