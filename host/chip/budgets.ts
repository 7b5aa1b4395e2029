import { runPool } from '../common/pool.js';
import type { Project } from '../common/project.js';
import type { ChipBudget } from './budget.js';
import type { BudgetTask } from './budget-worker.js';
import type { Chip } from './chips.js';

/**
 * Measures chips with each number of rows, as many at once as there are processors.
 * @throws InputError, StackUnbounded or Error as `measureBudget`
 */
export function measureBudgets(
  project: Project,
  chips: readonly Chip[],
  rowCounts: readonly number[],
  onProgress: (text: string) => void,
): Promise<ChipBudget[]> {
  const tasks: BudgetTask[] = chips.flatMap(({ name }) => rowCounts.map((rows) => ({ chip: name, rows })));
  const worker = new URL('./budget-worker.js', import.meta.url);
  return runPool(worker, project, tasks, (done) => onProgress(`${done} of ${tasks.length} builds measured`));
}
