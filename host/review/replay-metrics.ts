import { type Metric, REPLAY_METRICS, type ReplayMetricName } from '../assess/metrics.js';
import type { ParameterValues } from '../contract/contract.js';
import type { Change } from '../replay/change.js';
import { isStroke } from '../replay/strokes.js';
import type { MemoryField, WasmRunner } from '../runner/wasm-runner.js';
import { worstFirst } from './harm.js';
import type { MetricChange } from './review.js';

/*
 * Metrics of a run over recorded inputs, from the controller's own estimates: there is no simulated machine to measure, and recorded
 * loads do not respond to different orders.
 */

/** A field, or undefined for a build that does not have it. */
function fieldOf(runner: WasmRunner, place: string, name: string): MemoryField | undefined {
  const { records, places } = runner.description.contract;
  const record = records.find((one) => one.name === places.find((each) => each.name === place)?.record);
  return record?.fields.some((field) => field.name === name) ? runner.field(place, name) : undefined;
}

const namesIn = (text: string): Set<string> => new Set(text === 'none' || text === '' ? [] : text.split('+'));

/** Sums up the metrics of one side, tick by tick. */
export class ReplayTally {
  private readonly mode: MemoryField | undefined;
  private readonly error: MemoryField | undefined;
  private readonly flowing: MemoryField | undefined;
  private readonly step: MemoryField | undefined;
  private readonly compliance: MemoryField | undefined;
  private readonly closeWait: MemoryField | undefined;
  private readonly working: number;
  private readonly raising: number;
  private workedTicks = 0;
  private squaresN2 = 0;
  private oilMl = 0;
  private longestWaitTicks = 0;
  private ticks = 0;

  constructor(private readonly runner: WasmRunner) {
    const { enums } = runner.description.contract;
    this.mode = fieldOf(runner, 'rowOutput', 'mode');
    this.error = fieldOf(runner, 'rowProbe', 'loadErrorN');
    this.flowing = fieldOf(runner, 'pairState', 'flowWish');
    this.step = fieldOf(runner, 'rowProbe', 'supplyStepKpa');
    this.compliance = fieldOf(runner, 'rowProbe', 'compliance');
    this.closeWait = fieldOf(runner, 'rowProbe', 'closeWaitTicks');
    this.working = enums.RowMode?.indexOf('working') ?? -1;
    this.raising = enums.Wish?.indexOf('raise') ?? -1;
  }

  take(): void {
    this.ticks += 1;
    for (let row = 0; row < this.runner.rows; row++) this.takeRow(row);
  }

  private takeRow(row: number): void {
    const { mode, error, flowing, step, compliance, closeWait } = this;
    if (mode?.get(row) === this.working && error !== undefined) {
      const errorN = error.get(row);
      if (Number.isFinite(errorN)) {
        this.workedTicks += 1;
        this.squaresN2 += errorN * errorN;
      }
    }
    if (flowing?.get(row) === this.raising)
      this.oilMl += Math.max(0, (step?.get(row) ?? Number.NaN) * (compliance?.get(row) ?? Number.NaN));
    this.longestWaitTicks = Math.max(this.longestWaitTicks, closeWait?.get(row) ?? 0);
  }

  /**
   * Metrics of the ticks taken so far; NaN for those that the build has no fields for.
   * @param changes all changes of the side's outputs
   * @param values parameters that were set
   */
  metrics(changes: readonly Change[], tickHz: number, values: ParameterValues): Record<ReplayMetricName, number> {
    const { parameters } = this.runner.description.contract;
    const { rows } = this.runner;
    const strokeMj = values.strokeMj ?? parameters.find(({ name }) => name === 'strokeMj')?.default ?? Number.NaN;
    const rowMinutes = (rows * this.ticks) / tickHz / 60;
    const strokes = changes.filter(isStroke);
    const perMin = (count: number): number => (rowMinutes === 0 ? Number.NaN : count / rowMinutes);
    return {
      measuredErrorRmsN: Math.sqrt(this.squaresN2 / this.workedTicks),
      pulsesPerMin: perMin(strokes.filter(({ value }) => value === 'open').length),
      strokesPerMin: perMin(strokes.length),
      estimatedOilLpm: this.flowing === undefined ? Number.NaN : perMin(this.oilMl / 1000),
      strokeW: perMin(strokes.length * strokeMj) / 60_000,
      longestCloseWaitMs: this.closeWait === undefined ? Number.NaN : (this.longestWaitTicks * 1000) / tickHz,
      faultsSet: countFaultsSet(changes),
      bothOrderedOpenMs: (bothOrderedOpenTicks(strokes, this.ticks) * 1000) / tickHz,
    };
  }
}

/** Ticks in which both valves of a row were ordered open, over all rows. @param strokes in order of time */
function bothOrderedOpenTicks(strokes: readonly Change[], ticks: number): number {
  const open = new Set<string>();
  const since = new Map<number, number>();
  let sum = 0;
  for (const { row, signal, value, tick } of strokes) {
    if (value === 'open') open.add(`${row} ${signal}`);
    else open.delete(`${row} ${signal}`);
    const isBoth = open.has(`${row} supplyOrder`) && open.has(`${row} returnOrder`);
    const from = since.get(row);
    if (isBoth && from === undefined) since.set(row, tick);
    else if (!isBoth && from !== undefined) {
      sum += tick - from;
      since.delete(row);
    }
  }
  return [...since.values()].reduce((total, from) => total + ticks - from, sum);
}

function countFaultsSet(changes: readonly Change[]): number {
  const current = new Map<number, Set<string>>();
  let count = 0;
  for (const { row, signal, value } of changes) {
    if (signal !== 'faults') continue;
    const before = current.get(row);
    const faults = namesIn(value);
    for (const fault of faults) if (before?.has(fault) !== true) count += 1;
    current.set(row, faults);
  }
  return count;
}

const orNull = (value: number): number | null => (Number.isFinite(value) ? value : null);

/** Returns how much worse a metric is, as a share of base; a metric that was 0 is worse or better by 1. */
export function worseBy(base: number | null, head: number | null, worse: 'more' | 'less'): number {
  if (base === null || head === null || base === head) return 0;
  const share = base === 0 ? Math.sign(head) : (head - base) / Math.abs(base);
  return worse === 'more' ? share : -share;
}

/** Compares a metric of both sides; values that are not finite become null. */
export function metricChange(
  { name, unit, worse, help }: Pick<Metric, 'name' | 'unit' | 'worse' | 'help'>,
  baseValue: number,
  headValue: number,
): MetricChange {
  const base = orNull(baseValue);
  const head = orNull(headValue);
  return { name, unit, help, base, head, worseBy: worseBy(base, head, worse) };
}

export const replayMetrics = (base: Record<ReplayMetricName, number>, head: Record<ReplayMetricName, number>): MetricChange[] =>
  worstFirst(REPLAY_METRICS.map((metric) => metricChange(metric, base[metric.name], head[metric.name])));
