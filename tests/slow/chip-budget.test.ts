import { describe, expect, it } from 'vitest';
import { EMULATED_CHIPS } from '../../host/chip/chips.js';
import { isChipMissing } from '../support/chip-tools.js';
import { spawnLatchbench } from '../support/command.js';

const isMissing = EMULATED_CHIPS.map(({ name }) => isChipMissing(name)).includes(true);

describe.skipIf(isMissing)('the chip budget', () => {
  it('is met on every emulated chip with 1, 24 and 48 rows', () => {
    const { status, out } = spawnLatchbench(['chip', 'budget'], { timeout: 600_000 });
    expect(out).toContain('within 5 % of the accepted values');
    expect(status).toBe(0);
  }, 600_000);
});
