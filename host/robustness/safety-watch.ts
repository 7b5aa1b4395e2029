import { MessageFields } from '../assess/message-fields.js';
import { dataViewOf } from '../common/data-view.js';
import type { Contract } from '../contract/contract.js';
import { type MessageName, messageRecords } from '../contract/messages.js';

/** A safety rule that a run broke. */
export interface Violation {
  /** A valve in the wrong position may be the case's own doing, in a row with a broken part; the others never. */
  readonly kind: 'trap' | 'nan' | 'valve';
  /** Counted from 1; 0 for the bank. */
  readonly row: number;
  readonly rule: string;
}

/**
 * Time after the last closing order from which a valve that is still open counts as left open, s. Our choice: twice what the
 * detector needs for a missed close without an accelerometer, about 140 ms.
 */
const LEFT_OPEN_S = 0.3;
/** A valve counts as open beyond this. */
const OPEN_RATIO = 0.5;
/** Ticks between two searches for NaN: it stays once it is in a filter. */
const NAN_TICKS = 100;

const VALVES = ['supply', 'return'] as const;
type Views = Readonly<Record<MessageName, DataView>>;

/** A valve's last order, and where its fields are. */
interface Valve {
  readonly row: number;
  readonly name: string;
  readonly orderAt: number;
  readonly openingAt: number;
  isClosing: boolean;
  /** Ticks since the last order began. */
  ticks: number;
}

/** A message's numbers of 32 bits, with their rows. */
interface Numbers {
  readonly message: MessageName;
  readonly row: number;
  readonly name: string;
  readonly at: number;
}

function numbersOf(contract: Contract, message: MessageName, rows: number): Numbers[] {
  const records = messageRecords(contract, message);
  const reals = (fields: typeof records.bank.fields) => fields.filter(({ type }) => type === 'f32');
  const ofRow = (row: number): Numbers[] =>
    reals(records.row.fields).map(({ name, offset }) => {
      return { message, row: row + 1, name, at: records.bank.size + row * records.row.size + offset };
    });
  const ofBank = reals(records.bank.fields).map(({ name, offset }) => ({ message, row: 0, name, at: offset }));
  return [...ofBank, ...Array.from({ length: rows }, (_, row) => ofRow(row)).flat()];
}

/** Watches a run for values that are not numbers and for valves that stay open after they were ordered closed. */
export class SafetyWatch {
  readonly #tickHz: number;
  readonly #closeOrder: number;
  readonly #valves: readonly Valve[];
  readonly #numbers: readonly Numbers[];
  #views: Views | undefined;
  #nan: Violation | undefined;

  constructor(contract: Contract, rows: number, tickHz: number) {
    const output = new MessageFields(contract, 'output');
    const truth = new MessageFields(contract, 'truth');
    this.#tickHz = tickHz;
    this.#closeOrder = contract.enums.Order?.indexOf('close') ?? -1;
    this.#numbers = [...numbersOf(contract, 'probe', rows), ...numbersOf(contract, 'truth', rows)];
    this.#valves = Array.from({ length: rows }, (_, row) =>
      VALVES.map((name) => ({
        row: row + 1,
        name,
        orderAt: output.row(row, `${name}Order`, 'u8'),
        openingAt: truth.row(row, `${name}Opening`, 'f32'),
        isClosing: false,
        ticks: 0,
      })),
    ).flat();
  }

  /** Processes a tick. The views stay the same throughout a run. */
  take(tick: number, views: Readonly<Record<MessageName, Uint8Array>>): void {
    this.#views ??= {
      input: dataViewOf(views.input),
      output: dataViewOf(views.output),
      probe: dataViewOf(views.probe),
      truth: dataViewOf(views.truth),
    };
    for (const valve of this.#valves) this.#takeOrder(valve, this.#views.output.getUint8(valve.orderAt));
    if (tick % NAN_TICKS === 0 && this.#nan === undefined) this.#nan = this.#findNan(this.#views, tick);
  }

  #takeOrder(valve: Valve, order: number): void {
    valve.ticks++;
    if (order === 0) return;
    valve.isClosing = order === this.#closeOrder;
    valve.ticks = 0;
  }

  #findNan(views: Views, tick: number): Violation | undefined {
    const found = this.#numbers.find(({ message, at }) => Number.isNaN(views[message].getFloat32(at, true)));
    return found && { kind: 'nan', row: found.row, rule: `${found.message} ${found.name} is not a number at ${tick / this.#tickHz} s` };
  }

  /** Returns what the run broke until now. */
  violations(): Violation[] {
    const views = this.#views;
    const leftOpen = this.#valves.filter(
      ({ isClosing, ticks, openingAt }) =>
        isClosing && ticks > LEFT_OPEN_S * this.#tickHz && (views?.truth.getFloat32(openingAt, true) ?? 0) > OPEN_RATIO,
    );
    return [
      ...leftOpen.map(
        ({ row, name }): Violation => ({
          kind: 'valve',
          row,
          rule: `${name} valve is open at the end, ${LEFT_OPEN_S} s after it was ordered closed`,
        }),
      ),
      ...(this.#nan === undefined ? [] : [this.#nan]),
    ];
  }
}
