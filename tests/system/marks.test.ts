import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { latchbench, latchbenchIn } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const SCENARIO = join(folder, 'events.yaml');
const RECORDING = join(folder, 'events.mcap');
writeFileSync(
  SCENARIO,
  [
    'title: Events\nstory: Invented.\nrows: 2\nseconds: 5\nparameters: { strategy: cascade }\ndrive:',
    '  - { atS: 0, targetLoadN: 450 }\n  - { atS: 1.5, targetLoadN: 700 }\n  - { atS: 3, lowered: false }\n  - { atS: 4, lowered: true }',
    'events:\n  - { atS: 0.5, what: load-sensor-open, row: 2, forS: 2 }\n  - { atS: 2, forS: 0.5, what: rail-loss, leftRatio: 0.5 }',
    'requirements:\n  - { fault: loadOpen, row: 2, never: true }\n  - { metric: meanLoadN, min: 2000 }\n  - { metric: peakCoilsA, min: 0 }\n',
  ].join('\n'),
);

describe('what happens in a recorded scenario', () => {
  it('is shown at its ticks: inputs, events, faults by name, and requirements that are not met', async () => {
    expect((await latchbench('simulate', SCENARIO, '-o', RECORDING)).status).toBe(1);
    const { out } = await latchbench('show', RECORDING, '--row', '2', '--signal', 'faults', '--signal', 'input.lowered');
    expect(out).toMatch(/^ {2}faults +loadOpen /m);
    expect(out).toMatch(/^ {2}tick 500 \(0\.500 s\) +row 2 +event +load-sensor-open, until tick 2500 \(2\.500 s\)$/m);
    expect(out).toMatch(/^ {2}tick 1500 \(1\.500 s\) +bank +input +target 450 → 700 N$/m);
    expect(out).toMatch(/^ {2}tick 2000 \(2\.000 s\) +bank +event +rail-loss leftRatio 0\.5, until tick 2500 \(2\.500 s\)$/m);
    expect(out).toMatch(/^ {2}tick 3000 \(3\.000 s\) +bank +input +lifted$/m);
    expect(out).toMatch(/^ {2}tick 4000 \(4\.000 s\) +bank +input +lowered$/m);
    const [, setAt = ''] = /^ {2}tick (\d+) \([\d.]+ s\) +row 2 +faults +loadOpen$/m.exec(out) ?? [];
    expect(out).toMatch(new RegExp(`^ {2}tick ${setAt} .* row 2 +requirement +not met: loadOpen of row 2 never set; set at `, 'm'));
    expect(out).toMatch(/^ {2}tick 0 \(0\.000 s\) +bank +requirement +not met: meanLoadN, mean over rows: at least 2000 N; \d/m);
    expect(out).not.toContain('peakCoilsA');
  });

  it('is shown only in the part and for the row, in US units if chosen', async () => {
    const { out } = await latchbench('show', RECORDING, '--row', '1', '--from', '1', '--to', '1999t', '--units', 'us');
    expect(out).toMatch(/^ {2}tick 1500 \(1\.500 s\) +bank +input +target 101 → 157 lbf$/m);
    expect(out).toMatch(/^ {2}loadN +[\d.-]+ … [\d.]+ lbf /m);
    expect(out).toContain('not met: meanLoadN, mean over rows: at least 449.618 lbf;');
    expect(out).not.toMatch(/load-sensor-open|rail-loss|lifted/);
    expect(out).toMatch(/^ +1 s +1\.9+8?[\d.]* s$|^ +1 s +2\.0+ s$/m);
  });

  it('is drawn in lanes', async () => {
    const file = join(folder, 'events.svg');
    expect((await latchbench('plot', RECORDING, '--row', '2', '-o', file)).status).toBe(0);
    const svg = readFileSync(file, 'utf8');
    for (const words of ['rail-loss leftRatio 0.5', 'row 2: load-sensor-open', 'lifted', 'target 450 → 700 N'])
      expect(svg).toContain(`<title>${words}</title>`);
    for (const lane of ['inputs', 'events', 'not met']) expect(svg).toContain(`>${lane}</text>`);
    // 860 columns for 5 s, after a margin of 82: 2 s to 2.5 s.
    expect(svg).toMatch(/<rect class="mode" x="426" y="\d+" width="86" height="11"><title>rail-loss leftRatio 0\.5<\/title>/);
  });

  it('stays with a vector that is made of it', async () => {
    const words = ['simulate', SCENARIO, '--record-vector', 'with-events', '--by', 'A. Reviewer', '--reason', 'First'];
    const { out, status } = await latchbenchIn({ ...PROJECT, vectors: folder }, words);
    expect(out).toMatch(/^vector +strategy +accepted /);
    expect(status).toBe(0);
    const shown = await latchbench('show', join(folder, 'with-events'), '--row', '2');
    expect(shown.out).toMatch(/^ {2}tick 500 \(0\.500 s\) +row 2 +event +load-sensor-open, /m);
    expect(shown.out).not.toContain('not met');
  });
});
