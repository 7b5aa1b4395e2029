import type { UnitName } from '../../shared/units.js';
import type { ParameterValues } from '../contract/contract.js';
import type { Change } from '../replay/change.js';
import { isStroke } from '../replay/strokes.js';
import type { MemoryField, WasmRunner } from '../runner/wasm-runner.js';
import type { FigureChange } from './review.js';

/*
 * Figures of a run over recorded inputs, as the controller itself reckons them: there is no machine whose truth could be asked,
 * and recorded loads do not answer to other orders.
 */

interface FigureKind {
  readonly name: string;
  readonly unit: UnitName;
  /** Which way it gets worse. */
  readonly worse: 'more' | 'less';
  readonly help: string;
}

// biome-ignore format: a table reads best with one figure to a line
const FIGURES = [
  { name: 'seenLoadRmsN', unit: 'newton', worse: 'more', help: 'Root of the mean square of target less filtered load, while a row works' },
  { name: 'pulsesPerMin', unit: 'perMinute', worse: 'more', help: 'Openings of both valves ordered, mean of the rows' },
  { name: 'strokesPerMin', unit: 'perMinute', worse: 'more', help: 'Strokes ordered, mean of the rows' },
  { name: 'reckonedOilLpm', unit: 'litrePerMinute', worse: 'more', help: 'Oil through open supply valves as reckoned from pressures and learned gains, mean of the rows' },
  { name: 'strokeW', unit: 'watt', worse: 'more', help: 'Energy of the strokes over time, at strokeMj each, mean of the rows' },
  { name: 'longestCloseWaitMs', unit: 'millisecond', worse: 'more', help: 'Longest that the end of a pulse has waited for its turn' },
  { name: 'faultsRaised', unit: 'none', worse: 'more', help: 'Faults raised, of bank and rows' },
] as const satisfies readonly FigureKind[];
type FigureName = (typeof FIGURES)[number]['name'];

/** A field, or what stands for it in a build that has no such field. */
function fieldOf(target: WasmRunner, place: string, name: string): MemoryField | undefined {
  const { records, places } = target.description.contract;
  const record = records.find((one) => one.name === places.find((each) => each.name === place)?.record);
  return record?.fields.some((field) => field.name === name) ? target.field(place, name) : undefined;
}

const has = (text: string): Set<string> => new Set(text === 'none' || text === '' ? [] : text.split('+'));

/** Sums a side's figures up, tick by tick. */
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
  figures(changes: readonly Change[], tickHz: number, values: ParameterValues): Record<FigureName, number> {
    const { parameters } = this.target.description.contract;
    const { rows } = this.target;
    const strokeMj = values.strokeMj ?? parameters.find(({ name }) => name === 'strokeMj')?.default ?? Number.NaN;
    const rowMinutes = (rows * this.ticks) / tickHz / 60;
    const strokes = changes.filter(isStroke);
    const perMin = (count: number): number => (rowMinutes === 0 ? Number.NaN : count / rowMinutes);
    return {
      seenLoadRmsN: Math.sqrt(this.squaresN2 / this.workedTicks),
      pulsesPerMin: perMin(strokes.filter(({ value }) => value === 'open').length),
      strokesPerMin: perMin(strokes.length),
      reckonedOilLpm: this.flowing === undefined ? Number.NaN : perMin(this.oilMl / 1000),
      strokeW: perMin(strokes.length * strokeMj) / 60_000,
      longestCloseWaitMs: this.closeWait === undefined ? Number.NaN : (this.longestWaitTicks * 1000) / tickHz,
      faultsRaised: faultsRaised(changes),
    };
  }
}

function faultsRaised(changes: readonly Change[]): number {
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

/** How much worse a figure has become, as a share of the old value; a figure that was 0 counts as worse by 1. */
export function worseBy(old: number | null, fresh: number | null, worse: 'more' | 'less'): number {
  if (old === null || fresh === null || old === fresh) return 0;
  const share = old === 0 ? Math.sign(fresh) : (fresh - old) / Math.abs(old);
  return worse === 'more' ? share : -share;
}

/** A figure on both sides, judged. */
export function figureChange({ name, unit, worse, help }: FigureKind, oldValue: number, newValue: number): FigureChange {
  const old = orNull(oldValue);
  const fresh = orNull(newValue);
  return { name, unit, help, old, new: fresh, worseBy: worseBy(old, fresh, worse) };
}

/** Worst first; where nothing is worse, in the table's order. */
export const worstFirst = (figures: readonly FigureChange[]): FigureChange[] => [...figures].sort((a, b) => b.worseBy - a.worseBy);

export const replayFigures = (old: Record<FigureName, number>, fresh: Record<FigureName, number>): FigureChange[] =>
  worstFirst(FIGURES.map((figure) => figureChange(figure, old[figure.name], fresh[figure.name])));
