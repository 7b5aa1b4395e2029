import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench, latchbenchIn } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

/** Writes a short scenario; returns its file. */
function scenarioFile(name: string, text: string): string {
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, `title: Made up\nstory: Invented.\nrows: 2\nseconds: 6\n${text}`);
  return file;
}

const json = async (...words: string[]) => JSON.parse((await latchbench('simulate', ...words, '--json')).out);

describe('latchbench simulate', () => {
  it('prints one line per scenario when there are several', async () => {
    const { status, out } = await latchbench('simulate', 'target-step', 'cold-oil');
    for (const name of ['target-step', 'cold-oil']) expect(out).toMatch(new RegExp(`^${name} .* met$`, 'm'));
    expect(out).toMatch(/^2 scenarios: 2 met, 0 not met; /m);
    expect(status).toBe(0);
  });

  it('shows one run in detail: metrics, requirements, hash and speed', async () => {
    const { status, out } = await latchbench('simulate', 'target-step');
    expect(out).toMatch(/^The operator raises the target, then lowers it\nscenario target-step, machine default, seed 1, cascade\n/);
    expect(out).toMatch(/^loadRmsN +[\d.]+ +[\d.]+ +[\d.]+ +N$/m);
    expect(out).toMatch(/^bothOpenMs, .* met$/m);
    expect(out).toMatch(/^run hash [0-9a-f]{8}; 9\.0 s simulated in [\d.]+ s \([\d.]+ times real time\)$/m);
    expect(status).toBe(0);
  });

  it('gives equal hashes for equal seeds, and different hashes for different seeds', async () => {
    const hash = async (...words: string[]): Promise<string> => (await json('target-step', ...words)).runs[0].hash;
    const first = await hash();
    expect(await hash()).toBe(first);
    expect(await hash('--seed', '2')).not.toBe(first);
  });

  it('ends with exit code 1 when a requirement is not met', async () => {
    const file = scenarioFile('strict', 'requirements: [{ metric: meanLoadN, min: 900, max: 1000 }]\n');
    const { status, out } = await latchbench('simulate', file);
    expect(out).toContain('seed 1, predictive\n');
    expect(out).toMatch(/^meanLoadN, mean over rows: 900 to 1000 N .* NOT MET$/m);
    expect(status).toBe(1);
  });

  it('records all kinds of messages, which show and export can read', async () => {
    const recording = join(folder, 'run.mcap');
    expect((await latchbench('simulate', 'target-step', '-o', recording)).status).toBe(0);
    const csv = await latchbench(
      'export',
      recording,
      '--signal',
      'wheelN[2]',
      '--signal',
      'loadN[2]',
      '--signal',
      'distanceM',
      '--to',
      '9t',
    );
    expect(csv.out.split('\n')[0]).toBe('time_s,tick,wheelN[2],loadN[2],distanceM');
    expect(csv.out.trimEnd().split('\n')).toHaveLength(11);
    expect((await latchbench('show', recording, '--row', '2')).status).toBe(0);
  });

  it('runs several seeds in workers with the same results as one by one', async () => {
    const many = await json('target-step', '--seeds', '3');
    expect(many.runs.map(({ seed }: { seed: number }) => seed)).toEqual([1, 2, 3]);
    expect(many.runs[1].hash).toBe((await json('target-step', '--seed', '2')).runs[0].hash);
    expect((await latchbench('simulate', 'target-step', '--seeds', '2')).out).toMatch(/^loadRmsN +mean +[\d.]+ +[\d.]+ +N /m);
  });

  it('takes single parameters, a strategy or a baseline', async () => {
    const pulses = async (...words: string[]): Promise<number> =>
      (await json('target-step', ...words)).runs[0].metrics.over.pulsesPerMin.mean;
    expect(await pulses('--set', 'deadbandMode=fixed', '--set', 'deadbandN=300')).toBeLessThan(0.5 * (await pulses()));
    expect((await latchbench('simulate', 'target-step', '--strategy', 'threshold')).out).toContain('seed 1, threshold\n');
    const perfect = await latchbench('simulate', 'target-step', '--strategy', 'perfect');
    expect(perfect.out).toContain('seed 1, perfect (baseline, never ships)\n');
  });

  it('makes a vector of a run, from its last restart on, that replays the same', async () => {
    const name = join(folder, 'a-restart');
    const project = { ...PROJECT, vectors: folder };
    const file = scenarioFile('restart', 'events: [{ atS: 2, what: restart }]\n');
    const words = ['simulate', file, '--record-vector', 'a-restart', '--by', 'A. Reviewer', '--reason', 'First'];
    expect((await latchbenchIn(project, words)).status).toBe(0);
    const { status, out } = await latchbench('replay', name);
    expect(out).toMatch(/^a-restart +2 +4000 +predictive +same/m);
    expect(status).toBe(0);
  });

  it.each([
    ['no rows', 'rows: 0\nseconds: 6\n', /:3:7: rows is 0; it must be between 1 and 48/],
    ['an unknown key', 'rows: 2\nseconds: 6\nseeds: 3\n', /:5:1: unknown key `seeds`; did you mean `seed`\?/],
    [
      'a unit of another kind',
      'rows: 2\nseconds: 6\nstartKpa: 12 mm\n',
      /:5:11: startKpa is "12 mm"; it must be between 0 and 40000 kPa, .*bar/,
    ],
    [
      'overlapping faults',
      'rows: 2\nseconds: 6\nevents:\n  - { atS: 1, forS: 2, what: load-offset, row: 1 }\n  - { atS: 2, forS: 2, what: load-offset, row: 1 }\n',
      /:7:\d+: load-offset of row 1 overlaps with load-offset in events\[0\]/,
    ],
  ])('refuses %s with file, line and column, and writes nothing', async (_, text, words) => {
    const file = join(folder, 'bad.yaml');
    writeFileSync(file, `title: Made up\nstory: Invented.\n${text}`);
    const out = join(folder, 'never.mcap');
    const { status, err } = await latchbench('simulate', file, '-o', out);
    expect(err).toMatch(words);
    expect([status, existsSync(out)]).toEqual([2, false]);
  });

  it.each([
    [
      ['--strategy', 'fuzzy'],
      /--strategy: the strategy is "fuzzy"; it must be one of threshold, cascade, predictive, proportional, perfect/,
    ],
    [['--set', 'deadbandN'], /--set: the setting is "deadbandN"; it must be name=value/],
    [['--set', 'deadbandN=-3'], /^--set deadbandN=-3: deadbandN is -3; it must be /],
    [['--set', 'foo=1'], /^--set foo=1: unknown parameter `foo`; .* `latchbench parameters` lists them all\.$/m],
    [['--record-vector', 'x'], /^--record-vector: needs --by: who accepts the new vector\.$/m],
  ])('refuses %j', async (words, message) => {
    const { status, err } = await latchbench('simulate', 'target-step', ...words);
    expect(err).toMatch(message);
    expect(status).toBe(2);
  });

  it('never overwrites its input, including machine and height profile', async () => {
    const own = scenarioFile('own', '');
    const before = readFileSync(own);
    const machine = join(PROJECT.root, 'vectors/machines/default.yaml');
    const profile = readdirSync(join(PROJECT.root, 'vectors/scenarios/profiles'))[0] ?? '';
    const refused = [
      await latchbench('simulate', own, '-o', own),
      await latchbench('simulate', own, '-o', machine),
      await latchbench('simulate', 'recorded-profile', '-o', join(PROJECT.root, 'vectors/scenarios/profiles', profile)),
    ];
    for (const { status, err } of refused) expect([status, err]).toEqual([2, expect.stringContaining('the output file is also an input')]);
    expect(readFileSync(own)).toEqual(before);
  });

  it('refuses an accelerometer event for a machine without one', async () => {
    const file = scenarioFile('unfitted', 'events: [{ atS: 1, what: acceleration-tilt, row: 1, tiltDeg: 5 }]\n');
    expect((await latchbench('simulate', file)).err).toMatch(
      /:5:26: acceleration-tilt needs an accelerometer, and the machine default has none\./,
    );
  });

  it('refuses a machine with a precharge above the rail, or a negative area', async () => {
    const machine = join(folder, 'machine.yaml');
    writeFileSync(join(folder, 'on-machine.yaml'), 'title: t\nstory: Invented.\nmachine: ./machine.yaml\nrows: 1\nseconds: 5\n');
    writeFileSync(machine, 'title: t\nnote: Invented.\naccumulator: { prechargeAbsoluteKpa: 180 bar }\n');
    const above = await latchbench('simulate', join(folder, 'on-machine.yaml'));
    expect(above.err).toMatch(/machine\.yaml:3:\d+: prechargeAbsoluteKpa is 18000, but railNominalKpa is 15000\./);
    writeFileSync(machine, 'title: t\nnote: Invented.\nactuator: { capAreaCm2: -1 }\n');
    const negative = await latchbench('simulate', join(folder, 'on-machine.yaml'));
    expect(negative.err).toMatch(/machine\.yaml:3:\d+: actuator\.capAreaCm2 is -1; it must be between /);
    expect([above.status, negative.status]).toEqual([2, 2]);
  });

  it('states in its help that the model is an aid', async () => {
    expect((await latchbench('simulate', '--help')).out.replace(/\s+/g, ' ')).toContain('estimates for an invented machine');
  });
});
