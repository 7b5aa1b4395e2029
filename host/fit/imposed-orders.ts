import type { MemoryField, WasmRunner } from '../runner/wasm-runner.js';

/*
 * The controller follows recorded inputs, but its valves do what the recorded orders say, whatever it would have ordered:
 * its own turn in the stroke queue never comes, so that it begins no stroke, and each recorded one is begun for it with what
 * `beginStroke` (valve-pair.ts) and `prepareLearning` (learn.ts) would have noted. All else, such as the end of a stroke, own
 * oil, learning and the watch, is the controller's own doing.
 */

/** A bank that shares its harness with another, and waits for its turn. */
export const NEVER_IN_TURN = { slotCount: 2, slotPhase: 1 } as const;

const VALVES_PER_ROW = 2;
const MORE_TICKS = 2;

/** Numbers of enumerations in the contract. */
interface Words {
  readonly none: number;
  readonly opening: number;
  readonly unknown: number;
  readonly closed: number;
  readonly open: number;
}

function wordsOf({ description }: WasmRunner): Words {
  const { Order = [], Belief = [] } = description.contract.enums;
  return {
    none: Order.indexOf('none'),
    opening: Order.indexOf('open'),
    unknown: Belief.indexOf('unknown'),
    closed: Belief.indexOf('closed'),
    open: Belief.indexOf('open'),
  };
}

function fieldsOf<Name extends string>(target: WasmRunner, place: string, ...names: Name[]): Record<Name, MemoryField> {
  return Object.fromEntries(names.map((name) => [name, target.field(place, name)])) as Record<Name, MemoryField>;
}

/** Runs a target configured with NEVER_IN_TURN, tick by tick, under recorded orders. */
export class ImposedOrders {
  readonly #target: WasmRunner;
  readonly #words: Words;
  readonly #valve;
  readonly #bank;
  readonly #residualStepKpa: MemoryField;
  readonly #expectedKpa: MemoryField;
  readonly #slotTicks: MemoryField;
  readonly #last: Uint8Array;
  /** Where the recorded orders have put each valve, as a Belief. */
  readonly #position: Uint8Array;

  constructor(target: WasmRunner) {
    this.#target = target;
    this.#words = wordsOf(target);
    const timers = ['quietTicks', 'openTicks', 'coilTicks', 'waitTicks'] as const;
    this.#valve = fieldsOf(
      target,
      'valveState',
      ...timers,
      'belief',
      'coil',
      'request',
      'missedCloses',
      'missedOpens',
      'stuck',
      'repeats',
      'suspected',
    );
    this.#bank = fieldsOf(target, 'bankProbe', 'openValves', 'strokesInFlight');
    this.#residualStepKpa = target.field('detector', 'residualStepKpa');
    this.#expectedKpa = target.field('pairState', 'expectedKpa');
    this.#slotTicks = target.field('bankState', 'slotTicks');
    const valves = target.rows * VALVES_PER_ROW;
    this.#last = new Uint8Array(valves).fill(this.#words.none);
    this.#position = new Uint8Array(valves).fill(this.#words.unknown);
  }

  /**
   * One tick; its inputs have been written.
   * @param orders of this tick, supply and return valve of each row, as numbers of Order; copied
   */
  tick(orders: Uint8Array): void {
    this.#slotTicks.set(0, 0);
    for (let valve = 0; valve < orders.length; valve++) this.#holdStroke(valve, orders[valve] ?? 0);
    this.#target.tick();
    for (let valve = 0; valve < orders.length; valve++) this.#follow(valve, orders[valve] ?? 0);
    this.#last.set(orders);
  }

  /** A stroke under way ends in the tick in which its order is over. */
  #holdStroke(valve: number, order: number): void {
    const { coil, coilTicks } = this.#valve;
    if (coil.get(valve) !== this.#words.none) coilTicks.set(valve, order === this.#last[valve] ? MORE_TICKS : 1);
  }

  #follow(valve: number, order: number): void {
    const { none, opening, closed, open } = this.#words;
    const last = this.#last[valve];
    if (order === last && order !== none) return;
    if (last !== none && last !== opening) this.#position[valve] = closed;
    if (order === opening) this.#position[valve] = open;
    if (order !== none) this.#begin(valve, order);
    // That a stroke was missed counts only if the recorded controller thought so, and closed the valve again.
    else if (this.#position[valve] === closed) this.#forget(valve);
  }

  /** What the controller at hand thinks of strokes that were missed. */
  #forget(valve: number): void {
    const { belief, missedCloses, missedOpens, stuck, suspected } = this.#valve;
    belief.set(valve, this.#words.closed);
    for (const field of [missedCloses, missedOpens, stuck, suspected]) field.set(valve, 0);
  }

  #begin(valve: number, order: number): void {
    const { belief, coil, coilTicks, request, waitTicks, quietTicks, openTicks, missedCloses, repeats } = this.#valve;
    const { openValves, strokesInFlight } = this.#bank;
    if (order === this.#words.opening) {
      belief.set(valve, this.#words.open);
      openTicks.set(valve, 0);
      missedCloses.set(valve, 0);
      repeats.set(valve, 0);
      openValves.set(0, openValves.get(0) + 1);
      const row = Math.floor(valve / VALVES_PER_ROW);
      this.#residualStepKpa.set(row, 0);
      this.#expectedKpa.set(row, 0);
    }
    strokesInFlight.set(0, strokesInFlight.get(0) + 1);
    coil.set(valve, order);
    coilTicks.set(valve, MORE_TICKS);
    request.set(valve, this.#words.none);
    waitTicks.set(valve, 0);
    quietTicks.set(valve, 0);
  }
}
