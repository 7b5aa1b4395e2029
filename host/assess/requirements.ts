import { ROWS_MAX } from '../../shared/limits.js';
import { UNITS, type UnitName } from '../../shared/units.js';
import type { InputError } from '../common/input-error.js';
import type { ValueProblem, YamlFile, YamlPath } from '../common/yaml-file.js';
import { FAULTS } from '../contract/tables.js';
import { BANK_METRICS, type FaultSpan, METRICS, type MetricName, type Metrics, OVERS, type Over, ROW_METRICS } from './metrics.js';

/** A metric must be within one or two limits, in its own unit. */
export interface MetricRequirement {
  readonly metric: MetricName;
  readonly min?: number;
  readonly max?: number;
  /** How a row metric is combined over the rows; default: as the table of metrics says. */
  readonly over?: Over;
  /** Or a single row, counted from 1. */
  readonly row?: number;
}

/** A fault must be set between two times, s, or never. */
export interface FaultRequirement {
  readonly fault: string;
  /** Counted from 1; left out for a fault of the bank. */
  readonly row?: number;
  readonly fromS?: number;
  readonly toS?: number;
  readonly never?: true;
}

/** No fault may be set at all. */
export interface NoFaults {
  readonly faults: 'none';
}

export type Requirement = MetricRequirement | FaultRequirement | NoFaults;

/** Keys of each kind of requirement, by the key that identifies the kind. */
const KEYS = {
  metric: ['metric', 'min', 'max', 'over', 'row'],
  fault: ['fault', 'row', 'fromS', 'toS', 'never'],
  faults: ['faults'],
} as const;
type Kind = keyof typeof KEYS;
const KINDS = Object.keys(KEYS) as Kind[];

/**
 * JSON Schema of a list of requirements. It is one mapping with the keys of all kinds, so that an error points to the key or
 * value that is wrong; `checkRequirements` checks which keys belong together.
 */
export function requirementsSchema(): object {
  const time = { type: 'number', minimum: 0, unit: 's' };
  return {
    description: 'What a run must meet: limits of a metric, a fault that is set or never set, or no faults at all',
    type: 'array',
    maxItems: 1000,
    items: {
      type: 'object',
      additionalProperties: false,
      properties: {
        metric: { description: 'A metric', title: 'a metric', type: 'string', enum: METRICS.map(({ name }) => name) },
        min: { description: 'Lowest value, in the unit of the metric', type: 'number' },
        max: { description: 'Highest value', type: 'number' },
        over: { description: 'How a metric of rows is combined; by default as the table of metrics says', type: 'string', enum: OVERS },
        row: { description: 'Or a single row', type: 'integer', minimum: 1, maximum: ROWS_MAX },
        fault: { description: 'A fault', title: 'a fault', type: 'string', enum: FAULTS.map(({ name }) => name) },
        fromS: { ...time, description: 'Start of the time in which it must be set' },
        toS: { ...time, description: 'End of that time' },
        never: { const: true, description: 'Instead of a time: it must not be set' },
        faults: { const: 'none', description: 'Alone: no fault may be set' },
      },
    },
  };
}

/** The run that requirements are for. */
export interface RequiredRun {
  readonly rows: number;
  readonly seconds: number;
}

/** Makes an InputError at a key of a requirement, or at the requirement itself. */
type ErrorAt = (key: string | undefined, problem: ValueProblem) => InputError;

function checkRow(row: number, rows: number, errorAt: ErrorAt): void {
  if (row > rows) throw errorAt('row', { problem: `row is ${row}`, allowed: `between 1 and ${rows}` });
}

function checkMetric({ metric, min, max, over, row }: MetricRequirement, { rows }: RequiredRun, errorAt: ErrorAt): void {
  if (min === undefined && max === undefined) throw errorAt(undefined, { problem: `${metric} needs min, max, or both` });
  if (min !== undefined && max !== undefined && min > max) {
    throw errorAt('min', { problem: `min is ${min}, but max is ${max}`, hint: 'min must be at most max' });
  }
  const isOfRows = ROW_METRICS.some(({ name }) => name === metric);
  const stray = over !== undefined ? 'over' : 'row';
  if (!isOfRows && (over ?? row) !== undefined) {
    throw errorAt(stray, { problem: `${metric} is a metric of the bank and has no ${stray}` });
  }
  if (over !== undefined && row !== undefined) throw errorAt('over', { problem: 'over and row exclude each other' });
  if (row !== undefined) checkRow(row, rows, errorAt);
}

function checkFault({ fault, row, fromS, toS, never }: FaultRequirement, { rows, seconds }: RequiredRun, errorAt: ErrorAt): void {
  const isOfRow = FAULTS.find(({ name }) => name === fault)?.scope === 'row';
  if (isOfRow && row === undefined) throw errorAt(undefined, { problem: `${fault} needs a row between 1 and ${rows}` });
  if (!isOfRow && row !== undefined) throw errorAt('row', { problem: `${fault} is a fault of the bank and has no row` });
  if (row !== undefined) checkRow(row, rows, errorAt);
  if (never) {
    if ((fromS ?? toS) !== undefined) throw errorAt('never', { problem: 'never excludes fromS and toS' });
    return;
  }
  if (fromS === undefined || toS === undefined) {
    throw errorAt(undefined, { problem: `${fault} needs fromS and toS, or never: true` });
  }
  if (!(fromS < toS)) throw errorAt('toS', { problem: `toS is ${toS}`, allowed: `greater than fromS, ${fromS} s` });
  if (toS > seconds) throw errorAt('toS', { problem: `toS is ${toS}`, allowed: `at most ${seconds} s, the end of the run` });
}

/**
 * Checks what the schema cannot express of a list of requirements, and returns the list.
 * @param path of the list in the file
 * @throws InputError at a key that contradicts the others, the metric or fault, or the run
 */
export function checkRequirements(
  written: readonly unknown[],
  run: RequiredRun,
  file: YamlFile<unknown>,
  path: YamlPath,
): readonly Requirement[] {
  for (const [index, one] of written.entries()) {
    const errorAt: ErrorAt = (key, problem) => file.errorAt([...path, index, ...(key === undefined ? [] : [key])], problem);
    const keys = Object.keys(Object(one));
    const kind = KINDS.find((name) => keys.includes(name));
    if (kind === undefined) throw errorAt(undefined, { problem: `a requirement needs one of the keys ${KINDS.join(', ')}` });
    const stray = keys.find((key) => !(KEYS[kind] as readonly string[]).includes(key));
    if (stray !== undefined) {
      const hint = `The keys beside ${kind} are ${KEYS[kind].slice(1).join(', ')}`;
      throw errorAt(stray, { problem: `${stray} cannot be combined with ${kind}`, ...(KEYS[kind].length > 1 ? { hint } : {}) });
    }
    if (kind === 'metric') checkMetric(one as MetricRequirement, run, errorAt);
    if (kind === 'fault') checkFault(one as FaultRequirement, run, errorAt);
  }
  return written as readonly Requirement[];
}

/** A requirement in words, what was measured, and whether the requirement is met. */
export interface RequirementResult {
  readonly requirement: string;
  readonly measured: string;
  readonly met: boolean;
  /** The same as numbers, of a requirement on a metric. */
  readonly quantity?: RequiredQuantity;
}

/** A metric, its value and its limits, in its unit. */
export interface RequiredQuantity {
  readonly metric: MetricName;
  /** The metric and how it is combined: `loadRmsN, mean over rows`. */
  readonly of: string;
  readonly unit: UnitName;
  readonly value: number;
  readonly min?: number;
  readonly max?: number;
}

/** A requirement on a quantity in words, and what was measured, as it is shown in a unit. */
export function quantityWords(
  { of, value, min, max }: RequiredQuantity,
  symbol: string,
): Pick<RequirementResult, 'requirement' | 'measured'> {
  const limits = min === undefined ? `at most ${max}` : max === undefined ? `at least ${min}` : `${min} to ${max}`;
  return {
    requirement: `${of}: ${limits} ${symbol}`.trimEnd(),
    measured: Number.isNaN(value) ? 'no value' : `${shortened(value)} ${symbol}`.trimEnd(),
  };
}

/** Enough digits that a value just beyond a limit does not look like the limit. */
const DIGITS = 6;

/** Returns the value that a requirement is about, with its description and unit. */
function requiredValue({ metric, over, row }: MetricRequirement, metrics: Metrics): { value: number; of: string; unit: UnitName } {
  const ofBank = BANK_METRICS.find(({ name }) => name === metric);
  if (ofBank !== undefined) return { value: metrics.bank[ofBank.name], of: metric, unit: ofBank.unit };
  const ofRow = ROW_METRICS.find(({ name }) => name === metric);
  if (ofRow === undefined) throw new Error(`there is no metric ${metric}`);
  const { name, unit } = ofRow;
  if (row !== undefined) return { value: metrics.byRow[name][row - 1] ?? Number.NaN, of: `${name} of row ${row}`, unit };
  const combined = over ?? ofRow.over;
  return { value: metrics.over[name][combined], of: `${name}, ${combined} over rows`, unit };
}

/** Also after a conversion, of which a limit has all digits. */
export const shortened = (value: number): number => Number(value.toPrecision(DIGITS));

function metricResult(requirement: MetricRequirement, metrics: Metrics): RequirementResult {
  const { metric, min, max } = requirement;
  const required = requiredValue(requirement, metrics);
  const { value, unit } = required;
  const quantity = { metric, ...required, ...(min === undefined ? {} : { min }), ...(max === undefined ? {} : { max }) };
  return {
    ...quantityWords(quantity, UNITS[unit].symbol),
    // Written so that NaN never meets a requirement.
    met: value >= (min ?? Number.NEGATIVE_INFINITY) && value <= (max ?? Number.POSITIVE_INFINITY),
    quantity,
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

/** A requirement that is not met and where: the time in which it should have been, or in which a fault was set. */
export interface UnmetRequirement {
  readonly result: RequirementResult;
  readonly row: number;
  readonly fromS: number;
  readonly toS: number;
}

function unmetPlace(requirement: Requirement, { faults, seconds }: Metrics): Omit<UnmetRequirement, 'result'> {
  if ('metric' in requirement) return { row: requirement.row ?? 0, fromS: 0, toS: seconds };
  const { row = 0 } = 'fault' in requirement ? requirement : { row: faults[0]?.row };
  if ('fault' in requirement && !requirement.never) return { row, fromS: requirement.fromS ?? 0, toS: requirement.toS ?? seconds };
  const set = 'fault' in requirement ? faults.find((span) => span.name === requirement.fault && span.row === row) : faults[0];
  return { row, fromS: set?.fromS ?? 0, toS: set?.toS ?? seconds };
}

/** The requirements that a run does not meet, with their places: of a metric the whole run, since it is computed from all of it. */
export function unmetRequirements(metrics: Metrics, requirements: readonly Requirement[]): UnmetRequirement[] {
  return evaluateRequirements(metrics, requirements).flatMap((result, index) => {
    const requirement = requirements[index];
    return result.met || requirement === undefined ? [] : [{ result, ...unmetPlace(requirement, metrics) }];
  });
}
