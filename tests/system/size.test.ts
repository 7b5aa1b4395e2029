import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench, snapshot, temporaryFolder } from '../support/command.js';

const folder = temporaryFolder();

function fileOf(name: string, text: string): string {
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
}

describe('latchbench size', () => {
  it.each([
    ['research-8-row', 1, ['FAIL  resonance: ']],
    ['field-24-row', 0, ['marginal  stroke-life: ']],
    ['wide-48-row', 1, ['FAIL  reservoir: ', 'marginal  pump: ', 'marginal  last-row-voltage: ']],
  ])('%s exits with %d and shows what does not pass', async (name, code, words) => {
    const { status, out, err } = await latchbench('size', name);
    expect([status, err]).toEqual([code, '']);
    for (const word of words) expect(out).toContain(`\n${word}`);
    expect(out).not.toContain(String.fromCharCode(27));
  });

  it('prints one JSON document in SI, regardless of --units', async () => {
    const [si, us] = [await latchbench('size', 'default', '--json'), await latchbench('size', 'default', '--json', '--units', 'us')];
    expect([si.status, si.err]).toEqual([1, '']);
    expect(us.out).toBe(si.out);
    const said = JSON.parse(si.out);
    expect(said).toMatchObject({ machine: 'default', rowCount: 24, input: { railNominalKpa: 15000 }, deadbandN: 80 });
    expect([said.checks.length, said.supplyBudgets.length, said.strokes.length]).toEqual([30, 3, 9]);
  });

  it('shows US customary units', async () => {
    const { out } = await latchbench('size', 'default', '--units', 'us');
    expect(out).toMatch(/^ {2}typical working pressure +650\.2 psi$/m);
    expect(out).toMatch(/^ {2}working width +60\.00 ft$/m);
  });

  it('takes another duty from --spm, two strokes per pulse', async () => {
    const at = async (...words: string[]) => JSON.parse((await latchbench('size', 'default', '--json', ...words)).out);
    const [full, half] = [await at(), await at('--spm', '110')];
    expect([full.duty.strokesPerMinPerRow, half.duty.strokesPerMinPerRow, half.input.dutyPulsesPerMin]).toEqual([220, 110, 55]);
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
    ['a quantity out of range', [bad, '--html', never], /bad\.yaml:2:21: rowHoseMm 1 — allowed: a number from 2 to 30 mm/],
    ['an unknown machine', ['wide-49-row', '--html', never], /machine "wide-49-row" — allowed: one of .*wide-48-row/],
    ['a missing file', [join(folder, 'no.yaml')], /no\.yaml: no such file/],
    ['a page that would overwrite the machine', [own, '--html', own], /the output file is also an input/],
    ['an unknown system of units', ['default', '--units', 'imperial'], /imperial/],
    ['a negative duty', ['default', '--spm', '-1'], /-1/],
    ['no machine', [], /machine/],
    ['an unknown catalogue', ['default', '--search', 'row-hydraulic'], /catalogue "row-hydraulic" — allowed: .*row-hydraulics/],
    ['a page with a search', ['default', '--search', 'row-hydraulics', '--html', never], /--html: cannot be combined with --search/],
    ['a folder without a search', ['default', '-o', never], /--output: needs --search/],
    ['two results in one file', ['default', '--html', never, '--drawings', never], /file for two results/],
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
    expect(JSON.parse(out).error).toMatchObject({ line: 2, column: 21, what: 'rowHoseMm' });
  });
});

describe('latchbench size --search', () => {
  const found = join(folder, 'found');
  const words = ['size', 'default', '--search', 'row-hydraulics', '--finalists', '2', '-o', found];

  it('finds a design that beats the default machine, and simulation confirms it', async () => {
    const { status, out, err } = await latchbench(...words, '--tries', '6000');
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(/^default-[0-9a-f]{6}: confirmed by simulation, /m);
    expect(out).toContain('Cautions');
    expect(out).toMatch(/\n2 finalists, [12] confirmed\.\n$/);
    expect(out).not.toContain(String.fromCharCode(27));
  });

  it('resumes where it stopped, and the machine file of a finalist sizes to its objectives', async () => {
    const { status, out } = await latchbench(...words, '--tries', '6500', '--runs', '1', '--json');
    const said = JSON.parse(out);
    expect([status, said.tries, said.seed]).toEqual([0, 6500, 1]);
    const [first] = said.finalists;
    expect(first.file).toBe(join(found, `${first.name}.yaml`));
    const sheet = JSON.parse((await latchbench('size', first.file, '--json')).out);
    expect([sheet.duty.bankW, sheet.oil.machineW]).toEqual([first.objectives.coilW, first.objectives.oilW]);
    expect(first.gains.every((gain: number) => gain >= 0)).toBe(true);
    expect(first.gains.filter((gain: number) => gain > 0).length).toBeGreaterThanOrEqual(2);
    // It fails no check that the default machine passes.
    const failing = (checks: readonly { name: string; result: string }[]): string[] =>
      checks.filter(({ result }) => result === 'fail').map(({ name }) => name);
    expect(['reservoir']).toEqual(expect.arrayContaining(failing(sheet.checks)));
  });

  it('refuses the saved search of another seed, and other files of that name', async () => {
    const another = await latchbench(...words, '--seed', '2');
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
    const catalogue = fileOf(
      'worse.yaml',
      'title: Worse\nscenario: target-step\nchoices:\n  valve: { each: row, options: [{ cost: 1, valveFlowLpm: 7.9 }] }\n',
    );
    const { status, out } = await latchbench('size', 'default', '--search', catalogue);
    expect(status).toBe(1);
    expect(out).toContain('No design beats the baseline.');
  });
});

/** Simulates a scenario and returns the samples of some signals. */
async function recordOf(name: string, text: string, signals: readonly string[]): Promise<Record<string, number>[]> {
  const scenario = fileOf(`${name}.yaml`, `title: Made up\nstory: Invented.\nrows: 1\n${text}`);
  const [recording, csv] = [join(folder, `${name}.mcap`), join(folder, `${name}.csv`)];
  expect((await latchbench('simulate', scenario, '-o', recording)).status).toBe(0);
  const flags = signals.flatMap((signal) => ['--signal', `${signal}[1]`]);
  expect((await latchbench('export', recording, ...flags, '-o', csv)).status).toBe(0);
  const [, ...lines] = readFileSync(csv, 'utf8').trimEnd().split('\n');
  const names = ['timeS', 'tick', ...signals];
  // A column is empty until its first message.
  return lines.map((one) => Object.fromEntries(one.split(',').map((cell, index) => [names[index] ?? '', Number(cell)])));
}

/** Within 15 %, the accuracy of closed forms on mean values. */
function expectClose(sheet: number, simulated: number): void {
  expect(sheet / simulated).toBeGreaterThan(0.85);
  expect(sheet / simulated).toBeLessThan(1.15);
}

describe('the sheet agrees with a simulation of the same machine', () => {
  it('in oil and coil power at the same duty', async () => {
    const record = await recordOf('duty', 'seconds: 60\nseed: 102\nfield: { class: D }\n', [
      'supplyOpening',
      'returnOpening',
      'oilMl',
      'coilJ',
    ]);
    const last = record.at(-1) ?? {};
    const minutes = ((last.timeS ?? 0) + 0.001) / 60;
    const openings = (name: string): number =>
      record.filter((one, tick) => (one[name] ?? 0) > 0.5 && !((record[tick - 1]?.[name] ?? 0) > 0.5)).length;
    const [supply, returns] = [openings('supplyOpening'), openings('returnOpening')];
    const openMs = record.reduce((sum, one) => sum + (one.supplyOpening ?? 0), 0) / supply;
    const pulses = (supply + returns) / minutes;
    expect(pulses).toBeGreaterThan(40);
    const machine = fileOf('same.yaml', `title: Same\naccelerometer: none\nreservoir: none\nwork: { dutyOpenMs: ${openMs} }\n`);
    const { oil, duty } = JSON.parse((await latchbench('size', machine, '--spm', String(2 * pulses), '--json')).out);
    expectClose(oil.rowLpm, (last.oilMl ?? 0) / 1000 / minutes);
    expectClose(duty.rowW, (last.coilJ ?? 0) / minutes / 60);
  });

  it('in slew at the typical working pressure, up and down', async () => {
    const still = 'field: { class: A, stoneEveryM: 0, soilMinN: 600, soilMaxN: 601, soilNoiseRatio: 0 }\n';
    const drive = 'drive:\n  - { atS: 0, targetLoadN: 300 }\n  - { atS: 6, targetLoadN: 1100 }\n  - { atS: 11, targetLoadN: 300 }\n';
    const record = await recordOf('slew', `seconds: 15\nseed: 1\n${still}${drive}`, ['chamberKpa', 'supplyOpening', 'returnOpening']);
    const { slew } = JSON.parse((await latchbench('size', 'default', '--json')).out);
    const at = slew.typical.chamberKpa;
    // 25 ms on either side of the crossing, with the valve open all the time.
    const HALF_TICKS = 25;
    const rates = (valve: string): number[] =>
      record.flatMap((one, tick) => {
        const [before, next, after] = [record[tick - HALF_TICKS], record[tick + 1], record[tick + HALF_TICKS]];
        if (before === undefined || next === undefined || after === undefined) return [];
        const crosses = ((one.chamberKpa ?? 0) - at) * ((next.chamberKpa ?? 0) - at) <= 0;
        const isOpen = record.slice(tick - HALF_TICKS, tick + HALF_TICKS + 1).every((some) => (some[valve] ?? 0) > 0.98);
        return crosses && isOpen ? [Math.abs((after.chamberKpa ?? 0) - (before.chamberKpa ?? 0)) / 100 / ((2 * HALF_TICKS) / 1000)] : [];
      });
    const [up, down] = [rates('supplyOpening'), rates('returnOpening')];
    expect(up.length).toBeGreaterThan(0);
    expect(down.length).toBeGreaterThan(0);
    expectClose(slew.typical.upBarPerS, up[0] ?? 0);
    expectClose(slew.typical.downBarPerS, down[0] ?? 0);
  });
});
