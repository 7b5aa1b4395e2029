import { FAULTS } from '../../shared/faults.js';
import { ROWS_MAX } from '../../shared/limits.js';
import { UNITS, type UnitName } from '../../shared/units.js';
import type { InputError } from '../common/input-error.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';
import { BANK_METRICS, type FaultSpan, METRICS, type MetricName, type Metrics, OVERS, type Over, ROW_METRICS } from './metrics.js';

/** A metric must be between two values, or on one side of one. In the metric's own unit. */
export interface MetricRequirement {
  readonly metric: MetricName;
  readonly min?: number;
  readonly max?: number;
  /** Of a metric of rows: what of all rows is judged; left out, what the metric's kind says. */
  readonly over?: Over;
  /** Or the one row that is, counted from 1. */
  readonly row?: number;
}

/** A fault must be raised between two moments, seconds into the run, or never. */
export interface FaultRequirement {
  readonly fault: string;
  /** Counted from 1; left out for a fault of the bank. */
  readonly row?: number;
  readonly fromS?: number;
  readonly toS?: number;
  readonly never?: true;
}

/** No fault may be raised at all. */
export interface NoFaults {
  readonly faults: 'none';
}

export type Requirement = MetricRequirement | FaultRequirement | NoFaults;

/** What a kind of requirement may say, by the key that tells the kind. */
const KEYS = {
  metric: ['metric', 'min', 'max', 'over', 'row'],
  fault: ['fault', 'row', 'fromS', 'toS', 'never'],
  faults: ['faults'],
} as const;
type Kind = keyof typeof KEYS;
const KINDS = Object.keys(KEYS) as Kind[];

/**
 * JSON Schema of a list of requirements. One mapping of all keys, not one for each kind, so that an error stands at the key or
 * value that is wrong; which keys go together is `checkRequirements`’ part.
 */
export function requirementsSchema(): object {
  const moment = { type: 'number', minimum: 0, unit: 's' };
  return {
    type: 'array',
    maxItems: 1000,
    items: {
      type: 'object',
      additionalProperties: false,
      properties: {
        metric: { type: 'string', enum: METRICS.map(({ name }) => name) },
        min: { type: 'number' },
        max: { type: 'number' },
        over: { type: 'string', enum: OVERS },
        row: { type: 'integer', minimum: 1, maximum: ROWS_MAX },
        fault: { type: 'string', enum: FAULTS.map(({ name }) => name) },
        fromS: moment,
        toS: moment,
        never: { const: true },
        faults: { const: 'none' },
      },
    },
  };
}

/** The run that requirements are for. */
export interface RequiredRun {
  readonly rows: number;
  readonly seconds: number;
}

/** Makes an InputError about a key of a requirement, or about the requirement if the key is left out. */
type Wrong = (key: string | undefined, what: string, allowed: string | readonly string[]) => InputError;

function checkRow(row: number, rows: number, wrong: Wrong): void {
  if (row > rows) throw wrong('row', 'row', `a whole number from 1 to ${rows}`);
}

function checkMetric({ metric, min, max, over, row }: MetricRequirement, { rows }: RequiredRun, wrong: Wrong): void {
  if (min === undefined && max === undefined) throw wrong(undefined, `min or max of ${metric} is missing`, 'one of them, or both');
  if (min !== undefined && max !== undefined && min > max) throw wrong('min', 'min', `up to max, ${max}`);
  const stray = over !== undefined ? 'over' : 'row';
  const isOfRows = ROW_METRICS.some(({ name }) => name === metric);
  if (!isOfRows && (over ?? row) !== undefined)
    throw wrong(stray, `${metric} with ${stray}`, 'neither over nor row: it is a metric of the bank');
  if (over !== undefined && row !== undefined) throw wrong('over', 'row with over', 'one of the two');
  if (row !== undefined) checkRow(row, rows, wrong);
}

function checkFault({ fault, row, fromS, toS, never }: FaultRequirement, { rows, seconds }: RequiredRun, wrong: Wrong): void {
  const isOfRow = FAULTS.find(({ name }) => name === fault)?.scope === 'row';
  if (isOfRow && row === undefined) throw wrong(undefined, `row of ${fault} is missing`, `a whole number from 1 to ${rows}`);
  if (!isOfRow && row !== undefined) throw wrong('row', `${fault} with row`, 'no row: it is a fault of the bank');
  if (row !== undefined) checkRow(row, rows, wrong);
  if (never) {
    if ((fromS ?? toS) !== undefined) throw wrong('never', 'fromS or toS with never', 'one of the two');
    return;
  }
  if (fromS === undefined || toS === undefined) throw wrong(undefined, `when of ${fault} is missing`, 'fromS and toS, or never: true');
  if (!(fromS < toS)) throw wrong('toS', 'toS', `after fromS, ${fromS} s`);
  if (toS > seconds) throw wrong('toS', 'toS', `up to ${seconds} s, the run’s end`);
}

/**
 * Checks what the schema can't say of a list of requirements that it let pass, and answers the same list.
 * @param path where the list stands in the file
 * @throws InputError at the key that doesn't go with the others, the metric or fault, or the run
 */
export function checkRequirements(
  written: readonly unknown[],
  run: RequiredRun,
  file: YamlFile<unknown>,
  path: YamlPath,
): readonly Requirement[] {
  for (const [index, one] of written.entries()) {
    const wrong: Wrong = (key, ...words) => file.wrong([...path, index, ...(key === undefined ? [] : [key])], ...words);
    const keys = Object.keys(Object(one));
    const kinds = KINDS.filter((kind) => keys.includes(kind));
    const [kind] = kinds;
    if (kind === undefined) throw wrong(undefined, 'requirement without a subject', KINDS);
    const stray = keys.find((key) => !(KEYS[kind] as readonly string[]).includes(key));
    if (stray !== undefined) throw wrong(stray, `${kind} with ${stray}`, `only ${KEYS[kind].join(', ')}`);
    if (kind === 'metric') checkMetric(one as MetricRequirement, run, wrong);
    if (kind === 'fault') checkFault(one as FaultRequirement, run, wrong);
  }
  return written as readonly Requirement[];
}

/** A requirement in words, what was measured, and whether the requirement is met. */
export interface RequirementResult {
  readonly requirement: string;
  readonly measured: string;
  readonly met: boolean;
}

/** So many digits that a value just beyond a limit doesn't look like the limit. */
const DIGITS = 6;

/** The number that a requirement judges, and words for what it is of. */
function judgedValue({ metric, over, row }: MetricRequirement, metrics: Metrics): { value: number; of: string; unit: UnitName } {
  const ofBank = BANK_METRICS.find(({ name }) => name === metric);
  if (ofBank !== undefined) return { value: metrics.bank[ofBank.name], of: metric, unit: ofBank.unit };
  const ofRow = ROW_METRICS.find(({ name }) => name === metric);
  if (ofRow === undefined) throw new Error(`no metric is called ${metric}`);
  const { name, unit } = ofRow;
  if (row !== undefined) return { value: metrics.byRow[name][row - 1] ?? Number.NaN, of: `${name} of row ${row}`, unit };
  const judged = over ?? ofRow.over;
  return { value: metrics.over[name][judged], of: `${name}, ${judged} over rows`, unit };
}

const shortened = (value: number): number => Number(value.toPrecision(DIGITS));

function metricResult(requirement: MetricRequirement, metrics: Metrics): RequirementResult {
  const { min, max } = requirement;
  const { value, of, unit } = judgedValue(requirement, metrics);
  const { symbol } = UNITS[unit];
  const limits = min === undefined ? `at most ${max}` : max === undefined ? `at least ${min}` : `${min} to ${max}`;
  return {
    requirement: `${of}: ${limits} ${symbol}`.trimEnd(),
    measured: Number.isNaN(value) ? 'no value' : `${shortened(value)} ${symbol}`.trimEnd(),
    // Written so that NaN never meets a requirement.
    met: value >= (min ?? Number.NEGATIVE_INFINITY) && value <= (max ?? Number.POSITIVE_INFINITY),
  };
}

const setAt = (span: FaultSpan | undefined): string => (span === undefined ? 'not set' : `set at ${shortened(span.fromS)} s`);

function faultResult({ fault, row = 0, fromS = 0, toS = 0, never }: FaultRequirement, { faults }: Metrics): RequirementResult {
  const subject = row === 0 ? fault : `${fault} of row ${row}`;
  const spans = faults.filter((span) => span.name === fault && span.row === row);
  if (never) return { requirement: `${subject} never set`, measured: setAt(spans[0]), met: spans.length === 0 };
  const inTime = spans.find((span) => span.fromS >= fromS && span.fromS <= toS);
  const requirement = `${subject} set between ${fromS} and ${toS} s`;
  return { requirement, measured: setAt(inTime ?? spans[0]), met: inTime !== undefined };
}

function noFaultsResult({ faults }: Metrics): RequirementResult {
  const [first] = faults;
  const measured = first === undefined ? 'none' : `${first.name}${first.row === 0 ? '' : ` of row ${first.row}`} ${setAt(first)}`;
  return { requirement: 'no faults', measured, met: first === undefined };
}

/** Returns a result for each requirement, in their order. A metric without a value meets no requirement. */
export function evaluateRequirements(metrics: Metrics, requirements: readonly Requirement[]): RequirementResult[] {
  return requirements.map((one) => {
    if ('metric' in one) return metricResult(one, metrics);
    return 'fault' in one ? faultResult(one, metrics) : noFaultsResult(metrics);
  });
}
