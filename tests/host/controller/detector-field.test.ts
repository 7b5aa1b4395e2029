import { describe, expect, it } from 'vitest';
import { runField } from '../../support/field-log.js';
import { HandRow } from '../../support/hand-row.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

describe('a load sensor with an offset, in the field', () => {
  it.each([
    [600, 'loadHigh'],
    [-150, 'loadLow'],
  ])('of %d N sets %s within 15 s, in its row and nowhere else', (offsetN, fault) => {
    const events = [{ atS: 5, what: 'load-offset', row: 2, offsetN }];
    const { changes } = runField(folder, `offset-${fault}`, { events, seconds: 20, seed: 700 });
    const set = changes.filter(({ what }) => what.startsWith('load') && what.endsWith(' set'));
    expect(new Set(set.map(({ row, what }) => `${row} ${what}`))).toEqual(new Set([`2 ${fault} set`]));
    expect(set[0]?.tick).toBeGreaterThan(5015);
    expect(set[0]?.tick).toBeLessThan(20_000);
  });
});

describe('a missed open, in the field', () => {
  it.each([
    ['supply', 701],
    ['return', 702],
  ] as const)('of a %s valve is reported for a second; its pulse ends within 60 ms and is tried again', (valve, seed) => {
    const events = [{ atS: 8, what: 'missed-opens', row: 2, valve, count: 1 }];
    const { changes, strokes, missed } = runField(folder, `open-${valve}`, { events, seconds: 14, seed });
    expect(missed).toHaveLength(1);
    const at = missed[0]?.tick ?? Number.NaN;
    const after = strokes.filter(({ row, tick }) => row === 2 && tick >= at);
    expect(after.slice(0, 2).map(({ valve: which, order }) => `${which} ${order}`)).toEqual([`${valve} open`, `${valve} close`]);
    // The frame moves too, so the close may be repeated before.
    expect(after.slice(2).find(({ order }) => order === 'open')?.valve).toBe(valve);
    const closedMs = (after[1]?.tick ?? Number.NaN) - at;
    expect(closedMs).toBeGreaterThan(5);
    expect(closedMs).toBeLessThanOrEqual(60);
    const reported = changes.filter(({ tick }) => tick >= at);
    expect(reported.map(({ row, what }) => `${row} ${what}`)).toEqual([`2 ${valve}Missed set`, `2 ${valve}Missed cleared`]);
    expect((reported[1]?.tick ?? 0) - (reported[0]?.tick ?? 0)).toBe(1000);
  });
});

describe('metered oil', () => {
  it.each([550, 350])("changes with the chamber's pressure in a row at rest, to %d N", (targetLoadN) => {
    const row = new HandRow();
    const [meteredKpa, kpa] = [row.bench.probe('meteredKpa'), row.pressureKpa];
    row.bench.bank({ targetLoadN });
    row.tick(2000);
    const changeKpa = row.pressureKpa - kpa;
    expect(Math.abs(changeKpa)).toBeGreaterThan(400);
    const ratio = (row.bench.probe('meteredKpa') - meteredKpa) / changeKpa;
    expect(ratio).toBeGreaterThan(0.97);
    expect(ratio).toBeLessThan(1.03);
  });
});
