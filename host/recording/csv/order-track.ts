import type { Sample } from './csv-clock.js';
import type { CsvFile } from './csv-file.js';
import { CLOSE, NONE, OPEN, type Order, type OrderSource, orderError, type ValveOrders } from './order-columns.js';
import type { Track } from './resample.js';

/** What was found of a valve's orders. */
export interface ValveReport {
  readonly valve: 'supply' | 'return';
  readonly row: number;
  readonly columns: readonly string[];
  readonly opens: number;
  readonly closes: number;
  /** Strokes shorter than minMs. */
  readonly ignored: number;
  /** Samples with open and close at the same time. */
  readonly overlaps: number;
  /** Strokes cut short by the next one, and strokes that started in the same tick as another. */
  readonly cut: number;
  readonly lost: number;
  /** Highest current, A, if the columns are currents. */
  readonly peakA?: number;
}

/** Says of each sample whether each direction is driven. */
class Drive {
  peakA = 0;
  #isOpen = false;
  #isOn = [false, false];
  #isFirst = true;

  constructor(private readonly source: OrderSource) {}

  /** @param raw values of the columns, NaN if missing. Returns which of open and close are on. */
  take(raw: readonly number[]): readonly [open: boolean, close: boolean] {
    const [first = Number.NaN, second = Number.NaN] = raw;
    const { source } = this;
    if (source.kind === 'order') return [first === OPEN, first === CLOSE];
    if (source.kind === 'switches') return [isTrue(first), isTrue(second)];
    if (source.kind === 'position') return this.#moved(first);
    const currents = raw.length === 1 ? [first, -first] : [first, second];
    return this.#isOn.map((isOn, index) => this.#isDriven(source, (currents[index] ?? 0) * source.gainA, isOn, index)) as [
      boolean,
      boolean,
    ];
  }

  /** Hysteresis: on from onA, off below offA. */
  #isDriven({ onA, offA }: { onA: number; offA: number }, currentA: number, wasOn: boolean, index: number): boolean {
    if (currentA > this.peakA) this.peakA = currentA;
    const isOn = wasOn ? currentA >= offA : currentA >= onA;
    this.#isOn[index] = isOn;
    return isOn;
  }

  /** A change of the position is a stroke in the sample that shows it. */
  #moved(position: number): readonly [boolean, boolean] {
    if (Number.isNaN(position)) return [false, false];
    const isOpen = position !== 0;
    const isMoved = !this.#isFirst && isOpen !== this.#isOpen;
    this.#isFirst = false;
    this.#isOpen = isOpen;
    return [isMoved && isOpen, isMoved && !isOpen];
  }
}

const isTrue = (value: number): boolean => value !== 0 && !Number.isNaN(value);

/** Finds the orders of a valve in its columns, and stores them as values of the samples. */
export class OrderTrack implements Track {
  pending = 0;
  overlaps = 0;
  ignored = 0;
  readonly #drive: Drive;
  #order: Order = NONE;
  #sinceS = 0;
  #wasOn: readonly [boolean, boolean] = [false, false];
  #later: Order = NONE;

  /**
   * @param slots of the columns in the values of a sample
   * @param to slot of the order
   */
  constructor(
    readonly orders: ValveOrders,
    private readonly slots: readonly number[],
    readonly to: number,
    private readonly csv: CsvFile,
  ) {
    this.#drive = new Drive(orders.source);
  }

  get peakA(): number | undefined {
    return this.orders.source.kind === 'currents' ? this.#drive.peakA : undefined;
  }

  take(samples: readonly Sample[]): void {
    const sample = samples.at(-1) as Sample;
    const order = this.#orderOf(sample);
    sample.values[this.to] = order;
    if (order !== this.#order) {
      if (this.pending > 0 && this.#isShort(sample)) this.#ignore(samples);
      this.#order = order;
      this.#sinceS = sample.timeS;
      this.pending = 0;
    }
    this.pending = order !== NONE && this.#isShort(sample) ? this.pending + 1 : 0;
  }

  /** Whether the present stroke would be too short if it ended with this sample; times are decimal fractions. */
  #isShort({ timeS }: Sample): boolean {
    return timeS - this.#sinceS < this.orders.minS - 1e-9;
  }

  end(): void {
    this.pending = 0;
  }

  /** The stroke before the last sample was too short to be one. */
  #ignore(samples: readonly Sample[]): void {
    this.ignored++;
    for (const sample of samples.slice(-1 - this.pending, -1)) sample.values[this.to] = NONE;
  }

  #orderOf(sample: Sample): Order {
    const [open, close] = this.#drive.take(this.slots.map((slot) => sample.values[slot] as number));
    if (open && !this.#wasOn[0]) this.#later = OPEN;
    if (close && !this.#wasOn[1]) this.#later = CLOSE;
    this.#wasOn = [open, close];
    if (!open || !close) return open ? OPEN : close ? CLOSE : NONE;
    return this.#overlap(sample);
  }

  /** @throws InputError if overlaps are refused */
  #overlap({ line, timeText }: Sample): Order {
    const { valve, row, overlap, names } = this.orders;
    this.overlaps++;
    if (overlap === 'later') return this.#later;
    if (overlap === 'none') return NONE;
    throw orderError(
      this.csv,
      line,
      `row ${row}'s ${valve} valve is driven open and closed at the same time${timeText === '' ? '' : `, at ${timeText}`} (${names.join(' and ')})`,
      'Give its entry of orders `overlap: later` or `overlap: none` in the mapping file',
    );
  }
}

/** Turns the orders of a valve at samples into its order in each tick. A stroke lasts at least a tick. */
export class OrderTicks {
  opens = 0;
  closes = 0;
  cut = 0;
  lost = 0;
  #logged: Order = NONE;
  #order: Order = NONE;
  #startTick = -1;
  #endTick = 0;

  /** @param strokeTicks length of every stroke; undefined if the log shows it */
  constructor(private readonly strokeTicks: number | undefined) {}

  /** Takes the order from this tick on. */
  take(order: Order, tick: number): void {
    if (order === this.#logged) return;
    this.#logged = order;
    if (order === NONE) this.#end(tick);
    else this.#begin(order, tick);
  }

  /** Ends a stroke because the log has a gap. */
  interrupt(tick: number): void {
    this.#logged = NONE;
    this.#end(tick);
  }

  /** The order in a tick; ticks must not decrease. */
  at(tick: number): Order {
    return tick < this.#endTick ? this.#order : NONE;
  }

  #begin(order: Order, tick: number): void {
    if (tick < this.#endTick && tick === this.#startTick) this.lost++;
    else if (tick < this.#endTick && this.strokeTicks !== undefined) this.cut++;
    if (order === OPEN) this.opens++;
    else this.closes++;
    this.#order = order;
    this.#startTick = tick;
    this.#endTick = this.strokeTicks === undefined ? Number.POSITIVE_INFINITY : tick + this.strokeTicks;
  }

  #end(tick: number): void {
    if (this.strokeTicks === undefined) this.#endTick = Math.min(this.#endTick, Math.max(tick, this.#startTick + 1));
  }
}

/** What was found of a valve's orders in the whole log. */
export function valveReport({ orders, ignored, overlaps, peakA }: OrderTrack, ticks: OrderTicks): ValveReport {
  const { valve, row, names } = orders;
  const { opens, closes, cut, lost } = ticks;
  return { valve, row, columns: names, opens, closes, ignored, overlaps, cut, lost, ...(peakA === undefined ? {} : { peakA }) };
}
