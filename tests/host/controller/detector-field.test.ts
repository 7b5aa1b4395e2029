import { describe, expect, it } from 'vitest';
import { runField } from '../../support/field-log.js';
import { HandRow } from '../../support/hand-row.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();

describe('a load sensor that is off, in the field', () => {
  it.each([
    [600, 'loadHigh'],
    [-150, 'loadLow'],
  ])('by %d N raises %s within 15 s, in its own row and nowhere else', (offsetN, fault) => {
    const events = [{ atS: 5, what: 'load-offset', row: 2, offsetN }];
    const { changes } = runField(folder, `offset-${fault}`, { events, seconds: 20, seed: 700 });
    const raised = changes.filter(({ what }) => what.endsWith('raised'));
    expect(new Set(raised.map(({ row, what }) => `${row} ${what}`))).toEqual(new Set([`2 ${fault} raised`]));
    expect(raised[0]?.tick).toBeGreaterThan(5015);
    expect(raised[0]?.tick).toBeLessThan(20_000);
  });
});

describe('a missed open, in the field', () => {
  it.each([
    ['supply', 701],
    ['return', 700],
  ] as const)('of a %s valve is told for a second, its pulse ended within 60 ms and tried again', (valve, seed) => {
    const events = [{ atS: 8, what: 'missed-opens', row: 2, valve, count: 1 }];
    const { changes, strokes, missed } = runField(folder, `open-${valve}`, { events, seconds: 14, seed });
    expect(missed).toHaveLength(1);
    const at = missed[0]?.tick ?? Number.NaN;
    const after = strokes.filter(({ row, tick }) => row === 2 && tick >= at);
    expect(after.slice(0, 3).map(({ valve: which, order }) => `${which} ${order}`)).toEqual([
      `${valve} open`,
      `${valve} close`,
      `${valve} open`,
    ]);
    const closedMs = (after[1]?.tick ?? Number.NaN) - at;
    expect(closedMs).toBeGreaterThan(5);
    expect(closedMs).toBeLessThanOrEqual(60);
    const told = changes.filter(({ tick }) => tick >= at);
    expect(told.map(({ row, what }) => `${row} ${what}`)).toEqual([`2 ${valve}Missed raised`, `2 ${valve}Missed taken back`]);
    expect((told[1]?.tick ?? 0) - (told[0]?.tick ?? 0)).toBe(1000);
  });
});

describe('own pulses’ pressure', () => {
  it.each([550, 350])('changes by what the chamber’s pressure does in a still row, to %d N', (targetLoadN) => {
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
