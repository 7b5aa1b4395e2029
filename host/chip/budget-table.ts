import { existsSync } from 'node:fs';
import { parseDocument, stringify } from 'yaml';
import { ROWS_MAX } from '../../shared/limits.js';
import { InputError } from '../common/input-error.js';
import { readYaml } from '../common/yaml-file.js';
import type { Approval } from '../vector/accept.js';
import type { ChipBudget } from './budget.js';

/** One metric of a chip budget; less is better for all of them. */
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
          rows: { type: 'integer', minimum: 1, maximum: ROWS_MAX },
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

/** A metric that exceeds its accepted value by more than this fraction fails. */
export const BUDGET_MARGIN = 0.05;

/**
 * The metrics of one chip budget. The stack in use is not among them: it depends on when interrupts arrive, and what matters is that
 * it stays below the proven bound, see measureBudget.
 */
export function metricsOf(budget: ChipBudget): BudgetMetric[] {
  const { chip, rows, textBytes, dataBytes, bssBytes, stackBytes = 0, controllerTextBytes, controllerRamBytes } = budget;
  const sizes = { textBytes, dataBytes, bssBytes, stackBytes, controllerTextBytes, controllerRamBytes };
  const costs = Object.entries(budget.settings).flatMap(([setting, cost]) =>
    (['meanInstructions', 'maxInstructions'] as const).map((name) => [`${setting}.${name}`, cost[name]] as const),
  );
  return [...Object.entries(sizes), ...costs].map(([metric, value]) => ({ chip, rows, metric, value }));
}

const isSameMetric = (one: BudgetMetric, other: BudgetMetric): boolean =>
  one.chip === other.chip && one.rows === other.rows && one.metric === other.metric;

/** The accepted metrics. @throws InputError when the file is missing or invalid */
export function readBudgets(file: string): readonly BudgetMetric[] {
  return readYaml<BudgetFile>(file, SCHEMA).value.metrics;
}

/** A metric compared with its accepted value. */
export interface BudgetCheck extends BudgetMetric {
  /** Undefined while nothing has been accepted. */
  readonly accepted: number | undefined;
  readonly result: 'within' | 'better' | 'worse' | 'new';
}

function resultOf(value: number, accepted: number | undefined): BudgetCheck['result'] {
  if (accepted === undefined) return 'new';
  if (value > accepted * (1 + BUDGET_MARGIN)) return 'worse';
  return value < accepted * (1 - BUDGET_MARGIN) ? 'better' : 'within';
}

/** Compares measured metrics with the accepted ones. `better` is reported so that the table gets updated; it does not fail. */
export function checkBudgets(measured: readonly BudgetMetric[], acceptedMetrics: readonly BudgetMetric[]): BudgetCheck[] {
  return measured.map((one) => {
    const accepted = acceptedMetrics.find((other) => isSameMetric(one, other))?.value;
    return { ...one, accepted, result: resultOf(one.value, accepted) };
  });
}

const HEAD = ` Chip budget: limits for the controller on microcontrollers. Executed instructions per row and tick, and bytes of the example
 firmware and of the controller in it. Written by \`latchbench chip budget --accept\`; more than 5 % above a value fails.
`;

/**
 * Returns the table with the measured metrics in place of those accepted before, and one more acceptance.
 * @throws InputError when the present table is invalid, or nothing was measured
 */
export function acceptBudgets(measured: readonly BudgetMetric[], { date, by, reason }: Approval, file: string): string {
  if (measured.length === 0) throw new InputError({ file, problem: 'there is no metric to accept' });
  const before: BudgetFile = existsSync(file) ? readYaml<BudgetFile>(file, SCHEMA).value : { metrics: [], acceptances: [] };
  const kept = before.metrics.filter((one) => !measured.some((other) => isSameMetric(one, other)));
  const acceptances = [...before.acceptances, { date, by, reason }];
  const document = parseDocument(stringify({ acceptances, metrics: [...kept, ...measured] }, { lineWidth: 110 }));
  document.commentBefore = HEAD.trimEnd();
  for (const item of (document.get('metrics') as unknown as { items: { flow: boolean }[] }).items) item.flow = true;
  return document.toString({ lineWidth: 130 });
}
