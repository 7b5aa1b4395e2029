import { describe, expect, it } from 'vitest';
import type { BudgetCheck } from '../../host/chip/budget-table.js';
import { BUDGET_ROWS, EMULATED_CHIPS } from '../../host/chip/chips.js';
import { isChipMissing } from '../support/chip-tools.js';
import { spawnLatchbench } from '../support/command.js';
import { CHIP_TABLE, chipValue } from '../support/readme.js';

const isMissing = EMULATED_CHIPS.map(({ name }) => isChipMissing(name)).includes(true);

/** README gives four digits of measured figures; more than this off, they are to be written again. */
const README_MARGIN = 0.005;

describe.skipIf(isMissing)('the chip budget', () => {
  it('is met on every emulated chip with 1, 24 and 48 rows, and the README has its figures', () => {
    const { status, out } = spawnLatchbench(['chip', 'budget', '--json'], { timeout: 600_000 });
    const { metrics } = JSON.parse(out) as { metrics: readonly BudgetCheck[] };
    expect(metrics.filter(({ result }) => result === 'worse' || result === 'new')).toEqual([]);
    expect(metrics.length).toBeGreaterThan(EMULATED_CHIPS.length * BUDGET_ROWS.length * CHIP_TABLE.length);
    for (const line of CHIP_TABLE) expect(Math.abs(line.value / chipValue(metrics, line) - 1), line.quantity).toBeLessThan(README_MARGIN);
    expect(status).toBe(0);
  }, 600_000);
});
