import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';

/** Files that need the computer to themselves: they wait for real time, share the cache of images, or fill all processors. */
const ALONE = ['tests/system/{as-pect,chip,chip-safety,figures,watch}.test.ts', 'tests/host/chip-*.test.ts', 'tests/tidy.test.ts'];
const LIMITS = { testTimeout: 180_000, hookTimeout: 180_000 };

export default defineConfig({
  test: {
    globalSetup: ['tests/support/fresh-binary.ts'],
    projects: [
      {
        test: {
          ...LIMITS,
          name: 'side by side',
          include: ['tests/**/*.test.ts'],
          exclude: ALONE,
          maxWorkers: Math.max(2, availableParallelism() - 1),
          sequence: { groupOrder: 0 },
        },
      },
      { test: { ...LIMITS, name: 'alone', include: ALONE, maxWorkers: 1, sequence: { groupOrder: 1 } } },
    ],
  },
});
