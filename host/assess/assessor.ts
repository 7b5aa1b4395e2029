import { dataViewOf } from '../common/data-view.js';
import type { Contract } from '../contract/contract.js';
import type { MessageName } from '../contract/messages.js';
import { FaultList } from './fault-list.js';
import { MessageFields, type MessageViews } from './message-fields.js';
import {
  type AssessedSegment,
  type BankMetricName,
  CYCLE_MIN_KPA,
  type CycleBin,
  type Metrics,
  type Over,
  ROW_METRICS,
  type RowMetricName,
  SEGMENT_METRICS,
  SETTLED_S,
  type SegmentMetrics,
} from './metrics.js';
import { growthOf, RowTally, type RunEnds } from './row-tally.js';

export interface AssessSetup {
  readonly contract: Contract;
  readonly rows: number;
  readonly tickHz: number;
  /** A view of each kind of message. The views stay the same throughout a run; their contents change. */
  readonly views: Readonly<Record<MessageName, Uint8Array>>;
  /** Segments of the field, from the start of the pass on. */
  readonly segments?: readonly AssessedSegment[];
}

/** Offsets of the bank's fields in their messages, bytes. */
function offsetsOf(contract: Contract) {
  const output = new MessageFields(contract, 'output');
  const truth = new MessageFields(contract, 'truth');
  return {
    mode: output.bank('mode', 'u8'),
    faults: output.bank('faults', 'u32'),
    target: new MessageFields(contract, 'probe').bank('targetLoadN', 'f32'),
    coils: truth.bank('coilsA', 'f32'),
    bank: truth.bank('bankV', 'f32'),
    rail: truth.bank('railTrueKpa', 'f32'),
    hydraulic: truth.bank('hydraulicJ', 'f32'),
    distance: truth.bank('distanceM', 'f32'),
  };
}

type RowMetrics = Record<RowMetricName, number>;

/** Returns a value for each row metric. */
const forEachRowMetric = <Value>(make: (metric: (typeof ROW_METRICS)[number]) => Value): Record<RowMetricName, Value> =>
  Object.fromEntries(ROW_METRICS.map((metric) => [metric.name, make(metric)])) as Record<RowMetricName, Value>;

const sumOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0);

function spreadOf(values: readonly number[]): Record<Over, number> {
  if (values.length === 0) return { mean: Number.NaN, min: Number.NaN, max: Number.NaN };
  return { mean: sumOf(values) / values.length, min: Math.min(...values), max: Math.max(...values) };
}

/**
 * Computes the metrics of a run tick by tick, of a simulation or a recording. A tick allocates nothing, and memory does not grow
 * with time.
 */
export class Assessor {
  readonly #tickHz: number;
  readonly #settleTicks: number;
  readonly #working: number;
  readonly #offsets: ReturnType<typeof offsetsOf>;
  readonly #views: MessageViews;
  readonly #truth: Uint8Array;
  readonly #before: Uint8Array;
  readonly #after: Uint8Array;
  readonly #rows: readonly RowTally[];
  readonly #faults: FaultList;
  readonly #bins = new Map<number, number>();
  readonly #segments: readonly AssessedSegment[];
  #segment = 0;
  #ticks = 0;
  #firstTick = 0;
  #workingTicks = 0;
  #assessedTicks = 0;
  #peakCoilsA = Number.NEGATIVE_INFINITY;
  #bankMinV = Number.POSITIVE_INFINITY;
  #railMinKpa = Number.POSITIVE_INFINITY;

  constructor({ contract, rows, tickHz, views, segments = [] }: AssessSetup) {
    const { input, output, probe, truth } = views;
    this.#tickHz = tickHz;
    this.#settleTicks = SETTLED_S * tickHz;
    this.#working = contract.enums.BankMode?.indexOf('working') ?? -1;
    this.#offsets = offsetsOf(contract);
    this.#views = { input: dataViewOf(input), output: dataViewOf(output), probe: dataViewOf(probe), truth: dataViewOf(truth) };
    this.#truth = truth;
    this.#segments = segments;
    this.#before = new Uint8Array(truth.length);
    this.#after = new Uint8Array(truth.length);
    const onCycle = (rangeKpa: number, _meanKpa: number, count: number): void => {
      const bin = Math.floor(rangeKpa / CYCLE_MIN_KPA);
      this.#bins.set(bin, (this.#bins.get(bin) ?? 0) + count);
    };
    this.#rows = Array.from({ length: rows }, (_, row) => new RowTally(contract, this.#views, row, tickHz, onCycle, segments.length));
    this.#faults = new FaultList(contract.faults, rows);
  }

  /**
   * Processes a tick from the views. The first may be any; a run that starts at tick 0 starts with all counters at 0.
   * @throws Error when the tick does not follow the last one
   */
  take(tick: number): void {
    if (this.#ticks === 0) this.#start(tick);
    if (tick !== this.#firstTick + this.#ticks) throw new Error(`tick ${tick} after tick ${this.#firstTick + this.#ticks - 1}`);
    this.#ticks++;
    this.#after.set(this.#truth);
    const { output, probe, truth } = this.#views;
    const offsets = this.#offsets;
    this.#peakCoilsA = Math.max(this.#peakCoilsA, truth.getFloat32(offsets.coils, true));
    this.#bankMinV = Math.min(this.#bankMinV, truth.getFloat32(offsets.bank, true));
    this.#railMinKpa = Math.min(this.#railMinKpa, truth.getFloat32(offsets.rail, true));
    this.#faults.take(0, output.getUint32(offsets.faults, true), tick);
    const isWorking = output.getUint8(offsets.mode) === this.#working;
    this.#workingTicks = isWorking ? this.#workingTicks + 1 : 0;
    if (this.#workingTicks > this.#settleTicks) this.#assessedTicks++;
    const targetN = probe.getFloat32(offsets.target, true);
    while (truth.getFloat32(offsets.distance, true) >= (this.#segments[this.#segment + 1]?.fromM ?? Number.POSITIVE_INFINITY))
      this.#segment++;
    let row = 0;
    for (const tally of this.#rows) {
      tally.take(isWorking, targetN, this.#segment);
      this.#faults.take(++row, tally.faults, tick);
    }
  }

  #start(tick: number): void {
    this.#firstTick = tick;
    if (tick > 0) this.#before.set(this.#truth);
  }

  /** Returns the metrics of the run. @throws Error when there was no tick */
  finish(): Metrics {
    if (this.#ticks === 0) throw new Error('there was no tick');
    const endTick = this.#firstTick + this.#ticks;
    const run: RunEnds = {
      seconds: this.#ticks / this.#tickHz,
      countedS: (this.#firstTick === 0 ? this.#ticks : this.#ticks - 1) / this.#tickHz,
      before: dataViewOf(this.#before),
      after: dataViewOf(this.#after),
    };
    const rows = this.#rows.map((tally) => tally.metrics(run));
    return {
      rows: this.#rows.length,
      seconds: run.seconds,
      byRow: forEachRowMetric(({ name }) => rows.map((one) => one[name])),
      over: this.#over(rows),
      bank: this.#bank(run, rows),
      faults: this.#faults.spans(this.#tickHz, endTick),
      pressureCycles: this.#cycleBins(),
      ...(this.#segments.length === 0 ? {} : { segments: this.#segments.map((one, index) => this.#segmentMetrics(one, index)) }),
    };
  }

  #segmentMetrics(segment: AssessedSegment, index: number): SegmentMetrics {
    const rows = this.#rows.map((tally) => tally.segment(index));
    const assessed = rows.filter(({ ticks }) => ticks > 0);
    return {
      name: segment.name,
      fromM: segment.fromM,
      toM: segment.toM,
      assessedS: sumOf(rows.map(({ ticks }) => ticks)) / rows.length / this.#tickHz,
      over: Object.fromEntries(
        SEGMENT_METRICS.map(({ name }) => [
          name,
          spreadOf(assessed.map(({ metrics }) => (metrics as Partial<RowMetrics>)[name] ?? Number.NaN)),
        ]),
      ),
    };
  }

  #over(rows: readonly RowMetrics[]): Metrics['over'] {
    return forEachRowMetric(({ name, during }) => {
      const counted = rows.filter((_, row) => this.#rows[row]?.has(during));
      return spreadOf(counted.map((one) => one[name]));
    });
  }

  #bank(run: RunEnds, rows: readonly RowMetrics[]): Record<BankMetricName, number> {
    const total = (name: RowMetricName): number => sumOf(rows.map((one) => one[name]));
    return {
      assessedS: this.#assessedTicks / this.#tickHz,
      oilTotalLpm: total('oilLpm'),
      hydraulicW: growthOf(run, this.#offsets.hydraulic) / run.countedS,
      coilTotalW: total('coilW'),
      coilTotalLossW: total('coilLossW'),
      bankStrokesPerMin: total('strokesPerMin'),
      peakCoilsA: this.#peakCoilsA,
      bankMinV: this.#bankMinV,
      railMinKpa: this.#railMinKpa,
      missedStrokesTotal: total('missedStrokes'),
      faultsSet: this.#faults.timesSet,
    };
  }

  #cycleBins(): CycleBin[] {
    return [...this.#bins].map(([bin, count]) => ({ fromKpa: bin * CYCLE_MIN_KPA, count })).sort((a, b) => a.fromKpa - b.fromKpa);
  }
}
