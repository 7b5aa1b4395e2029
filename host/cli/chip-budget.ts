import { buildCommand } from '@stricli/core';
import { type Answer, answer, type Context, jsonFlag, progressOf, today, words } from './answer.js';
import { availableChips, chipsFlag, rowCount } from './chip-flags.js';

interface Flags {
  readonly chip?: string;
  readonly rows?: number;
  readonly accept?: boolean;
  readonly by?: string;
  readonly reason?: string;
  readonly json?: boolean;
}

async function budget(context: Context, flags: Flags): Promise<Answer> {
  const [{ BUDGET_FILE, BUDGET_ROWS, measureBudget }, table, { budgetTable }, { InputError }, { writeAtomic }] = await Promise.all([
    import('../chip/budget.js'),
    import('../chip/budget-table.js'),
    import('../report/chip/chip-text.js'),
    import('../common/input-error.js'),
    import('../common/write-atomic.js'),
  ]);
  const { accept = false, by, reason } = flags;
  if (accept && (by === undefined || reason === undefined)) {
    throw new InputError({ file: 'latchbench chip budget', what: '--accept without name or reason', allowed: '--by NAME --reason WORDS' });
  }
  const accepted = accept ? [] : table.readBudgets();
  const chips = (await availableChips(context, flags.chip)).filter(({ emulator }) => emulator !== undefined);
  if (chips.length === 0)
    throw new InputError({
      file: '--chip',
      what: 'no emulated chip',
      value: flags.chip ?? '',
      allowed: 'cortex-m4f, cortex-m0plus, rv32imafc',
    });
  const counts = flags.rows === undefined ? BUDGET_ROWS : [flags.rows];
  const progress = progressOf(context, flags.json);
  try {
    const budgets = [];
    for (const chip of chips) {
      for (const rows of counts) {
        progress.say(`${chip.name}, ${rows} rows`);
        budgets.push(await measureBudget(chip, rows));
      }
    }
    const measured = budgets.flatMap(table.metricsOf);
    if (accept && by !== undefined && reason !== undefined)
      writeAtomic(BUDGET_FILE, table.acceptBudgets(measured, { by, reason, date: today() }));
    const verdicts = table.judgeBudgets(measured, accept ? measured : accepted);
    const holds = verdicts.every(({ verdict }) => verdict === 'within' || verdict === 'better');
    return { text: budgetTable(budgets, verdicts), json: { budgets, metrics: verdicts }, holds };
  } finally {
    progress.done();
  }
}

async function chipBudget(this: Context, flags: Flags): Promise<void> {
  await answer(this, flags, () => budget(this, flags));
}

export const chipBudgetCommand = buildCommand({
  docs: {
    brief: 'What the controller costs on microcontrollers, against what was accepted',
    fullDescription:
      'Instructions of a row’s share of a tick as the emulator counts them, memory, proven and measured stack, for 1, 24 and 48 rows. ' +
      'Exit code 0: within 5 % of vectors/chip-budget.yaml. 1: something is worse, or new. 2: bad input.',
  },
  parameters: {
    flags: {
      chip: chipsFlag,
      rows: { kind: 'parsed', parse: rowCount, brief: 'Only a build for so many rows', optional: true, placeholder: 'count' },
      accept: { kind: 'boolean', brief: 'Take what is measured now for right', optional: true, withNegated: false },
      by: { kind: 'parsed', parse: words, brief: 'Who accepts', optional: true, placeholder: 'name' },
      reason: { kind: 'parsed', parse: words, brief: 'Why it may cost that', optional: true, placeholder: 'words' },
      json: jsonFlag,
    },
  },
  func: chipBudget,
});
