import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench } from '../support/command.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

describe('latchbench contest', () => {
  const json = async (...words: string[]) => JSON.parse((await latchbench('contest', 'target-step', ...words, '--json')).out);

  it('compares strategies and baselines with the same seeds, in text and as a picture', async () => {
    const file = join(folder, 'curves.svg');
    const words = ['--strategies', 'threshold,cascade,proportional,perfect', '--seeds', '2', '--scales', '0.7,2', '-o', file];
    const { status, out, err } = await latchbench('contest', 'target-step', ...words, '--at', '60,5000');
    expect([status, err]).toEqual([0, '']);
    expect(out).toContain('\nscenario target-step, machine default, seeds 1 to 2\n');
    expect(out).toMatch(/^threshold +0\.7 +[\d.]+ +[\d.]+ +± [\d.]+ +[\d.]+ +[\d.]+ +[\d.]+ +[\d.]+$/m);
    expect(out).toMatch(/^perfect +– +0 +[\d.]+ +± [\d.]+ +[\d.]+ +0 +0 +0$/m);
    expect(out).toMatch(/^ +60\.0 +threshold +[\d.]+ +[\d.]+ +reference$/m);
    expect(out).toMatch(/^ +60\.0 +cascade +[\d.]+ +[\d.]+ +[\d.]+ \[[\d.]+, [\d.]+\] +/m);
    expect(out).toMatch(/^ +5000 +cascade +not reached$/m);
    expect(readFileSync(file, 'utf8')).toMatch(/^<svg xmlns[\s\S]+>proportional<\/text>/);
  });

  it('finds no difference between two equal contenders, and gets the same runs as simulate', async () => {
    const file = join(folder, 'own.yaml');
    writeFileSync(file, 'strategy: threshold\n');
    const words = ['--parameters', file, '--parameters', `again=${file}`, '--seeds', '2', '--scales', '1,2'];
    const { sweeps, seeds, equalPulses, against } = await json(...words);
    expect([seeds, against]).toEqual([[1, 2], 'own']);
    expect(equalPulses).toHaveLength(3);
    for (const { contenders } of equalPulses) expect(contenders[1].metrics.loadRmsN.ratio).toEqual({ mean: 1, ciLow: 1, ciHigh: 1 });
    const single = JSON.parse((await latchbench('simulate', 'target-step', '--strategy', 'threshold', '--seed', '2', '--json')).out)
      .runs[0];
    expect(sweeps[1].points[0].runs[1].hash).toBe(single.hash);
  });
});
