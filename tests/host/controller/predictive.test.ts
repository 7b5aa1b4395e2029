import { describe, expect, it } from 'vitest';
import { HandRow } from '../../support/hand-row.js';

/*
 * A row exactly as the parameters describe it, at rest at 3500 kPa and 450 N, 0.220905 N/kPa, with a deadband of 40 N. The
 * resolution of 7.6 kPa and 1.5 N per count makes predictions uncertain by 2 N.
 */
function atRest(): HandRow {
  const row = new HandRow();
  expect(row.bench.strokes.filter(({ order }) => order === 'open')).toEqual([]);
  return row;
}

/** Strokes of the next `ticks` ticks, once the target has changed. */
function strokesAt(row: HandRow, targetLoadN: number, ticks = 3000): string[] {
  const from = row.bench.ticks;
  row.bench.bank({ targetLoadN });
  row.tick(ticks);
  return row.strokesSince(from);
}

describe('predictive', () => {
  it.each([488, 412])('holds at a target of %d N, inside the deadband', (targetLoadN) => {
    expect(strokesAt(atRest(), targetLoadN)).toEqual([]);
  });

  it.each([
    [493, '0 supply open'],
    [407, '0 return open'],
  ])('acts at a target of %d N, outside the deadband, in the first tick', (targetLoadN, stroke) => {
    expect(strokesAt(atRest(), targetLoadN, 1)).toEqual([stroke]);
  });

  /*
   * 100 N are 452.7 kPa; the pulse lasts until a tenth of the deadband, 4 N, is left: 434.6 kPa. Steps are 6.745 kPa per tick
   * at 3500 kPa and √11,065 · 0.00133333/0.016886 = 8.306 kPa at 3935 kPa, on average 7.5 kPa: 58 ticks, after 2 of the opening
   * stroke. The closing stroke and the tick of its decision add 2 or 3 steps, 4 to 6 N: the rest.
   */
  it('raises with one pulse of the right length, however late the sensor shows it', () => {
    const row = atRest();
    const [open, close, ...more] = strokesAt(row, 550);
    expect(open).toBe('0 supply open');
    expect(close).toMatch(/^(59|60|61|62) supply close$/);
    expect(more).toEqual([]);
    expect(Math.abs(row.wheelN - 550)).toBeLessThan(3);
  });

  // Steps of 3.61 kPa at 3500 kPa and √2865 · 0.00133333/0.027373 = 2.607 kPa at 3065 kPa, on average 3.1 kPa: 140 ticks, after 2.
  // The closing stroke lowers the pressure by another 8 kPa, 2 N of the 4 N.
  it('lowers with one pulse of the right length', () => {
    const row = atRest();
    const [open, close, ...more] = strokesAt(row, 350);
    expect(open).toBe('0 return open');
    expect(close).toMatch(/^(13[89]|14[0-6]) return close$/);
    expect(more).toEqual([]);
    expect(Math.abs(row.wheelN - 352)).toBeLessThan(3);
  });

  it('holds the last good pressure while the load is invalid, whatever the target is', () => {
    const row = atRest();
    const from = row.bench.ticks;
    row.bench.bank({ targetLoadN: 900 });
    row.tick(500, (bench) => bench.row(1, { loadCounts: 4095 }));
    expect(row.bench.rowMode()).toBe('frozen');
    expect(row.strokesSince(from)).toEqual([]);
    row.pressureKpa -= 400;
    row.tick(2000, (bench) => bench.row(1, { loadCounts: 4095 }));
    // So sudden a fall looks like an open return valve, which is closed again first.
    const strokes = row.strokesSince(from).map((stroke) => stroke.replace(/^\d+ /, ''));
    expect(strokes).toEqual(['return close', 'supply open', 'supply close']);
    // Within 4 N, 18 kPa, of 3500 kPa, plus the closing stroke's 14 kPa; one count is 7.6 kPa.
    expect(Math.abs(row.pressureKpa - 3500)).toBeLessThan(40);
  });

  it('restarts at a load that is valid again', () => {
    const row = atRest();
    row.tick(500, (bench) => bench.row(1, { loadCounts: 4095 }));
    row.soilN += 30;
    row.tick(498);
    expect(row.bench.rowMode()).toBe('frozen');
    row.tick(10);
    expect(row.bench.rowMode()).toBe('working');
    expect(Math.abs(row.bench.probe('predictedN') - 480)).toBeLessThan(3);
    expect(Math.abs(row.bench.probe('presentN') - 480)).toBeLessThan(3);
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY])(
    'opens no valve for a target of %d, and continues with the next target',
    (targetLoadN) => {
      const row = atRest();
      row.soilN -= 200;
      row.bench.bank({ targetLoadN });
      const from = row.bench.ticks;
      row.tick(1000);
      expect(row.strokesSince(from)).toEqual([]);
      expect(Number.isFinite(row.bench.probe('predictedN'))).toBe(true);
      row.bench.bank({ targetLoadN: 450 });
      row.tick(1500);
      expect(Math.abs(row.wheelN - 450)).toBeLessThan(6);
    },
  );
});
