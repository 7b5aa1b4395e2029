import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';

/** Files that need the computer to themselves: they measure real time or keep every processor busy. */
const ALONE = ['tests/host/common/watch-files.test.ts', 'tests/tidy.test.ts'];
/** What `npm run test:slow` runs. */
const SLOW = ['tests/slow/**/*.test.ts'];

const project = (name: string, include: string[], exclude: string[], maxWorkers: number, groupOrder: number) => ({
  test: { name, include, exclude, maxWorkers, sequence: { groupOrder }, testTimeout: 180_000, hookTimeout: 180_000 },
});

export default defineConfig({
  test: {
    globalSetup: ['tests/support/global-setup.ts'],
    projects: [
      project('fast', ['tests/**/*.test.ts'], [...ALONE, ...SLOW], Math.max(2, availableParallelism() - 1), 0),
      project('alone', ALONE, [], 1, 1),
      project('slow', SLOW, [], Math.max(2, availableParallelism() - 1), 2),
    ],
  },
});
