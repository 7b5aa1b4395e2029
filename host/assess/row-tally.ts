import type { Contract } from '../contract/contract.js';
import { DepthQuality } from './depth-quality.js';
import { Disturbances } from './disturbances.js';
import { LoadQuality } from './load-quality.js';
import { MessageFields, type MessageViews } from './message-fields.js';
import { CYCLE_MIN_KPA, type During, type RowMetricName, SETTLED_S } from './metrics.js';
import { CycleCounter, type OnCycle } from './rainflow.js';

/** The length of a run, and the truth before and after it. */
export interface RunEnds {
  readonly seconds: number;
  /** Time between the two. */
  readonly countedS: number;
  readonly before: DataView;
  readonly after: DataView;
}

/** Returns the increase of a counter of the truth over a run. @param offset in the message, bytes */
export const growthOf = ({ before, after }: RunEnds, offset: number): number =>
  after.getFloat32(offset, true) - before.getFloat32(offset, true);

/** A valve counts as open beyond this. */
const OPEN_RATIO = 0.5;

const S_PER_MIN = 60;
const MS_PER_S = 1000;
const ML_PER_L = 1000;

/** Offsets of a row's fields in their messages, bytes. */
function offsetsOf(contract: Contract, row: number) {
  const [input, output, probe, truth] = (['input', 'output', 'probe', 'truth'] as const).map(
    (message) => new MessageFields(contract, message),
  ) as [MessageFields, MessageFields, MessageFields, MessageFields];
  const truthOf = (name: string): number => truth.row(row, name, 'f32');
  return {
    enabled: input.row(row, 'enabled', 'u8'),
    faults: output.row(row, 'faults', 'u32'),
    mode: output.row(row, 'mode', 'u8'),
    orders: [output.row(row, 'supplyOrder', 'u8'), output.row(row, 'returnOrder', 'u8')] as const,
    wait: probe.row(row, 'waitTicks', 'u16'),
    closeWait: probe.row(row, 'closeWaitTicks', 'u16'),
    wheel: truthOf('wheelN'),
    setDepth: truth.bank('setDepthMm', 'f32'),
    depth: truthOf('depthMm'),
    travel: truthOf('travelMm'),
    chamber: truthOf('chamberKpa'),
    supplyOpening: truthOf('supplyOpening'),
    returnOpening: truthOf('returnOpening'),
    oil: truthOf('oilMl'),
    coil: truthOf('coilJ'),
    coilLoss: truthOf('coilLossJ'),
    rebound: truthOf('reboundJ'),
    missed: truthOf('missedStrokes'),
  };
}

/** Accumulates what the metrics of a row need. Memory does not grow with time. */
export class RowTally {
  readonly #offsets: ReturnType<typeof offsetsOf>;
  readonly #views: MessageViews;
  readonly #tickHz: number;
  readonly #settleTicks: number;
  readonly #openOrder: number;
  readonly #lowering: number;
  readonly #quality: LoadQuality;
  readonly #depth = new DepthQuality();
  readonly #disturbances: Disturbances;
  readonly #cycles: CycleCounter;
  readonly #segments: readonly { readonly load: LoadQuality; readonly depth: DepthQuality }[];
  #workingTicks = 0;
  #supplyOrder = 0;
  #returnOrder = 0;
  #strokes = 0;
  #pulses = 0;
  #bothOpenTicks = 0;
  #longestWaitTicks = 0;
  #longestCloseWaitTicks = 0;
  #pressureCycles = 0;
  #travelMinMm = Number.POSITIVE_INFINITY;
  #travelMaxMm = Number.NEGATIVE_INFINITY;
  #chamberMinKpa = Number.POSITIVE_INFINITY;
  #chamberMaxKpa = Number.NEGATIVE_INFINITY;

  /**
   * @param row counted from 0
   * @param onCycle called for each counted cycle of chamber pressure, kPa
   * @param segments number of segments of the field
   */
  constructor(contract: Contract, views: MessageViews, row: number, tickHz: number, onCycle: OnCycle, segments = 0) {
    this.#segments = Array.from({ length: segments }, () => ({ load: new LoadQuality(tickHz), depth: new DepthQuality() }));
    this.#offsets = offsetsOf(contract, row);
    this.#views = views;
    this.#tickHz = tickHz;
    this.#settleTicks = SETTLED_S * tickHz;
    this.#openOrder = contract.enums.Order?.indexOf('open') ?? -1;
    this.#lowering = contract.enums.RowMode?.indexOf('lowering') ?? -1;
    this.#quality = new LoadQuality(tickHz);
    this.#disturbances = new Disturbances(contract, views, row, tickHz);
    this.#cycles = new CycleCounter(CYCLE_MIN_KPA, (rangeKpa, meanKpa, count) => {
      this.#pressureCycles += count;
      onCycle(rangeKpa, meanKpa, count);
    });
  }

  /** Faults of the row that are set in the current tick, one bit each. */
  get faults(): number {
    return this.#views.output.getUint32(this.#offsets.faults, true);
  }

  /** Whether the row has data of what a metric covers. */
  has(during: During): boolean {
    if (during === 'run') return true;
    return during === 'assessed' ? this.#quality.ticks > 0 : this.#disturbances[during].count > 0;
  }

  get strokes(): number {
    return this.#strokes;
  }

  /** Processes a tick. @param targetN in force @param segment number of the segment, from 0 */
  take(isBankWorking: boolean, targetN: number, segment: number): void {
    const { truth, probe } = this.#views;
    const offsets = this.#offsets;
    this.#takeLoad(isBankWorking, targetN, segment);
    const chamberKpa = truth.getFloat32(offsets.chamber, true);
    // Math.min and Math.max keep NaN, so that it shows.
    this.#chamberMinKpa = Math.min(this.#chamberMinKpa, chamberKpa);
    this.#chamberMaxKpa = Math.max(this.#chamberMaxKpa, chamberKpa);
    this.#cycles.take(chamberKpa);
    const isSupplyOpen = truth.getFloat32(offsets.supplyOpening, true) > OPEN_RATIO;
    if (isSupplyOpen && truth.getFloat32(offsets.returnOpening, true) > OPEN_RATIO) this.#bothOpenTicks++;
    this.#longestWaitTicks = Math.max(this.#longestWaitTicks, probe.getUint16(offsets.wait, true));
    this.#longestCloseWaitTicks = Math.max(this.#longestCloseWaitTicks, probe.getUint16(offsets.closeWait, true));
    this.#takeOrders();
  }

  #takeLoad(isBankWorking: boolean, targetN: number, segment: number): void {
    const { input, output, truth } = this.#views;
    const offsets = this.#offsets;
    const isLowering = output.getUint8(offsets.mode) === this.#lowering;
    const isWorking = isBankWorking && input.getUint8(offsets.enabled) !== 0 && !isLowering;
    this.#workingTicks = isWorking ? this.#workingTicks + 1 : 0;
    const isAssessed = this.#workingTicks > this.#settleTicks;
    const wheelN = truth.getFloat32(offsets.wheel, true);
    const errorN = this.#quality.take(wheelN, targetN, isAssessed);
    this.#disturbances.take(errorN, targetN, isAssessed);
    if (!isAssessed) return;
    const depthMm = truth.getFloat32(offsets.depth, true);
    const setDepthMm = truth.getFloat32(offsets.setDepth, true);
    this.#depth.take(depthMm, setDepthMm);
    this.#segments[segment]?.load.count(wheelN, targetN, errorN);
    this.#segments[segment]?.depth.take(depthMm, setDepthMm);
    const travelMm = truth.getFloat32(offsets.travel, true);
    this.#travelMinMm = Math.min(this.#travelMinMm, travelMm);
    this.#travelMaxMm = Math.max(this.#travelMaxMm, travelMm);
  }

  #takeOrders(): void {
    const { output } = this.#views;
    const [supplyAt, returnAt] = this.#offsets.orders;
    const supplyOrder = output.getUint8(supplyAt);
    const returnOrder = output.getUint8(returnAt);
    if (supplyOrder !== this.#supplyOrder) this.#count(supplyOrder);
    if (returnOrder !== this.#returnOrder) this.#count(returnOrder);
    this.#supplyOrder = supplyOrder;
    this.#returnOrder = returnOrder;
  }

  /** A stroke lasts several ticks and counts in the first. */
  #count(order: number): void {
    if (order === 0) return;
    this.#strokes++;
    if (order === this.#openOrder) this.#pulses++;
  }

  /** Returns the assessed ticks and the metrics of a segment, from 0. */
  segment(index: number) {
    const { load, depth } = this.#segments[index] ?? { load: new LoadQuality(this.#tickHz), depth: new DepthQuality() };
    return { ticks: load.ticks, metrics: { ...load.metrics(), ...depth.metrics() } };
  }

  /** Returns the row's metrics at the end of a run. */
  metrics(run: RunEnds): Record<RowMetricName, number> {
    this.#cycles.finish();
    const offsets = this.#offsets;
    const isAssessed = this.has('assessed');
    const perMin = (count: number): number => (S_PER_MIN * count) / run.seconds;
    const growth = (offset: number): number => growthOf(run, offset);
    const perS = (offset: number): number => growth(offset) / run.countedS;
    const toMs = MS_PER_S / this.#tickHz;
    const isOpen = (offset: number): boolean => run.after.getFloat32(offset, true) > OPEN_RATIO;
    return {
      ...this.#quality.metrics(),
      ...this.#depth.metrics(),
      ...this.#disturbances.metrics(),
      travelMinMm: isAssessed ? this.#travelMinMm : Number.NaN,
      travelMaxMm: isAssessed ? this.#travelMaxMm : Number.NaN,
      pulsesPerMin: perMin(this.#pulses),
      strokesPerMin: perMin(this.#strokes),
      coilW: perS(offsets.coil),
      coilLossW: perS(offsets.coilLoss),
      oilLpm: (perS(offsets.oil) / ML_PER_L) * S_PER_MIN,
      reboundW: perS(offsets.rebound),
      chamberMinKpa: this.#chamberMinKpa,
      chamberMaxKpa: this.#chamberMaxKpa,
      longestWaitMs: this.#longestWaitTicks * toMs,
      longestCloseWaitMs: this.#longestCloseWaitTicks * toMs,
      missedStrokes: growth(offsets.missed),
      bothOpenMs: this.#bothOpenTicks * toMs,
      openAtEnd: [offsets.supplyOpening, offsets.returnOpening].filter(isOpen).length,
      pressureCycles: this.#pressureCycles,
    };
  }
}
