import type { MemoryField, WasmRunner } from '../runner/wasm-runner.js';
import { type LoadSource, type Recorded, type RecordedRun, type RunSetup, runRecorded } from './recorded-run.js';
import { NormalEquations } from './regression.js';

/** A row is sampled once it has worked for this long: its filters have settled, and the pulses after its start are over. */
export const SETTLED_S = 2;
/** Adjacent ticks are nearly the same. */
const SAMPLE_TICKS = 10;
/** The pressure by metered oil jumps by more than this only when the controller restarts its sum, at 100,000 kPa. */
const RESTART_KPA = 50_000;
/** Blocks are used alternately for training and for validation. */
const BLOCK_S = 10;

/** A weight of the predictor, and the probe that it multiplies. */
export interface Feature {
  readonly weight: string;
  readonly probe: string;
}

/** Samples of recordings, as sums. */
export interface Samples {
  readonly recordings: readonly Recorded[];
  readonly training: NormalEquations;
  readonly validation: NormalEquations;
  /** Samples whose horizon extends into the next block: not usable for validation. */
  readonly between: NormalEquations;
  /** Number of samples within a horizon, whose targets overlap. */
  overlap: number;
  /** Sampled time, over all rows. */
  workingS: number;
  readonly pulses: { raise: number; lower: number };
  /** Learned gains of the valves of every row at the end of its work. */
  readonly gains: { readonly supply: number[]; readonly return: number[] };
}

/** Fields of the controller that are read for each row, and coefficients. */
class Reader {
  readonly areaNPerKpa: number;
  readonly sensorWeight: number;
  readonly lagTicks: number;
  readonly meteredKpa: MemoryField;
  readonly presentN: MemoryField;
  readonly features: readonly MemoryField[];
  readonly gains: readonly MemoryField[];

  constructor(runner: WasmRunner, source: LoadSource, features: readonly Feature[]) {
    const coefficient = (name: string): number => runner.field('coefficients', name).get(0);
    const probe = (name: string): MemoryField => runner.field('rowProbe', name);
    this.areaNPerKpa = coefficient('areaNPerKpa');
    // A first-order low-pass by backward difference with weight w lags by 1/w − 1 ticks.
    this.sensorWeight = source === 'truth' ? 1 : coefficient('sensorWeight');
    this.lagTicks = Math.round(1 / this.sensorWeight - 1);
    this.meteredKpa = probe('meteredKpa');
    this.presentN = probe('presentN');
    this.features = features.map((one) => probe(one.probe));
    this.gains = ['supplyGain', 'returnGain'].map(probe);
  }
}

interface PendingSample {
  readonly x: Float64Array;
  startN: number;
}

/**
 * Samples one row of a recording. Each sample waits until its horizon is over; the mean over the horizon is the difference of two
 * running sums, which are kept for the longest wait.
 */
class RowSampler {
  #workedTicks = 0;
  #sumN = 0;
  #sensedMeteredKpa = 0;
  #lastMeteredKpa = 0;
  readonly #sumsN: Float64Array;
  readonly #pending: PendingSample[];
  readonly #lastOrders = [0, 0];
  #gains: readonly number[] = [];
  readonly #waitTicks: number;

  constructor(
    private readonly row: number,
    private readonly run: RecordedRun,
    private readonly reader: Reader,
    private readonly horizonTicks: number,
    private readonly into: Samples,
  ) {
    this.#waitTicks = reader.lagTicks + horizonTicks;
    this.#sumsN = new Float64Array(this.#waitTicks + 1);
    const pending = Math.floor(this.#waitTicks / SAMPLE_TICKS) + 1;
    this.#pending = Array.from({ length: pending }, () => ({ x: new Float64Array(reader.features.length), startN: 0 }));
  }

  addTick(tick: number): void {
    const { row, run, reader, into } = this;
    const meteredKpa = reader.meteredKpa.get(row);
    // After a restart of the sum, earlier and later ticks are not comparable.
    if (Math.abs(meteredKpa - this.#lastMeteredKpa) > RESTART_KPA) {
      this.#workedTicks = 0;
      this.#sensedMeteredKpa = meteredKpa;
    }
    this.#lastMeteredKpa = meteredKpa;
    this.#sensedMeteredKpa += reader.sensorWeight * (meteredKpa - this.#sensedMeteredKpa);
    this.#workedTicks = run.isWorking(row) ? this.#workedTicks + 1 : 0;
    this.#countPulses();
    if (this.#workedTicks === 0) return;
    this.#gains = reader.gains.map((field) => field.get(row));
    this.#sumN += run.loadN(row) - reader.areaNPerKpa * this.#sensedMeteredKpa;
    this.#sumsN[tick % this.#sumsN.length] = this.#sumN;
    const settledTicks = this.#workedTicks - SETTLED_S * run.tickHz;
    if (settledTicks <= 0) return;
    into.workingS += 1 / run.tickHz;
    if (tick % SAMPLE_TICKS === 0) this.#startSample(tick, meteredKpa);
    const start = tick - this.#waitTicks;
    if (start % SAMPLE_TICKS === 0 && settledTicks > this.#waitTicks) this.#finishSample(start, tick);
  }

  /** Ends the recording. */
  end(): void {
    const [supply, returned] = this.#gains;
    if (supply !== undefined) this.into.gains.supply.push(supply);
    if (returned !== undefined) this.into.gains.return.push(returned);
  }

  #pendingAt(tick: number): PendingSample {
    return this.#pending[(tick / SAMPLE_TICKS) % this.#pending.length] as PendingSample;
  }

  #startSample(tick: number, meteredKpa: number): void {
    const sample = this.#pendingAt(tick);
    for (let index = 0; index < sample.x.length; index++) sample.x[index] = (this.reader.features[index] as MemoryField).get(this.row);
    sample.startN = this.reader.areaNPerKpa * meteredKpa - this.reader.presentN.get(this.row);
  }

  #finishSample(start: number, end: number): void {
    const { run, reader, horizonTicks, into } = this;
    const { x, startN } = this.#pendingAt(start);
    const from = this.#sumsN[(start + reader.lagTicks) % this.#sumsN.length] as number;
    const y = (this.#sumN - from) / horizonTicks + startN;
    const blockTicks = BLOCK_S * run.tickHz;
    const block = Math.floor(start / blockTicks);
    const equations = Math.floor(end / blockTicks) !== block ? into.between : block % 2 === 0 ? into.training : into.validation;
    equations.add(x, y);
  }

  #countPulses(): void {
    const { row, run, into } = this;
    const open = run.runner.description.contract.enums.Order?.indexOf('open');
    for (const [valve, last] of this.#lastOrders.entries()) {
      const order = run.order(row, valve);
      this.#lastOrders[valve] = order;
      if (order !== open || order === last || this.#workedTicks === 0) continue;
      if (valve === 0) into.pulses.raise += 1;
      else into.pulses.lower += 1;
    }
  }
}

/**
 * Runs recordings through the controller under their recorded orders and samples what the predictor is fitted to: the features,
 * as the controller computes them, and what the mean load over the horizon, minus the present load, would have been if no valve
 * had moved. A sensed load is shifted back by the sensor's lag, with the metered oil's share behind the same lag.
 */
export function gatherSamples(setup: RunSetup, files: readonly string[], features: readonly Feature[], horizonMs: number): Samples {
  const none = (): NormalEquations => new NormalEquations(features.length);
  const recordings: Recorded[] = [];
  const sums = { training: none(), validation: none(), between: none() };
  const gains = { supply: [], return: [] };
  const samples: Samples = { ...sums, recordings, overlap: 1, workingS: 0, pulses: { raise: 0, lower: 0 }, gains };
  for (const [index, file] of files.entries()) {
    let rows: RowSampler[] = [];
    const onProgress = (share: number): void => setup.onProgress((index + share) / files.length);
    const recorded = runRecorded({ ...setup, onProgress }, file, (tick, run) => {
      if (tick === 0) {
        const reader = new Reader(run.runner, run.source, features);
        const horizonTicks = Math.max(1, Math.round((horizonMs / 1000) * run.tickHz));
        samples.overlap = Math.max(samples.overlap, horizonTicks / SAMPLE_TICKS);
        rows = Array.from({ length: run.rows }, (_, row) => new RowSampler(row, run, reader, horizonTicks, samples));
      }
      for (const row of rows) row.addTick(tick);
    });
    for (const row of rows) row.end();
    recordings.push(recorded);
  }
  return samples;
}
