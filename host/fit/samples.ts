import type { MemoryField, WasmRunner } from '../runner/wasm-runner.js';
import { type LoadSource, type Recorded, type RecordedRun, type RunSetup, runRecorded } from './recorded-run.js';
import { NormalEquations } from './regression.js';

/** A row counts once it has worked for this long: its filters have settled, and the start's pulses are over. */
export const SETTLED_S = 2;
/** Neighbouring ticks tell almost the same. */
const SAMPLE_TICKS = 10;
/** Own pressure jumps by more only when the controller counts it from 0 again, at 100,000 kPa. */
const OWN_JUMP_KPA = 50_000;
/** Blocks in turn go to training and to checking. */
const BLOCK_S = 10;

/** A weight of the predictor, and the probe that it weighs. */
export interface Feature {
  readonly weight: string;
  readonly probe: string;
}

/** What recordings tell, as sums. */
export interface Samples {
  readonly recordings: readonly Recorded[];
  readonly training: NormalEquations;
  readonly checking: NormalEquations;
  /** Samples whose moments to come reach into the next block: no use for a check. */
  readonly between: NormalEquations;
  /** Time that counts, over all rows. */
  workingS: number;
  readonly pulses: { raise: number; lower: number };
  /** Learned gains of both valves of every row, when its work ended. */
  readonly gains: number[];
}

/** Fields of the controller that are read of each row, and coefficients. */
class Reader {
  readonly areaNPerKpa: number;
  readonly sensorWeight: number;
  readonly lagTicks: number;
  readonly meteredKpa: MemoryField;
  readonly presentN: MemoryField;
  readonly features: readonly MemoryField[];
  readonly gains: readonly MemoryField[];

  constructor(target: WasmRunner, source: LoadSource, features: readonly Feature[]) {
    const coefficient = (name: string): number => target.field('coefficients', name).get(0);
    const probe = (name: string): MemoryField => target.field('rowProbe', name);
    this.areaNPerKpa = coefficient('areaNPerKpa');
    // A first-order low-pass by backward difference of weight w is behind by 1/w − 1 ticks.
    this.sensorWeight = source === 'truth' ? 1 : coefficient('sensorWeight');
    this.lagTicks = Math.round(1 / this.sensorWeight - 1);
    this.meteredKpa = probe('meteredKpa');
    this.presentN = probe('presentN');
    this.features = features.map((one) => probe(one.probe));
    this.gains = ['supplyGain', 'returnGain'].map(probe);
  }
}

/**
 * One row's way through a recording: each sampled tick waits until the moments after it are known. What those moments hold
 * is the difference of two sums that run on; as many as they span are kept.
 */
class RowSampler {
  #workedTicks = 0;
  #sumN = 0;
  #sensedOwnKpa = 0;
  #lastOwnKpa = 0;
  readonly #sumsN: Float64Array;
  readonly #waiting: { x: Float64Array; startN: number }[];
  readonly #lastOrders = [0, 0];
  #gains: readonly number[] = [];
  readonly #spanTicks: number;

  constructor(
    private readonly row: number,
    private readonly run: RecordedRun,
    private readonly reader: Reader,
    private readonly horizonTicks: number,
    private readonly into: Samples,
  ) {
    this.#spanTicks = reader.lagTicks + horizonTicks;
    this.#sumsN = new Float64Array(this.#spanTicks + 1);
    const waiting = Math.floor(this.#spanTicks / SAMPLE_TICKS) + 1;
    this.#waiting = Array.from({ length: waiting }, () => ({ x: new Float64Array(reader.features.length), startN: 0 }));
  }

  take(tick: number): void {
    const { row, run, reader, into } = this;
    const meteredKpa = reader.meteredKpa.get(row);
    // Counted from 0 again: the moments before and after have nothing to do with each other.
    if (Math.abs(meteredKpa - this.#lastOwnKpa) > OWN_JUMP_KPA) {
      this.#workedTicks = 0;
      this.#sensedOwnKpa = meteredKpa;
    }
    this.#lastOwnKpa = meteredKpa;
    this.#sensedOwnKpa += reader.sensorWeight * (meteredKpa - this.#sensedOwnKpa);
    this.#workedTicks = run.isWorking(row) ? this.#workedTicks + 1 : 0;
    this.#countPulses();
    if (this.#workedTicks === 0) return;
    this.#gains = reader.gains.map((field) => field.get(row));
    this.#sumN += run.loadN(row) - reader.areaNPerKpa * this.#sensedOwnKpa;
    this.#sumsN[tick % this.#sumsN.length] = this.#sumN;
    const settledTicks = this.#workedTicks - SETTLED_S * run.tickHz;
    if (settledTicks <= 0) return;
    into.workingS += 1 / run.tickHz;
    if (tick % SAMPLE_TICKS === 0) this.#wait(tick, meteredKpa);
    const begin = tick - this.#spanTicks;
    if (begin % SAMPLE_TICKS === 0 && settledTicks > this.#spanTicks) this.#sample(begin, tick);
  }

  /** The recording is over. */
  end(): void {
    this.into.gains.push(...this.#gains);
  }

  #waitingAt(tick: number) {
    return this.#waiting[(tick / SAMPLE_TICKS) % this.#waiting.length] as { x: Float64Array; startN: number };
  }

  #wait(tick: number, meteredKpa: number): void {
    const place = this.#waitingAt(tick);
    for (let index = 0; index < place.x.length; index++) place.x[index] = (this.reader.features[index] as MemoryField).get(this.row);
    place.startN = this.reader.areaNPerKpa * meteredKpa - this.reader.presentN.get(this.row);
  }

  #sample(begin: number, end: number): void {
    const { run, reader, horizonTicks, into } = this;
    const { x, startN } = this.#waitingAt(begin);
    const from = this.#sumsN[(begin + reader.lagTicks) % this.#sumsN.length] as number;
    const y = (this.#sumN - from) / horizonTicks + startN;
    const blockTicks = BLOCK_S * run.tickHz;
    const block = Math.floor(begin / blockTicks);
    const equations = Math.floor(end / blockTicks) !== block ? into.between : block % 2 === 0 ? into.training : into.checking;
    equations.add(x, y);
  }

  #countPulses(): void {
    const { row, run, into } = this;
    const opening = run.target.description.contract.enums.Order?.indexOf('open');
    for (const [valve, last] of this.#lastOrders.entries()) {
      const order = run.order(row, valve);
      this.#lastOrders[valve] = order;
      if (order !== opening || order === last || this.#workedTicks === 0) continue;
      if (valve === 0) into.pulses.raise += 1;
      else into.pulses.lower += 1;
    }
  }
}

/**
 * Runs recordings through the controller under their recorded orders and gathers what the predictor is fitted to: the features,
 * as the controller works them out, and what the mean load of the next moments would have been, less the present one, if no
 * valve had moved. A sensor's load is taken as much later as its lag is, with own pulses' share behind the same lag.
 */
export function gatherSamples(setup: RunSetup, files: readonly string[], features: readonly Feature[], horizonMs: number): Samples {
  const none = (): NormalEquations => new NormalEquations(features.length);
  const recordings: Recorded[] = [];
  const sums = { training: none(), checking: none(), between: none() };
  const samples: Samples = { ...sums, recordings, workingS: 0, pulses: { raise: 0, lower: 0 }, gains: [] };
  for (const [index, file] of files.entries()) {
    let rows: RowSampler[] = [];
    const onProgress = (share: number): void => setup.onProgress((index + share) / files.length);
    const recorded = runRecorded({ ...setup, onProgress }, file, (tick, run) => {
      if (tick === 0) {
        const reader = new Reader(run.target, run.source, features);
        const horizonTicks = Math.max(1, Math.round((horizonMs / 1000) * run.tickHz));
        rows = Array.from({ length: run.rows }, (_, row) => new RowSampler(row, run, reader, horizonTicks, samples));
      }
      for (const row of rows) row.take(tick);
    });
    for (const row of rows) row.end();
    recordings.push(recorded);
  }
  return samples;
}
