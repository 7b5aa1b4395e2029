import { describe, expect, it } from 'vitest';
import { cutPower } from '../../support/power-cut.js';

/** Enough for every valve of 48 rows: 96 strokes of at most 75 mJ are 7.2 J, and 0.2 F hold 10.9 J between 13.2 and 8 V. */
const LARGE = { reservoirUf: 200_000, chargeOhm: 0.5 } as const;
/** 0.26 J: enough for a few strokes. */
const SMALL = { reservoirUf: 4700, chargeOhm: 2 } as const;

describe('power is cut for good', () => {
  it.each(['target-step', 'forty-eight-rows-at-once', 'shut-down-with-vent', 'two-banks-take-turns'])(
    'in %s: every valve is closed from the reservoir',
    (name) => {
      const counts = cutPower(name, 60, 1, LARGE);
      expect(counts.open).toBeGreaterThan(3);
      expect(counts.strokes).toBeGreaterThan(3);
      expect(counts.owing).toBe(0);
    },
  );

  it('with a reservoir for a few strokes: no valve is believed closed that is not', () => {
    const counts = cutPower('start-with-unknown-positions', 60, 1, SMALL);
    expect(counts.owing).toBeGreaterThan(3);
  });
});
