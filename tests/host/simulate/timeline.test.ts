import { describe, expect, it } from 'vitest';
import {
  type Course,
  DRIVE_FIELDS,
  type DriveField,
  NO_INJECTED_FAULTS,
  type Plan,
  type TimedValue,
  Timeline,
} from '../../../host/simulate/timeline.js';
import { PLANT_RECORDS } from '../../../shared/plant.js';

const course = (field: DriveField, shape: Course['shape'], ...points: [number, number][]): Course => ({
  field,
  shape,
  points: points.map(([atS, value]) => ({ atS, value })),
});

const timedValue = (one: Partial<TimedValue>): TimedValue => ({
  field: 'loadSensor',
  row: 1,
  value: 1,
  fromTick: 0,
  untilTick: 10,
  once: false,
  ...one,
});

/** Ten seconds at 10 ticks per second, so that ticks are easy to count. */
const timeline = (plan: Partial<Plan>): Timeline =>
  new Timeline({ ticks: 100, tickHz: 10, courses: [], timedValues: [], restarts: [], ...plan });

const fieldsOf = (record: string): string[] => PLANT_RECORDS.find(({ name }) => name === record)?.fields.map(({ name }) => name) ?? [];

describe('fields', () => {
  it('are those of the plant records', () => {
    expect([...DRIVE_FIELDS].sort()).toEqual(fieldsOf('Drive').sort());
    expect(Object.keys(NO_INJECTED_FAULTS).sort()).toEqual(fieldsOf('InjectedFaults').sort());
  });

  it('of a sound row are 0, except that its valves, gas and sensors have all of what is normal', () => {
    for (const [field, value] of Object.entries(NO_INJECTED_FAULTS))
      expect([field, value]).toEqual([field, field.endsWith('Ratio') && field !== 'missRatio' ? 1 : 0]);
  });
});

describe('a ramp', () => {
  // 2 m/s up to 1 s, then linear to 5 m/s at 2 s, constant from there: 0.3 m/s more with each tick.
  const speed = course('speedMps', 'ramp', [0, 2], [1, 2], [2, 5]);
  it.each([
    [-1, 2],
    [0, 2],
    [8, 2],
    [9, 2],
    [10, 2.3],
    [14, 3.5],
    [18, 4.7],
    [19, 5],
    [20, 5],
    [99, 5],
  ])('at the end of tick %d is %f', (tick, value) => {
    expect(timeline({ courses: [speed] }).driveAt(tick).speedMps).toBeCloseTo(value, 12);
  });

  it('may have a point between two ticks', () => {
    // From 1 at 0 s to 0 at 0.25 s: 0.6 left at 0.1 s, 0.2 at 0.2 s.
    const line = timeline({ courses: [course('speedMps', 'ramp', [0, 1], [0.25, 0])] });
    expect([-1, 0, 1, 2].map((tick) => line.driveAt(tick).speedMps)).toEqual([1, 0.6, expect.closeTo(0.2, 12), 0]);
  });

  it('can be evaluated in any order', () => {
    const line = timeline({ courses: [speed] });
    expect([19, 10, 99, -1, 14].map((tick) => line.driveAt(tick).speedMps)).toEqual([5, expect.closeTo(2.3, 12), 5, 2, 3.5]);
  });
});

describe('a held value', () => {
  it.each([
    [-1, 450],
    [9, 450],
    [10, 700],
    [24, 700],
    [25, 300],
    [99, 300],
  ])('throughout tick %d is %d', (tick, value) => {
    const target = course('targetLoadN', 'hold', [0, 450], [1, 700], [2.5, 300]);
    expect(timeline({ courses: [target] }).driveAt(tick).targetLoadN).toBe(value);
  });

  it('steps at the nearest tick', () => {
    const target = course('targetLoadN', 'hold', [0, 1], [0.34, 2], [0.36, 3]);
    expect([2, 3, 4].map((tick) => timeline({ courses: [target] }).driveAt(tick).targetLoadN)).toEqual([1, 2, 3]);
  });
});

describe('an event of the bank', () => {
  const volts = course('sourceV', 'hold', [0, 13.2]);
  it('sets a field of the drive from its start until its end', () => {
    const line = timeline({
      courses: [volts],
      timedValues: [timedValue({ field: 'sourceV', row: 0, value: 6, fromTick: 3, untilTick: 5 })],
    });
    expect([-1, 0, 2, 3, 4, 5, 99].map((tick) => line.driveAt(tick).sourceV)).toEqual([13.2, 13.2, 13.2, 6, 6, 13.2, 13.2]);
  });

  it('may start with the scenario and follow directly on another one', () => {
    const timedValues = [
      timedValue({ field: 'sourceV', row: 0, value: 8, fromTick: 2, untilTick: 4 }),
      timedValue({ field: 'sourceV', row: 0, value: 6, fromTick: 0, untilTick: 2 }),
    ];
    const line = timeline({ courses: [volts], timedValues });
    expect([-1, 0, 1, 2, 3, 4].map((tick) => line.driveAt(tick).sourceV)).toEqual([13.2, 6, 6, 8, 8, 13.2]);
    expect([0, 2, 4].flatMap((tick) => line.changes(tick))).toEqual([]);
  });
});

describe('an event of a row', () => {
  const allChanges = (timedValues: readonly TimedValue[]): [number, number, string, number][] => {
    const line = timeline({ timedValues });
    return Array.from({ length: 101 }, (_, tick) => tick).flatMap((tick) =>
      line.changes(tick).map(({ row, field, value }): [number, number, string, number] => [tick, row, field, value]),
    );
  };

  it('sets a field at its start and resets it at its end', () => {
    expect(allChanges([timedValue({ row: 3, value: 4, fromTick: 20, untilTick: 35 })])).toEqual([
      [20, 3, 'loadSensor', 4],
      [35, 3, 'loadSensor', 0],
    ]);
  });

  it('resets a share to 1', () => {
    expect(allChanges([timedValue({ field: 'flowRatio', value: 0.4, fromTick: 0, untilTick: 7 })])).toEqual([
      [0, 1, 'flowRatio', 0.4],
      [7, 1, 'flowRatio', 1],
    ]);
  });

  it('is followed by the next one without a gap, in any order of the list', () => {
    const one = timedValue({ value: 1, fromTick: 5, untilTick: 8 });
    const next = timedValue({ value: 2, fromTick: 8, untilTick: 9 });
    const expected = [
      [5, 1, 'loadSensor', 1],
      [8, 1, 'loadSensor', 2],
      [9, 1, 'loadSensor', 0],
    ];
    expect(allChanges([one, next])).toEqual(expected);
    expect(allChanges([next, one])).toEqual(expected);
  });

  it('is not reset where the plant does that itself', () => {
    expect(allChanges([timedValue({ field: 'placeSupply', row: 2, fromTick: 0, untilTick: 1, once: true })])).toEqual([
      [0, 2, 'placeSupply', 1],
    ]);
  });

  it('does not change other rows and fields', () => {
    expect(
      allChanges([timedValue({ fromTick: 1, untilTick: 3 }), timedValue({ row: 2, field: 'off', fromTick: 2, untilTick: 4 })]),
    ).toEqual([
      [1, 1, 'loadSensor', 1],
      [2, 2, 'off', 1],
      [3, 1, 'loadSensor', 0],
      [4, 2, 'off', 0],
    ]);
  });
});

it('reports when the controller restarts', () => {
  const line = timeline({ restarts: [7, 50] });
  expect([6, 7, 8, 50].map((tick) => line.restarts(tick))).toEqual([false, true, false, true]);
});
