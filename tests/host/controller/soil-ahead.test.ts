import { describe, expect, it } from 'vitest';
import type { ParameterValues } from '../../../host/contract/contract.js';
import { startedBench } from '../../support/bench.js';
import { HandRow } from '../../support/hand-row.js';

/** Time by which the soil ahead is ahead, ticks. */
const AHEAD = 400;
const STEP_N = 300;
/** What the map reports of a change: before it comes, and for as long after it. */
type Report = (changeN: number) => readonly [before: number, after: number];

const RIGHT: Report = (changeN) => [changeN, 0];
const INVERTED: Report = (changeN) => [-changeN, 0];
const LATE: Report = (changeN) => [0, changeN];
const NOTHING: Report = () => [0, 0];

/** The soil becomes harder, then softer again, every 1.6 s. */
function driveOver(row: HandRow, changes: number, reported: Report): HandRow {
  for (let count = 0; count < changes; count++) {
    const changeN = count % 2 === 0 ? STEP_N : -STEP_N;
    const [before, after] = reported(changeN);
    row.tick(AHEAD, (bench) => bench.row(1, { soilAheadN: before }));
    row.soilN -= changeN;
    row.tick(AHEAD, (bench) => bench.row(1, { soilAheadN: after }));
    row.tick(2 * AHEAD, (bench) => bench.row(1, { soilAheadN: 0 }));
  }
  return row;
}

const rowOn = (changes: number, reported: Report, values: ParameterValues = {}): HandRow =>
  driveOver(new HandRow({ soilAheadFitted: 1, missedStrokeDetection: 0, ...values }), changes, reported);
const trustIn = ({ bench }: HandRow): number => bench.probe('soilAheadTrust');

describe('soil ahead that is invalid', () => {
  it.each([
    ['NaN', Number.NaN, true],
    ['infinite', Number.POSITIVE_INFINITY, true],
    ['infinite and negative', Number.NEGATIVE_INFINITY, true],
    ['just above the limit', 2000.5, true],
    ['just below the negative limit', -2000.5, true],
    ['at the limit', 2000, false],
    ['at the negative limit', -2000, false],
  ])('%s: reported is %3$s', (_, soilAheadN, isReported) => {
    const bench = startedBench(1, { soilAheadFitted: 1 }).row(1, { soilAheadN });
    bench.tick(199);
    expect(bench.faults(1)).toEqual([]);
    bench.tick();
    expect(bench.faults(1)).toEqual(isReported ? ['soilAheadInvalid'] : []);
    expect(bench.rowMode(1)).toBe('working');
  });

  it('may come and go from tick to tick, and is reported all the same', () => {
    const bench = startedBench(1, { soilAheadFitted: 1 });
    bench.tickWith(300, (count) => bench.row(1, { soilAheadN: count % 10 === 0 ? Number.NaN : 0 }));
    expect(bench.faults(1)).toEqual(['soilAheadInvalid']);
  });

  it('is reported for half a second after the last invalid value, and is then used again', () => {
    const bench = startedBench(1, { soilAheadFitted: 1 }).row(1, { soilAheadN: Number.NaN }).tick(300);
    // 20 ms for which it stays invalid, then the recovery time.
    bench.row(1, { soilAheadN: 100 }).tick(518);
    expect(bench.faults(1)).toEqual(['soilAheadInvalid']);
    bench.tick(2);
    expect(bench.faults(1)).toEqual([]);
  });

  it('changes nothing in the prediction of a row that trusts it', () => {
    const row = rowOn(8, RIGHT);
    row.tick(2000, (bench) => bench.row(1, { soilAheadN: Number.NaN }));
    expect(trustIn(row)).toBeGreaterThan(0.8);
    expect(Math.abs(row.bench.probe('soilExpectedN'))).toBeLessThan(1e-3);
  });
});

describe('trust in the soil ahead', () => {
  it('is nearly full after a few changes that came as expected', () => {
    const row = rowOn(8, RIGHT);
    expect(trustIn(row)).toBeGreaterThan(0.8);
    expect(row.bench.faults(1)).toEqual([]);
  });

  it.each([
    ['inverted', INVERTED],
    ['late', LATE],
  ])('does not come if its reports are %s, and that sets a fault', (_, reported) => {
    const row = rowOn(8, reported);
    expect(trustIn(row)).toBe(0);
    expect(row.bench.faults(1)).toEqual(['soilAheadWrong']);
  });

  it('does not come from nothing, and that is no fault', () => {
    const row = rowOn(8, NOTHING);
    expect(trustIn(row)).toBe(0);
    expect(row.bench.faults(1)).toEqual([]);
  });

  // When nothing happens that was reported, only the old changes fade; inverted ones contradict them.
  it.each([
    ['inverted', 3, INVERTED],
    ['late', 12, LATE],
  ])('is lost once it is %s for %i changes, and comes back', (_, changes, reported) => {
    const row = driveOver(rowOn(8, RIGHT), changes, reported);
    expect(trustIn(row)).toBe(0);
    driveOver(row, 16, RIGHT);
    expect(trustIn(row)).toBeGreaterThan(0.6);
    expect(row.bench.faults(1)).not.toContain('soilAheadWrong');
  });

  it('is the slope: a map that reports half as much again gets the part that is right', () => {
    // Reported 450 N of 300 N: a slope of 2/3.
    const row = rowOn(16, (changeN) => [1.5 * changeN, 0]);
    expect(trustIn(row)).toBeGreaterThan(0.55);
    expect(trustIn(row)).toBeLessThan(0.7);
  });

  it('stays as it is while the row is lifted', () => {
    const row = rowOn(8, RIGHT);
    const before = trustIn(row);
    row.bench.bank({ lowered: 0 });
    row.tick(100, (bench) => bench.row(1, { soilAheadN: 0 }));
    driveOver(row, 6, INVERTED);
    expect(trustIn(row)).toBe(before);
  });
});

describe('a row that trusts the soil ahead', () => {
  it('expects its weight times its trust of a lasting change, as a load', () => {
    const row = rowOn(8, RIGHT, { soilAheadWeight: 0.5 });
    // Below 50 N nothing is compared, so trust stays.
    const trust = trustIn(row);
    row.tick(3000, (bench) => bench.row(1, { soilAheadN: 40 }));
    expect(row.bench.probe('soilExpectedN')).toBeCloseTo(-0.5 * trust * 40, 3);
  });

  it.each([
    ['with trust', RIGHT, 0],
    ['without it', INVERTED, 1],
  ])('%s: the first stroke for a change of 300 N comes in the order before it, after it', (_, reported, after) => {
    const row = rowOn(8, reported);
    row.tick(4000, (bench) => bench.row(1, { soilAheadN: 0 }));
    const from = row.bench.strokes.length;
    row.tick(AHEAD, (bench) => bench.row(1, { soilAheadN: STEP_N }));
    const changed = row.bench.ticks;
    row.soilN -= STEP_N;
    row.tick(AHEAD, (bench) => bench.row(1, { soilAheadN: 0 }));
    const [first] = row.bench.strokes.slice(from);
    expect(first).toMatchObject({ valve: 'supply', order: 'open' });
    expect((first?.tick ?? Number.NaN) > changed ? 1 : 0).toBe(after);
  });
});
