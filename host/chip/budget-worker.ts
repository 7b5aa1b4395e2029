import { workerData } from 'piscina';
import type { Project } from '../common/project.js';
import { workerTask } from '../common/worker-task.js';
import { measureBudget } from './budget.js';
import { type ChipName, chipOf } from './chips.js';

/** One chip with one number of rows. */
export interface BudgetTask {
  readonly chip: ChipName;
  readonly rows: number;
}

const project = workerData as Project;

export default workerTask(({ chip, rows }: BudgetTask) => measureBudget(project, chipOf(chip), rows));
