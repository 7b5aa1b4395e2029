import { acceptBudgets, checkBudgets, metricsOf, readBudgets } from '../../chip/budget-table.js';
import { measureBudgets } from '../../chip/budgets.js';
import { BUDGET_ROWS, EMULATED_CHIPS } from '../../chip/chips.js';
import { InputError } from '../../common/input-error.js';
import { writeAtomic } from '../../common/write-atomic.js';
import { budgetTable } from '../../report/chip/chip-text.js';
import { identifyBuild } from '../../review/builds.js';
import { command, today } from '../context.js';
import { checkFlags, type FlagRule } from '../flag-rules.js';
import { currentController, currentPlant } from './binaries.js';
import { availableChips } from './chips.js';

interface Flags {
  readonly chip?: string;
  readonly rows?: number;
  readonly accept?: boolean;
  readonly by?: string;
  readonly reason?: string;
  readonly json?: boolean;
}

const RULES: readonly FlagRule<Flags>[] = [
  { flag: 'accept', needs: 'by' },
  { flag: 'accept', needs: 'reason' },
  { flag: 'by', needs: 'accept' },
  { flag: 'reason', needs: 'accept' },
];

export default command<Flags>(async (job, flags) => {
  const { project, progress } = job;
  const { accept = false, by, reason } = flags;
  checkFlags(flags, RULES);
  const build = await currentController(job, accept ? 'refuse' : 'build');
  await currentPlant(job, accept ? 'refuse' : 'build');
  const accepted = accept ? [] : readBudgets(project.chipBudget);
  const chips = availableChips(job, flags.chip).filter(({ emulator }) => emulator !== undefined);
  if (chips.length === 0) {
    const allowed = EMULATED_CHIPS.map(({ name }) => name);
    throw new InputError({ file: '--chip', problem: `${flags.chip ?? 'native'} has no emulator`, value: flags.chip, allowed });
  }
  const budgets = await measureBudgets(project, chips, flags.rows === undefined ? BUDGET_ROWS : [flags.rows], progress.show);
  const measured = budgets.flatMap(metricsOf);
  if (accept && by !== undefined && reason !== undefined)
    writeAtomic(project.chipBudget, acceptBudgets(measured, { by, reason, date: today() }, project.chipBudget));
  const checks = checkBudgets(measured, accept ? measured : accepted);
  const passed = checks.every(({ result }) => result === 'within' || result === 'better');
  const controller = identifyBuild(build);
  return { text: budgetTable(budgets, checks, controller), json: { controller, budgets, metrics: checks }, passed };
});
