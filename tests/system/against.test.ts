import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { BeforeAfter } from '../../host/review/before-after.js';
import { latchbench } from '../support/command.js';
import { withContract } from '../support/hostile-contracts.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

function file(name: string, text: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

const SCENARIO = file(
  'made-up.yaml',
  'title: Made up\nstory: Invented.\nrows: 1\nseconds: 4\nrequirements: [{ metric: meanLoadN, min: 900 }, { metric: peakCoilsA, min: 1 }]\n',
);
// The deadband adapts by default, so its fixed width has no effect.
const BEFORE = file('before.yaml', 'deadbandSigmas: 1\ndeadbandN: 50\n');

const simulate = (...words: string[]) => latchbench('simulate', SCENARIO, ...words);
const json = async (...words: string[]): Promise<BeforeAfter> => JSON.parse((await simulate(...words, '--json')).out);

describe('simulate --against a parameter file', () => {
  it('pairs both sides by seed, and finds out which parameters are used', async () => {
    const result = await json('--against', BEFORE, '--set', 'deadbandSigmas=4', '--seeds', '2');
    expect(result.seeds).toEqual([1, 2]);
    const uses = result.parameters.map(({ name, values, uses: { base, head } }) => [name, values.base, values.head, base, head]);
    expect(uses).toEqual([
      ['deadbandN', 50, 40, 'unused', 'unused'],
      ['deadbandSigmas', 1, 4, 'used', 'used'],
    ]);
    const pulses = result.metrics.find(({ name }) => name === 'pulsesPerMin');
    const [[b1 = 0, b2 = 0], [h1 = 0, h2 = 0]] = [pulses?.base ?? [], pulses?.head ?? []];
    const [d1, d2] = [h1 - b1, h2 - b2];
    // Of two values, the half width is t(0.975, 1) = 12.706 (a table of Student's t) times half their distance.
    expect(pulses?.difference.mean).toBeCloseTo((d1 + d2) / 2, 9);
    expect((pulses?.difference.ciHigh ?? 0) - (d1 + d2) / 2).toBeCloseTo(12.706 * Math.abs(d1 - d2) * 0.5, 2);
    expect(d1 + d2).toBeLessThan(0);
    // The runs are those of simulate.
    const alone = JSON.parse((await simulate('--set', 'deadbandSigmas=4', '--seed', '2', '--json')).out);
    expect(result.head.runs[1]?.hash).toBe(alone.runs[0].hash);
  });

  it('says so in text, with the requirements of both sides, and that one seed gives no interval', async () => {
    const { status, out } = await simulate('--against', BEFORE, '--metric', 'pulsesPerMin', '--metric', 'hydraulicW', '--units', 'us');
    expect(out).toMatch(/^deadbandN +50 +40 +N +NOT USED +NOT USED$/m);
    expect(out).toMatch(/^NO EFFECT in this scenario, with the strategy that runs: deadbandN\./m);
    expect(out).toMatch(/^One seed gives no interval/m);
    expect(out).toMatch(/^pulsesPerMin +mean +[\d.]+ +[\d.]+ +-?[\d.]+ +1\/min$/m);
    expect(out).toMatch(/^hydraulicW +bank +[\d.]+ +[\d.]+ +-?[\d.]+ +hp$/m);
    expect(out).not.toMatch(/^loadRmsN/m);
    expect(out).toMatch(/^meanLoadN, mean over rows: at least 202\.328 lbf +NOT MET: [\d.]+ lbf +NOT MET: [\d.]+ lbf$/m);
    expect(out).toMatch(/^peakCoilsA: at least 1 A +met: [\d.]+ A +met: [\d.]+ A$/m);
    expect(status).toBe(1);
  });

  it('cannot say whether a parameter is used that a rule binds to another one', async () => {
    const bound = file('bound.yaml', 'deadbandMinN: 90\ndeadbandMaxN: 95\n');
    const { parameters } = await json('--against', bound, '--set', 'deadbandMinN=30', '--set', 'deadbandMaxN=60');
    const minimum = parameters.find(({ name }) => name === 'deadbandMinN');
    expect(minimum?.uses.head).toEqual({
      unknown: expect.stringMatching(/^it cannot be changed alone: deadbandMinN must be <=? deadbandMaxN$/),
    });
  });

  it.each([
    [['--against', 'no-such.yaml'], /no-such\.yaml/],
    [['--against', 'no-such-commit'], /there is no commit, branch or tag "no-such-commit"/],
    [['--against', BEFORE, '-o', join(folder, 'never.mcap')], /^--output: cannot be combined with --against/],
    [['--metric', 'loadRms'], /^--metric: there is no metric "loadRms"; did you mean `loadRmsN`\?$/m],
    [['--units', 'us', '--json'], /^--units: cannot be combined with --json: the names in the document end in their units/],
  ])('refuses %j', async (words, message) => {
    const { status, err } = await simulate(...words);
    expect(err).toMatch(message);
    expect(status).toBe(2);
  });
});

describe('simulate --against a build', () => {
  it('finds no difference to the working tree itself', async () => {
    expect((await simulate('--against', '.')).out).toMatch(/^NOTHING DIFFERS: /m);
  });

  it('with another contract takes signals by name, and has no metrics of probes that are missing', async () => {
    const older = file(
      'older.wasm',
      withContract((contract) => {
        const probe = contract.records.find(({ name }: { name: string }) => name === 'RowProbe');
        probe.fields.find(({ name }: { name: string }) => name === 'waitTicks').name = 'waitedTicks';
      }),
    );
    const { base, head, metrics } = await json('--against', older);
    expect(base.controller.contractHash).not.toBe(head.controller.contractHash);
    expect(base.runs[0]?.hash).toBe(head.runs[0]?.hash);
    const wait = metrics.find(({ name }) => name === 'longestWaitMs');
    expect([wait?.base[0], wait?.head[0]]).toEqual([null, expect.any(Number)]);
    expect(metrics.find(({ name }) => name === 'strokesPerMin')?.difference.mean).toBe(0);
  });
});
