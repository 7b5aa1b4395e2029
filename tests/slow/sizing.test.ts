import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { sizeMachine } from '../../host/sizing/size-machine.js';
import { machineFrom, notFinite, PARTS, sizeArbitraryMachines } from '../support/arbitrary-machine.js';
import { latchbench } from '../support/command.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

function fileOf(name: string, text: string): string {
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
}

describe('any machine', () => {
  it('is refused with an InputError, or has finite values and a result for each check', () => sizeArbitraryMachines(500, folder));

  it('is finite at each limit of each quantity', () => {
    let accepted = 0;
    for (const part of PARTS)
      for (const { name, min, max } of part.quantities)
        for (const value of [min, max]) {
          const machine = machineFrom({ title: 'Made up', [part.name]: { [name]: value } }, folder);
          if (machine === undefined) continue;
          accepted += 1;
          expect(notFinite(sizeMachine(machine)), `${name} ${value}`).toEqual([]);
        }
    expect(accepted).toBeGreaterThan(200);
  });
});

describe('a search of the catalogue in the checkout', () => {
  const argv = ['size', 'default', '--search', 'row-hydraulics', '--finalists', '2', '-o', join(folder, 'found')];

  it('finds a design that passes more checks than the default machine, and simulation confirms it', async () => {
    const { status, out } = await latchbench(...argv, '--tries', '4000');
    expect(status).toBe(0);
    expect(out).toMatch(/^default-[0-9a-f]{6}: confirmed by simulation; /m);
    expect(out).toContain('  passes, where the machine fails: rail-margin, reservoir-strokes\n');
    expect(out).toMatch(/\n1 finalist, 1 confirmed\.\n$/);
  });

  it('goes on where it stopped', async () => {
    const { out } = await latchbench(...argv, '--tries', '4100', '--json');
    expect(JSON.parse(out).tries).toBe(4100);
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

  it('in the default duty, its oil and its rebound heat, on class D at 3 m/s', async () => {
    const scenario = fileOf('default-duty.yaml', 'title: D\nstory: Invented.\nrows: 8\nseconds: 60\nseed: 102\nfield: { class: D }\n');
    const { over } = JSON.parse((await latchbench('simulate', scenario, '--json')).out).runs[0].metrics;
    const sheet = JSON.parse((await latchbench('size', 'default', '--json')).out);
    expectClose(sheet.input.dutyPulsesPerMin, over.pulsesPerMin.mean);
    expectClose(sheet.oil.rowLpm, over.oilLpm.mean);
    expect(sheet.heat.reboundW / over.reboundW.mean).toBeGreaterThan(1 / 1.4);
    expect(sheet.heat.reboundW / over.reboundW.mean).toBeLessThan(1.4);
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
