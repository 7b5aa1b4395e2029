import { existsSync } from 'node:fs';
import { parseDocument, stringify } from 'yaml';
import { InputError } from '../common/input-error.js';
import { readYaml } from '../common/yaml-file.js';
import type { Approval } from '../vector/accept.js';
import type { Budget } from './budget.js';

/** One accepted metric: smaller is better for all of them. */
export interface BudgetMetric {
  readonly chip: string;
  readonly rows: number;
  readonly metric: string;
  readonly value: number;
}

interface BudgetFile {
  readonly metrics: readonly BudgetMetric[];
  readonly acceptances: readonly { readonly date: string; readonly by: string; readonly reason: string }[];
}

const WORDS = { type: 'string', pattern: '\\S', maxLength: 2000 } as const;

const SCHEMA = {
  type: 'object',
  required: ['metrics', 'acceptances'],
  additionalProperties: false,
  properties: {
    metrics: {
      type: 'array',
      items: {
        type: 'object',
        required: ['chip', 'rows', 'metric', 'value'],
        additionalProperties: false,
        properties: {
          chip: WORDS,
          rows: { type: 'integer', minimum: 1, maximum: 48 },
          metric: WORDS,
          value: { type: 'number', minimum: 0 },
        },
      },
    },
    acceptances: {
      type: 'array',
      minItems: 1,
      items: {
        type: 'object',
        required: ['date', 'by', 'reason'],
        additionalProperties: false,
        properties: { date: { type: 'string', pattern: '^\\d{4}-\\d{2}-\\d{2}$' }, by: WORDS, reason: WORDS },
      },
    },
  },
};

/** More than this share above what was accepted fails. */
export const BUDGET_MARGIN = 0.05;

/**
 * What one budget holds, metric by metric. The stack in use is none of them: it hangs on where an interrupt falls, and what counts
 * is that it stays below the proven one, see measureBudget.
 */
export function metricsOf(budget: Budget): BudgetMetric[] {
  const { chip, rows, textBytes, dataBytes, bssBytes, stackBytes = 0, controllerTextBytes, controllerRamBytes } = budget;
  const sizes = { textBytes, dataBytes, bssBytes, stackBytes, controllerTextBytes, controllerRamBytes };
  const costs = Object.entries(budget.settings).flatMap(([setting, cost]) =>
    (['meanInstructions', 'worstInstructions'] as const).map((name) => [`${setting}.${name}`, cost[name]] as const),
  );
  return [...Object.entries(sizes), ...costs].map(([metric, value]) => ({ chip, rows, metric, value }));
}

/** The accepted table. @throws InputError when it is not in order, or not there */
export function readBudgets(file: string): readonly BudgetMetric[] {
  return readYaml<BudgetFile>(file, SCHEMA).value.metrics;
}

/** A metric against what was accepted. */
export interface BudgetVerdict extends BudgetMetric {
  /** undefined: nothing was accepted for it yet. */
  readonly accepted: number | undefined;
  readonly verdict: 'within' | 'better' | 'worse' | 'new';
}

/** Judges what was measured now. Much better is told, so that the table follows; it fails nothing. */
export function judgeBudgets(measured: readonly BudgetMetric[], accepted: readonly BudgetMetric[]): BudgetVerdict[] {
  return measured.map((one) => {
    const found = accepted.find(({ chip, rows, metric }) => chip === one.chip && rows === one.rows && metric === one.metric)?.value;
    const verdict =
      found === undefined
        ? 'new'
        : one.value > found * (1 + BUDGET_MARGIN)
          ? 'worse'
          : one.value < found * (1 - BUDGET_MARGIN)
            ? 'better'
            : 'within';
    return { ...one, accepted: found, verdict };
  });
}

const HEAD = ` What the controller may cost on microcontrollers: instructions for a row's share of a tick, bytes of the whole example
 firmware and of the controller in it. Written by \`latchbench chip budget --accept\`; more than 5 % above fails.
`;

/**
 * The table with what was measured now in place of what was accepted before, and one acceptance more.
 * @throws InputError when the present table is not in order
 */
export function acceptBudgets(measured: readonly BudgetMetric[], { date, by, reason }: Approval, file: string): string {
  const before: BudgetFile = existsSync(file) ? readYaml<BudgetFile>(file, SCHEMA).value : { metrics: [], acceptances: [] };
  const isMeasured = (one: BudgetMetric): boolean =>
    measured.some(({ chip, rows, metric }) => chip === one.chip && rows === one.rows && metric === one.metric);
  const metrics = [...before.metrics.filter((one) => !isMeasured(one)), ...measured];
  if (measured.length === 0) throw new InputError({ file, what: 'no metric to accept', allowed: 'some chip' });
  const document = parseDocument(stringify({ acceptances: [...before.acceptances, { date, by, reason }], metrics }, { lineWidth: 110 }));
  document.commentBefore = HEAD.trimEnd();
  for (const item of (document.get('metrics') as unknown as { items: { flow: boolean }[] }).items) item.flow = true;
  return document.toString({ lineWidth: 130 });
}
