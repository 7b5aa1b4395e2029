import type { UnitName } from '../../shared/units.js';
import { dataViewOf } from '../common/data-view.js';
import type { Contract } from '../contract/contract.js';
import { readField } from '../contract/fields.js';
import type { FieldLayout } from '../contract/layout.js';
import { messageRecords } from '../contract/messages.js';

/** Something at a place in a run: an input of the operator or the supply, an event of a scenario, or a requirement that is not met. */
export interface Mark {
  readonly kind: 'input' | 'event' | 'requirement';
  /** Counted from 1; 0 for the bank. */
  readonly row: number;
  readonly fromTick: number;
  /** Exclusive. */
  readonly untilTick: number;
  readonly text: string;
  /** Values before and after, which follow the text. */
  readonly change?: { readonly from: number; readonly to: number; readonly unit: UnitName };
}

const SWITCHES: Readonly<Record<string, readonly [off: string, on: string]>> = {
  lowered: ['lifted', 'lowered'],
  enabled: ['switched off', 'switched on'],
  shutDown: ['shut-down warning ends', 'shut-down warning'],
};
const TARGET = 'targetLoadN';
/** More marks cannot be distinguished. */
const MARKS_MAX = 500;

/** Finds changes of the operator's switches and target in the inputs of a bank. */
export class InputMarks {
  readonly marks: Mark[] = [];
  private readonly fields: readonly FieldLayout[];
  private readonly last = new Map<string, number>();

  constructor(contract: Contract) {
    const { bank } = messageRecords(contract, 'input');
    this.fields = bank.fields.filter(({ name }) => name === TARGET || name in SWITCHES);
  }

  /** Takes the inputs of a tick. Ticks ascend; those before the first one that is taken are not known. */
  take(tick: number, payload: Uint8Array): void {
    const view = dataViewOf(payload);
    for (const field of this.fields) {
      const { name } = field;
      const value = readField(view, 0, field);
      const before = this.last.get(name);
      this.last.set(name, value);
      if (before !== undefined && !Object.is(before, value)) this.add(tick, field, before, value);
    }
  }

  private add(tick: number, { name, unit }: FieldLayout, from: number, to: number): void {
    const words = SWITCHES[name];
    const place = { kind: 'input', row: 0, fromTick: tick, untilTick: tick + 1 } as const;
    if (words !== undefined) {
      // A switch is on at any number other than 0.
      if ((from === 0) !== (to === 0)) this.push({ ...place, text: words[to === 0 ? 0 : 1] });
      return;
    }
    // A ramp is one change.
    const ramp = this.marks.at(-1);
    const isRamp = ramp?.change !== undefined && ramp.untilTick === tick;
    if (isRamp) this.marks.pop();
    const start = isRamp ? { fromTick: ramp.fromTick, from: ramp.change.from } : { fromTick: tick, from };
    this.push({ ...place, fromTick: start.fromTick, text: 'target', change: { from: start.from, to, unit } });
  }

  private push(mark: Mark): void {
    if (this.marks.length < MARKS_MAX) this.marks.push(mark);
  }
}
