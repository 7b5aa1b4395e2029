import { type Metric, REPLAY_METRICS, type ReplayMetricName } from '../assess/metrics.js';
import type { ParameterValues } from '../contract/contract.js';
import type { Change } from '../replay/change.js';
import { isStroke } from '../replay/strokes.js';
import type { MemoryField, WasmRunner } from '../runner/wasm-runner.js';
import type { MetricChange } from './review.js';

/*
 * Metrics of a run over recorded inputs, as the controller itself reckons them: there is no machine whose truth could be asked,
 * and recorded loads do not answer to other orders.
 */

/** A field, or what stands for it in a build that has no such field. */
function fieldOf(target: WasmRunner, place: string, name: string): MemoryField | undefined {
  const { records, places } = target.description.contract;
  const record = records.find((one) => one.name === places.find((each) => each.name === place)?.record);
  return record?.fields.some((field) => field.name === name) ? target.field(place, name) : undefined;
}

const has = (text: string): Set<string> => new Set(text === 'none' || text === '' ? [] : text.split('+'));

/** Sums a side's metrics up, tick by tick. */
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

  constructor(private readonly target: WasmRunner) {
    const { enums } = target.description.contract;
    this.mode = fieldOf(target, 'rowOutput', 'mode');
    this.error = fieldOf(target, 'rowProbe', 'loadErrorN');
    this.flowing = fieldOf(target, 'pairState', 'flowWish');
    this.step = fieldOf(target, 'rowProbe', 'supplyStepKpa');
    this.compliance = fieldOf(target, 'rowProbe', 'compliance');
    this.closeWait = fieldOf(target, 'rowProbe', 'closeWaitTicks');
    this.working = enums.RowMode?.indexOf('working') ?? -1;
    this.raising = enums.Wish?.indexOf('raise') ?? -1;
  }

  take(): void {
    this.ticks += 1;
    for (let row = 0; row < this.target.rows; row++) this.takeRow(row);
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

  /** @param changes all changes of the side's outputs @param values parameters in force */
  metrics(changes: readonly Change[], tickHz: number, values: ParameterValues): Record<ReplayMetricName, number> {
    const { parameters } = this.target.description.contract;
    const { rows } = this.target;
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
      faultsSet: faultsSet(changes),
    };
  }
}

function faultsSet(changes: readonly Change[]): number {
  const now = new Map<number, Set<string>>();
  let raised = 0;
  for (const { row, signal, value } of changes) {
    if (signal !== 'faults') continue;
    const before = now.get(row);
    const faults = has(value);
    for (const fault of faults) if (before?.has(fault) !== true) raised += 1;
    now.set(row, faults);
  }
  return raised;
}

const orNull = (value: number): number | null => (Number.isFinite(value) ? value : null);

/** How much worse a metric has become, as a share of the old value; a metric that was 0 counts as worse by 1. */
export function worseBy(old: number | null, fresh: number | null, worse: 'more' | 'less'): number {
  if (old === null || fresh === null || old === fresh) return 0;
  const share = old === 0 ? Math.sign(fresh) : (fresh - old) / Math.abs(old);
  return worse === 'more' ? share : -share;
}

/** A metric on both sides, judged. */
export function metricChange(
  { name, unit, worse, help }: Pick<Metric, 'name' | 'unit' | 'worse' | 'help'>,
  oldValue: number,
  newValue: number,
): MetricChange {
  const old = orNull(oldValue);
  const fresh = orNull(newValue);
  return { name, unit, help, old, new: fresh, worseBy: worseBy(old, fresh, worse) };
}

/** Worst first; where nothing is worse, in the table's order. */
export const worstFirst = (metrics: readonly MetricChange[]): MetricChange[] => [...metrics].sort((a, b) => b.worseBy - a.worseBy);

export const replayMetrics = (old: Record<ReplayMetricName, number>, fresh: Record<ReplayMetricName, number>): MetricChange[] =>
  worstFirst(REPLAY_METRICS.map((metric) => metricChange(metric, old[metric.name], fresh[metric.name])));
