import { afterAll, describe, expect, it } from 'vitest';
import { scenarioNames } from '../../host/simulate/scenario.js';
import { cutPower } from '../support/power-cut.js';
import { PROJECT } from '../support/project.js';

const NAMES = scenarioNames(PROJECT);
const CUTS = 10_000;
/** Energy for every valve of 48 rows: 96 strokes of at most 75 mJ are 7.2 J, and 0.2 F hold 11 J between 13.2 and 8 V. */
const RESERVOIR = { reservoirUf: 200_000, chargeOhm: 0.5 } as const;

describe(`power is cut for good, ${CUTS} times in all`, () => {
  const total = { cuts: 0, open: 0 };

  it.each(NAMES)('%s: every valve is closed from the reservoir', (name) => {
    const counts = cutPower(name, Math.ceil(CUTS / NAMES.length), 114, RESERVOIR);
    expect(counts.owing).toBe(0);
    total.cuts += counts.cuts;
    total.open += counts.open;
  });

  afterAll(() => {
    expect(total.cuts).toBeGreaterThan(0.95 * CUTS);
    expect(total.open).toBeGreaterThan(0.1 * CUTS);
  });
});
