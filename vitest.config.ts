import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files that need the computer to themselves: they measure real time or keep every processor busy. */
const ALONE = ['tests/host/common/watch-files.test.ts', 'tests/tidy.test.ts'];
/** What `npm run test:slow` runs. */
const SLOW = ['tests/slow/**/*.test.ts'];

/** The longest of the slow files, which start first: started last, one would run alone in the end. */
const LONGEST = ['chip-vectors', 'package', 'seeded-bugs', 'figures', 'readme', 'robustness', 'simulate', 'sizing', 'fuzzing'];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification): number => {
      const index = LONGEST.findIndex((name) => moduleId.endsWith(`/slow/${name}.test.ts`));
      return index === -1 ? LONGEST.length : index;
    };
    return (await super.sort(files)).sort((one, other) => place(one) - place(other));
  }
}

const WORKERS = Math.max(2, availableParallelism() - 1);

const project = (name: string, include: string[], exclude: string[], groupOrder: number, options: object) => ({
  test: { name, include, exclude, sequence: { groupOrder }, testTimeout: 180_000, hookTimeout: 180_000, ...options },
});

export default defineConfig({
  test: {
    globalSetup: ['tests/support/global-setup.ts'],
    sequence: { sequencer: LongestFirst },
    projects: [
      // Hundreds of small files: they share worker processes, or most of their time would go into loading the program again.
      project('fast', ['tests/**/*.test.ts'], [...ALONE, ...SLOW], 0, { maxWorkers: WORKERS, isolate: false }),
      project('alone', ALONE, [], 1, { maxWorkers: 1 }),
      project('slow', SLOW, [], 2, { maxWorkers: WORKERS }),
    ],
  },
});
