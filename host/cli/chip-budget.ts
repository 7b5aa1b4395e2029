import { buildCommand } from '@stricli/core';
import { BUDGET_ROWS } from '../chip/chips.js';
import { chipsFlag, jsonFlag, lines, optional, optionalWords, rowCount, toggle } from './flags.js';

export const chipBudgetCommand = buildCommand({
  loader: () => import('./run/chip-budget.js'),
  docs: {
    brief: 'Measure the cost of the controller on chips and check it against the accepted budget',
    customUsage: ['[flags]'],
    fullDescription: lines(
      'Measures the instructions per row and tick, as the emulator counts them, the memory, and the stack (worst',
      `case by static analysis, and measured), for builds for ${BUDGET_ROWS.join(', ')} rows.`,
      '',
      'Exit code 0: within 5 % of vectors/chip-budget.yaml. 1: a value exceeds the budget or has none. 2: bad input.',
    ),
  },
  parameters: {
    flags: {
      chip: chipsFlag,
      rows: optional(rowCount, 'Measure only a build with this number of rows', 'count'),
      accept: toggle('Accept the measured values as the new budget; needs --by and --reason'),
      by: optionalWords('Who accepts the values', 'name'),
      reason: optionalWords('Why these costs are acceptable', 'text'),
      json: jsonFlag,
    },
  },
});
