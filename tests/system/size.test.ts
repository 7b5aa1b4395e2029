import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench, snapshot } from '../support/command.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

function fileOf(name: string, text: string): string {
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
}

describe('latchbench size', () => {
  it.each([
    ['research-8-row', 1, ['FAIL  resonance-ratio: ']],
    ['field-24-row', 0, ['marginal  close-wait-error: ', 'marginal  stroke-life-ratio: ']],
    [
      'wide-48-row',
      1,
      ['FAIL  reservoir-strokes: ', 'FAIL  close-wait-error: ', 'marginal  pump-margin: ', 'marginal  last-row-voltage-ratio: '],
    ],
  ])('%s exits with %d and shows what does not pass', async (name, code, words) => {
    const { status, out, err } = await latchbench('size', name);
    expect([status, err]).toEqual([code, '']);
    for (const word of words) expect(out).toContain(`\n${word}`);
    expect(out).not.toContain(String.fromCharCode(27));
  });

  it('prints one JSON document in SI, and refuses other units for it', async () => {
    const [si, us] = [await latchbench('size', 'default', '--json'), await latchbench('size', 'default', '--json', '--units', 'us')];
    expect([si.status, si.err]).toEqual([1, '']);
    expect([us.status, us.err]).toEqual([2, expect.stringContaining('--units: has no effect on the JSON document')]);
    const sheet = JSON.parse(si.out);
    expect(sheet).toMatchObject({ machine: 'default', rowCount: 24, input: { railNominalKpa: 15000 }, deadbandN: 80 });
    expect([sheet.checks.length, sheet.supplyBudgets.length, sheet.strokes.length]).toEqual([36, 3, 9]);
  });

  it('shows US customary units', async () => {
    const { out } = await latchbench('size', 'default', '--units', 'us');
    expect(out).toMatch(/^ {2}typical working pressure +650\.2 psi$/m);
    expect(out).toMatch(/^ {2}working width +60\.00 ft$/m);
  });

  it('takes another duty from --spm, two strokes per pulse', async () => {
    const at = async (...words: string[]) => JSON.parse((await latchbench('size', 'default', '--json', ...words)).out);
    const [full, half] = [await at(), await at('--spm', '125')];
    expect([full.duty.strokesPerMinPerRow, half.duty.strokesPerMinPerRow, half.input.dutyPulsesPerMin]).toEqual([250, 125, 62.5]);
    expect(half.duty.bankW).toBeCloseTo(full.duty.bankW / 2, 12);
  });

  it('writes the same page each time', async () => {
    const files = [1, 2].map((turn) => join(folder, `sheet-${turn}.html`));
    for (const file of files) expect((await latchbench('size', 'field-24-row', '--html', file)).out).toContain(`${file} written\n`);
    const [one = '', two] = files.map((file) => readFileSync(file, 'utf8'));
    expect(one).toBe(two);
    expect(one).toMatch(/^<!doctype html>[\s\S]+<\/html>\n$/);
  });
});

it('writes the drawings as one picture', async () => {
  const file = join(folder, 'drawings.svg');
  expect((await latchbench('size', 'field-24-row', '--drawings', file)).out).toContain(`${file} written\n`);
  const svg = readFileSync(file, 'utf8');
  expect(svg.match(/<svg /g)).toHaveLength(1 + 3);
  expect(svg).toContain('accumulator');
});

describe('latchbench size exits with 2 and writes nothing for', () => {
  const bad = fileOf('bad.yaml', 'title: Bad\nhoses: { rowHoseMm: 1 }\n');
  const own = fileOf('own.yaml', 'title: Own\n');
  const never = join(folder, 'never.html');
  it.each([
    ['a quantity out of range', [bad, '--html', never], /bad\.yaml:2:21: hoses\.rowHoseMm is 1; it must be between 2 and 30 mm\./],
    ['an unknown machine', ['wide-49-row', '--html', never], /there is no machine wide-49-row; did you mean `wide-48-row`\?/],
    ['a missing file', [join(folder, 'no.yaml')], /no\.yaml: no such file/],
    ['a page that would overwrite the machine', [own, '--html', own], /the output file is also an input/],
    ['an unknown system of units', ['default', '--units', 'imperial'], /imperial/],
    ['a negative duty', ['default', '--spm', '-1'], /-1/],
    ['no machine', [], /machine/],
    [
      'an unknown catalogue',
      ['default', '--search', 'row-hydraulic'],
      /there is no catalogue row-hydraulic; did you mean `row-hydraulics`\?/,
    ],
    ['a page with a search', ['default', '--search', 'row-hydraulics', '--html', never], /--html: cannot be combined with --search/],
    ['a folder without a search', ['default', '-o', never], /--output: needs --search/],
    ['tries without a search', ['default', '--tries', '5'], /^--tries: needs --search\.$/m],
    ['finalists without a search', ['default', '--finalists', '5'], /^--finalists: needs --search\.$/m],
    ['no tries', ['default', '--search', 'row-hydraulics', '--tries', '0'], /--tries is 0; it must be an integer between 1 and /],
    ['two results in one file', ['default', '--html', never, '--drawings', never], /two outputs would be written to this file/],
    [
      'a search in a folder with other files',
      [own, '--search', 'row-hydraulics', '-o', folder],
      /the folder is not empty and contains no search/,
    ],
  ])('%s', async (_, words, message) => {
    const before = snapshot(folder);
    const { status, out, err } = await latchbench('size', ...words);
    expect(err).toMatch(message);
    expect([status, out]).toEqual([2, '']);
    expect(snapshot(folder)).toEqual(before);
    expect(existsSync(never)).toBe(false);
  });

  it('reports the error as JSON with --json', async () => {
    const { status, out } = await latchbench('size', bad, '--json');
    expect(status).toBe(2);
    expect(JSON.parse(out).error).toMatchObject({ line: 2, column: 21, problem: 'hoses.rowHoseMm is 1' });
  });
});

describe('latchbench size --search', () => {
  // Coils, reservoirs and the rail on a short scenario; tests/slow/sizing.test.ts has the catalogue of the checkout.
  fileOf('short.yaml', 'title: Short\nstory: Invented.\nrows: 1\nseconds: 6\nseed: 1\nfield: { class: D }\n');
  const catalogue = fileOf(
    'quick.yaml',
    `title: Quick
scenario: ./short.yaml
choices:
  coil: { each: row, options: [{ cost: 1, coilOhm: 2.662, coilMh: 4.84, pullA: 1.191 }, { cost: 2, coilOhm: 3.168, coilMh: 5.76, pullA: 1.092 }] }
  reservoir: { each: machine, options: [{ cost: 70, reservoirUf: 68000, chargeOhm: 2 }, { cost: 140, reservoirUf: 150000, chargeOhm: 2 }] }
  rail: { each: machine, quantity: railNominalKpa, from: 110 bar, to: 180 bar, step: 0.5 bar }
  precharge: { each: row, quantity: prechargeAbsoluteKpa, from: 6 bar, to: 24 bar, step: 1 bar }
`,
  );
  const found = join(folder, 'found');
  const argv = ['size', 'default', '--search', catalogue, '--finalists', '1', '-o', found];

  it('reports the front and what simulation says about the finalists', async () => {
    const { out, err } = await latchbench(...argv, '--seed', '1', '--tries', '500');
    expect(err).toBe('');
    expect(out).toContain('500 of 25 560 designs tried with seed 1.');
    const failing = 'rail-margin, return-margin, load-sensor-margin, close-wait-error, reservoir-strokes';
    expect(out).toContain(`The search starts from a machine that fails 5 checks: ${failing}.`);
    expect(out).toMatch(/^default-[0-9a-f]{6}: (not )?confirmed by simulation(, (worse in|better only in) .+)?; .+\.yaml$/m);
    expect(out).toMatch(/^ {2}passes, where the machine fails: .*reservoir-strokes$/m);
    // The default number of runs, each with its own seed.
    expect(out).toMatch(/with its 1 row and\s2 seeds\./);
    expect(out).not.toContain('NaN');
    expect(out).toContain('Cautions');
    expect(out).toMatch(/\n1 finalist, [01] confirmed\.\n$/);
    expect(out).not.toContain(String.fromCharCode(27));
  });

  it('resumes where it stopped, and the machine file of a finalist sizes to its objectives', async () => {
    const { out } = await latchbench(...argv, '--seed', '1', '--tries', '700', '--json');
    const result = JSON.parse(out);
    expect([result.tries, result.seed]).toEqual([700, 1]);
    const [first] = result.finalists;
    expect(first.file).toBe(join(found, `${first.name}.yaml`));
    const sheet = JSON.parse((await latchbench('size', first.file, '--json')).out);
    expect([sheet.duty.bankW, sheet.oil.machineW]).toEqual([first.objectives.coilW, first.objectives.oilW]);
    // Only the price, the last objective, may be higher, since it passes checks that the machine fails.
    expect(first.gains.slice(0, -1).every((gain: number) => gain >= 0)).toBe(true);
    expect(first.gains.filter((gain: number) => gain > 0).length).toBeGreaterThanOrEqual(2);
    // It fails no check that the default machine passes.
    const failing = (checks: readonly { name: string; result: string }[]): string[] =>
      checks.filter((one) => one.result === 'fail').map(({ name }) => name);
    const failedByDefault = ['rail-margin', 'return-margin', 'load-sensor-margin', 'close-wait-error', 'reservoir-strokes'];
    expect(result.baseline.failing).toEqual(failedByDefault);
    expect(first.fixed).toContain('reservoir-strokes');
    expect([first.failing, first.failing.concat(first.fixed).sort()]).toEqual([failing(sheet.checks), [...failedByDefault].sort()]);
  });

  it('refuses the saved search of another seed, and other files of that name', async () => {
    const another = await latchbench(...argv, '--seed', '2');
    expect([another.status, another.out]).toEqual([2, '']);
    expect(another.err).toMatch(/search\.json:1:\d+: the saved search is for another seed \(1, not 2\)\. Choose another folder\./);
    const broken = join(folder, 'broken');
    mkdirSync(broken);
    writeFileSync(join(broken, 'search.json'), '{"seed": "one"}\n');
    const refused = await latchbench('size', 'default', '--search', 'row-hydraulics', '-o', broken);
    expect([refused.status, refused.out]).toEqual([2, '']);
    expect(refused.err).toMatch(/search\.json:1:\d+: /);
  });

  it('exits with 1 if no design is better', async () => {
    const worse = fileOf(
      'worse.yaml',
      'title: Worse\nscenario: ./short.yaml\nchoices:\n  valve: { each: row, options: [{ cost: 1, valveFlowLpm: 7.9 }] }\n',
    );
    const { status, out } = await latchbench('size', 'default', '--search', worse, '--runs', '1');
    expect(status).toBe(1);
    expect(out).toContain('No design beats the baseline.');
  });
});
