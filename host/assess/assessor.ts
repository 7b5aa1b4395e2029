import type { Contract } from '../contract/contract.js';
import type { MessageName } from '../contract/messages.js';
import { FaultList } from './fault-list.js';
import { MessageFields } from './message-fields.js';
import {
  type BankMetricName,
  CYCLE_MIN_KPA,
  type CycleBin,
  type Metrics,
  type Over,
  ROW_METRICS,
  type RowMetricName,
  SETTLED_S,
} from './metrics.js';
import { growthOf, type MessageViews, RowTally, type RunEnds } from './row-tally.js';

export interface AssessSetup {
  readonly contract: Contract;
  readonly rows: number;
  readonly tickHz: number;
  /** A message of each kind. The views stay the same all through a run; what they show changes from tick to tick. */
  readonly views: Readonly<Record<MessageName, Uint8Array>>;
}

const viewOf = ({ buffer, byteOffset, byteLength }: Uint8Array): DataView => new DataView(buffer, byteOffset, byteLength);

/** Where the bank's fields stand, bytes from the begin of their message. */
function placesOf(contract: Contract) {
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
  };
}

type RowMetrics = Record<RowMetricName, number>;

/** Something for each metric of rows. */
const forEach = <Value>(make: (metric: (typeof ROW_METRICS)[number]) => Value): Record<RowMetricName, Value> =>
  Object.fromEntries(ROW_METRICS.map((metric) => [metric.name, make(metric)])) as Record<RowMetricName, Value>;

const sumOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0);

function spreadOf(values: readonly number[]): Record<Over, number> {
  if (values.length === 0) return { mean: Number.NaN, min: Number.NaN, max: Number.NaN };
  return { mean: sumOf(values) / values.length, min: Math.min(...values), max: Math.max(...values) };
}

/**
 * Works the metrics of a run out while it runs, of a simulation or a recording. A tick allocates nothing, and memory does not
 * grow with time.
 */
export class Assessor {
  readonly #tickHz: number;
  readonly #settleTicks: number;
  readonly #working: number;
  readonly #places: ReturnType<typeof placesOf>;
  readonly #views: MessageViews;
  readonly #truth: Uint8Array;
  readonly #before: Uint8Array;
  readonly #after: Uint8Array;
  readonly #rows: readonly RowTally[];
  readonly #faults: FaultList;
  readonly #bins = new Map<number, number>();
  #ticks = 0;
  #firstTick = 0;
  #workingTicks = 0;
  #assessedTicks = 0;
  #peakCoilsA = Number.NEGATIVE_INFINITY;
  #bankMinV = Number.POSITIVE_INFINITY;
  #railMinKpa = Number.POSITIVE_INFINITY;

  constructor({ contract, rows, tickHz, views }: AssessSetup) {
    const { input, output, probe, truth } = views;
    this.#tickHz = tickHz;
    this.#settleTicks = SETTLED_S * tickHz;
    this.#working = contract.enums.BankMode?.indexOf('working') ?? -1;
    this.#places = placesOf(contract);
    this.#views = { input: viewOf(input), output: viewOf(output), probe: viewOf(probe), truth: viewOf(truth) };
    this.#truth = truth;
    this.#before = new Uint8Array(truth.length);
    this.#after = new Uint8Array(truth.length);
    const onCycle = (rangeKpa: number, _meanKpa: number, count: number): void => {
      const bin = Math.floor(rangeKpa / CYCLE_MIN_KPA);
      this.#bins.set(bin, (this.#bins.get(bin) ?? 0) + count);
    };
    this.#rows = Array.from({ length: rows }, (_, row) => new RowTally(contract, this.#views, row, tickHz, onCycle));
    this.#faults = new FaultList(contract.faults, rows);
  }

  /**
   * Takes a tick in, as the views show it. The first may be any; a run that begins at tick 0 begins with all counters at 0.
   * @throws Error when the tick is not the one after the last
   */
  take(tick: number): void {
    if (this.#ticks === 0) this.#begin(tick);
    if (tick !== this.#firstTick + this.#ticks) throw new Error(`tick ${tick} after tick ${this.#firstTick + this.#ticks - 1}`);
    this.#ticks++;
    this.#after.set(this.#truth);
    const { output, probe, truth } = this.#views;
    const places = this.#places;
    this.#peakCoilsA = Math.max(this.#peakCoilsA, truth.getFloat32(places.coils, true));
    this.#bankMinV = Math.min(this.#bankMinV, truth.getFloat32(places.bank, true));
    this.#railMinKpa = Math.min(this.#railMinKpa, truth.getFloat32(places.rail, true));
    this.#faults.take(0, output.getUint32(places.faults, true), tick);
    const isWorking = output.getUint8(places.mode) === this.#working;
    this.#workingTicks = isWorking ? this.#workingTicks + 1 : 0;
    if (this.#workingTicks > this.#settleTicks) this.#assessedTicks++;
    const targetN = probe.getFloat32(places.target, true);
    let row = 0;
    for (const tally of this.#rows) {
      tally.take(isWorking, targetN);
      this.#faults.take(++row, tally.faults, tick);
    }
  }

  #begin(tick: number): void {
    this.#firstTick = tick;
    if (tick > 0) this.#before.set(this.#truth);
  }

  /** The run is over. @throws Error when no tick was taken */
  finish(): Metrics {
    if (this.#ticks === 0) throw new Error('no tick was taken');
    const endTick = this.#firstTick + this.#ticks;
    const run: RunEnds = {
      seconds: this.#ticks / this.#tickHz,
      countedS: (this.#firstTick === 0 ? this.#ticks : this.#ticks - 1) / this.#tickHz,
      before: viewOf(this.#before),
      after: viewOf(this.#after),
    };
    const each = this.#rows.map((tally) => tally.metrics(run));
    return {
      rows: this.#rows.length,
      seconds: run.seconds,
      byRow: forEach(({ name }) => each.map((one) => one[name])),
      over: this.#over(each),
      bank: this.#bank(run, each),
      faults: this.#faults.spans(this.#tickHz, endTick),
      pressureCycles: this.#cycleBins(),
    };
  }

  #over(each: readonly RowMetrics[]): Metrics['over'] {
    const isAssessed = this.#rows.map(({ assessedTicks }) => assessedTicks > 0);
    return forEach(({ name, during }) => {
      const counting = each.filter((_, row) => during === 'run' || isAssessed[row]);
      return spreadOf(counting.map((one) => one[name]));
    });
  }

  #bank(run: RunEnds, each: readonly RowMetrics[]): Record<BankMetricName, number> {
    const total = (name: RowMetricName): number => sumOf(each.map((one) => one[name]));
    return {
      assessedS: this.#assessedTicks / this.#tickHz,
      oilTotalLpm: total('oilLpm'),
      hydraulicW: growthOf(run, this.#places.hydraulic) / run.countedS,
      coilTotalW: total('coilW'),
      coilTotalLossW: total('coilLossW'),
      bankStrokesPerMin: total('strokesPerMin'),
      peakCoilsA: this.#peakCoilsA,
      bankMinV: this.#bankMinV,
      railMinKpa: this.#railMinKpa,
      missedStrokesTotal: total('missedStrokes'),
      faultsSet: this.#faults.raised,
    };
  }

  #cycleBins(): CycleBin[] {
    return [...this.#bins].map(([bin, count]) => ({ fromKpa: bin * CYCLE_MIN_KPA, count })).sort((a, b) => a.fromKpa - b.fromKpa);
  }
}
