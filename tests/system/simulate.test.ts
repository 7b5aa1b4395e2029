import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ROOT } from '../../host/common/project.js';
import { scenarioNames } from '../../host/simulate/scenario.js';
import { latchbench, temporaryFolder } from '../support/command.js';

const folder = temporaryFolder();

/** A short scenario of its own; returns its file. */
function scenarioFile(name: string, text: string): string {
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, `title: Made up\nstory: Invented.\nrows: 2\nseconds: 6\n${text}`);
  return file;
}

const json = (...words: string[]) => JSON.parse(latchbench('simulate', ...words, '--json').out);

describe('latchbench simulate', () => {
  it('runs every scenario of the checkout; all requirements are met', () => {
    const { status, out } = latchbench('simulate');
    const lines = out.split('\n');
    for (const name of scenarioNames()) expect(lines.find((line) => line.startsWith(`${name} `))).toMatch(/ passed$/);
    expect(out).toMatch(new RegExp(`${scenarioNames().length} scenarios: ${scenarioNames().length} passed, 0 failed; `));
    expect(status).toBe(0);
  }, 240_000);

  it('shows one run in detail: metrics, requirements, hash and speed', () => {
    const { status, out } = latchbench('simulate', 'target-step');
    expect(out).toMatch(/^The operator raises the target, then lowers it\nscenario target-step, machine default, seed 1, cascade\n/);
    expect(out).toMatch(/^loadRmsN +[\d.]+ +[\d.]+ +[\d.]+ +N$/m);
    expect(out).toMatch(/^bothOpenMs, .* met$/m);
    expect(out).toMatch(/^run hash [0-9a-f]{8}; 9\.0 s simulated in [\d.]+ s \([\d.]+ times real time\)$/m);
    expect(status).toBe(0);
  });

  it('gives the same hash for the same seed and another for another', () => {
    const hash = (...words: string[]): string => json('target-step', ...words).runs[0].hash;
    expect(hash()).toBe(hash());
    expect(hash('--seed', '2')).not.toBe(hash());
  });

  it('ends with 1 when a requirement fails, two-sided ones too', () => {
    const file = scenarioFile('strict', 'requirements: [{ metric: meanLoadN, min: 900, max: 1000 }]\n');
    const { status, out } = latchbench('simulate', file);
    expect(out).toMatch(/^meanLoadN, mean over rows: 900 to 1000 N .* NOT MET$/m);
    expect(status).toBe(1);
  });

  it('records all four kinds of message, and show and export read them', () => {
    const recording = join(folder, 'run.mcap');
    expect(latchbench('simulate', 'target-step', '-o', recording).status).toBe(0);
    const csv = latchbench('export', recording, '--signal', 'wheelN[2]', '--signal', 'loadN[2]', '--signal', 'distanceM', '--to', '9');
    expect(csv.out.split('\n')[0]).toBe('time_s,tick,wheelN[2],loadN[2],distanceM');
    expect(csv.out.trimEnd().split('\n')).toHaveLength(11);
    expect(latchbench('show', recording, '--row', '2').status).toBe(0);
  });

  it('runs several seeds in workers, alike to one by one', () => {
    const many = json('target-step', '--seeds', '3');
    expect(many.runs.map(({ seed }: { seed: number }) => seed)).toEqual([1, 2, 3]);
    expect(many.runs[1].hash).toBe(json('target-step', '--seed', '2').runs[0].hash);
    expect(latchbench('simulate', 'target-step', '--seeds', '2').out).toMatch(/^loadRmsN +mean +[\d.]+ +[\d.]+ +N /m);
  });

  it('takes single parameters, a strategy, and the baselines that never ship', () => {
    const pulses = (...words: string[]): number => json('class-d-reference', ...words).runs[0].metrics.over.pulsesPerMin.mean;
    expect(pulses('--set', 'deadbandMode=fixed', '--set', 'deadbandN=300')).toBeLessThan(0.5 * pulses());
    expect(latchbench('simulate', 'target-step', '--strategy', 'threshold').out).toContain('seed 1, threshold\n');
    const metrics = (strategy: string) => json('class-d-reference', '--strategy', strategy).runs[0].metrics.over;
    const perfect = metrics('perfect');
    const proportional = metrics('proportional');
    expect([perfect.pulsesPerMin.max, proportional.pulsesPerMin.max]).toEqual([0, 0]);
    // Measured 30 N and 67 N, 7.2 W and 2.6 W; better is as suspicious as worse.
    expect(perfect.loadRmsN.mean).toBeGreaterThan(20);
    expect(perfect.loadRmsN.mean).toBeLessThan(45);
    expect(proportional.loadRmsN.mean).toBeGreaterThan(45);
    expect(proportional.loadRmsN.mean).toBeLessThan(90);
    // 12 V times 0.57 A, and 8 ohm times its square (common practice, no source): 6.2 to 7.0 W and 2.3 to 2.8 W.
    expect(proportional.coilW.mean).toBeGreaterThan(6);
    expect(proportional.coilW.mean).toBeLessThan(8);
    expect(proportional.coilLossW.mean).toBeGreaterThan(2.2);
    expect(proportional.coilLossW.mean).toBeLessThan(2.9);
  });

  it('makes a vector of a run that replays the same; after a restart it begins there', () => {
    const name = join(folder, 'a-restart');
    const file = scenarioFile('restart', 'events: [{ atS: 2, what: restart }]\n');
    expect(latchbench('simulate', file, '--record-case', name, '--by', 'A. Reviewer', '--reason', 'First').status).toBe(0);
    const { status, out } = latchbench('replay', name);
    expect(out).toMatch(/^a-restart +2 +4 000 +same/m);
    expect(status).toBe(0);
  });

  it.each([
    ['no rows', 'rows: 0\nseconds: 6\n', /:3:7: rows is 0; it must be between 1 and 48/],
    ['an unknown key', 'rows: 2\nseconds: 6\nseeds: 3\n', /:5:1: unknown key `seeds`; did you mean `seed`\?/],
    ['a unit of another kind', 'rows: 2\nseconds: 6\nstartKpa: 12 mm\n', /:5:11: startKpa "12 mm" — allowed: .*bar/],
    [
      'faults of one kind that overlap',
      'rows: 2\nseconds: 6\nevents:\n  - { atS: 1, forS: 2, what: load-offset, row: 1 }\n  - { atS: 2, forS: 2, what: load-offset, row: 1 }\n',
      /:7:\d+: .*allowed: /,
    ],
  ])('refuses %s with file, line and column, and writes nothing', (_, text, words) => {
    const file = join(folder, 'bad.yaml');
    writeFileSync(file, `title: Made up\nstory: Invented.\n${text}`);
    const out = join(folder, 'never.mcap');
    const { status, err } = latchbench('simulate', file, '-o', out);
    expect(err).toMatch(words);
    expect([status, existsSync(out)]).toEqual([2, false]);
  });

  it.each([
    [
      ['--strategy', 'fuzzy'],
      /--strategy: the strategy is "fuzzy"; it must be one of threshold, cascade, predictive, proportional, perfect/,
    ],
    [['--set', 'deadbandN'], /--set: the setting is "deadbandN"; it must be name=value/],
    [['--set', 'deadbandN=-3'], /deadbandN is -3; it must be /],
    [['--record-case', 'x'], /--by NAME --reason TEXT/],
  ])('refuses %j', (words, message) => {
    const { status, err } = latchbench('simulate', 'target-step', ...words);
    expect(err).toMatch(message);
    expect(status).toBe(2);
  });

  it('never writes over what it reads, the machine and a height profile included', () => {
    const own = scenarioFile('own', '');
    const before = readFileSync(own);
    const machine = join(ROOT, 'vectors/machines/default.yaml');
    const profile = readdirSync(join(ROOT, 'vectors/scenarios/profiles'))[0] ?? '';
    const refused = [
      latchbench('simulate', own, '-o', own),
      latchbench('simulate', own, '-o', machine),
      latchbench('simulate', 'recorded-profile', '-o', join(ROOT, 'vectors/scenarios/profiles', profile)),
    ];
    for (const { status, err } of refused) expect([status, err]).toEqual([2, expect.stringContaining('the output file is also an input')]);
    expect(readFileSync(own)).toEqual(before);
  });

  it('refuses an event of an accelerometer that the machine does not have', () => {
    const file = scenarioFile('unfitted', 'events: [{ atS: 1, what: acceleration-sensor-open, row: 1 }]\n');
    expect(latchbench('simulate', file).err).toMatch(
      /:5:26: event "acceleration-sensor-open" — allowed: a machine with an accelerometer, and default has none/,
    );
  });

  it('refuses a machine whose precharge is above the rail, or an area below zero', () => {
    const machine = join(folder, 'machine.yaml');
    writeFileSync(join(folder, 'on-machine.yaml'), 'title: t\nstory: Invented.\nmachine: ./machine.yaml\nrows: 1\nseconds: 5\n');
    writeFileSync(machine, 'title: t\nnote: Invented.\naccumulator: { prechargeAbsoluteKpa: 180 bar }\n');
    const above = latchbench('simulate', join(folder, 'on-machine.yaml'));
    expect(above.err).toMatch(/machine\.yaml:3:\d+: .*180 bar.*allowed: /);
    writeFileSync(machine, 'title: t\nnote: Invented.\nactuator: { capAreaCm2: -1 }\n');
    const negative = latchbench('simulate', join(folder, 'on-machine.yaml'));
    expect(negative.err).toMatch(/machine\.yaml:3:\d+: capAreaCm2 -1 — allowed: /);
    expect([above.status, negative.status]).toEqual([2, 2]);
  });

  it('says in its help that the model is an aid', () => {
    expect(latchbench('simulate', '--help').out.replace(/\s+/g, ' ')).toContain('estimates of an invented machine');
  });
});
