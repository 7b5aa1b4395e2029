import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench } from '../support/command.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

describe('latchbench fit', () => {
  it('fits to a recording and writes a parameter file, but not if the fit is no better', async () => {
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
    expect(out).toMatch(/rough\.mcap: 2 rows, 30 s; target: true gauge-wheel load, as recorded$/m);
    expect(out).toMatch(/^fitted weights +[\d.]+\n\nThe fitted weights are better by [\d.]+ %\.$/m);
    expect(out).toMatch(/^noAccelPressureTrend1Weight +4\.000 +-?\d\.\d{3}$/m);
    expect(out).toMatch(/^deadbandN +40 +\d+ +N$/m);
    const text = readFileSync(file, 'utf8');
    expect(text).toContain(`# Fitted to ${recording}\n# by latchbench fit --horizon-ms 1000 --ridge 1 --pulses 100 ${poor.join(' ')}\n`);
    expect(text).toMatch(/^deadbandMode: noise$/m);
    expect((await latchbench('parameters', file)).status).toBe(0);
    const again = await latchbench('fit', recording, '--parameters', file, '-o', never, '--json');
    expect([again.status, existsSync(never)]).toEqual([1, false]);
    expect(JSON.parse(again.out)).toMatchObject({ settings: { horizonMs: 1000 }, isBetter: false, recordings: [{ source: 'truth' }] });
  });
});
