import { Assessor } from '../../host/assess/assessor.js';
import type { Metrics } from '../../host/assess/metrics.js';
import { describeContract } from '../../host/contract/contract.js';
import { writeField } from '../../host/contract/fields.js';
import { MESSAGES, type MessageName, messageBytes, messageRecords } from '../../host/contract/messages.js';
import { ENUMS } from '../../shared/records.js';

const contract = describeContract();
export const KINDS = Object.keys(MESSAGES) as MessageName[];
export const WORKING = ENUMS.BankMode.indexOf('working');
export const LIFTED = ENUMS.BankMode.indexOf('lifted');

/** A run of made-up messages: the bank is lowered and working, all rows are on, every load is at its target of 450 N. */
export class MadeRun {
  readonly views: Record<MessageName, Uint8Array>;
  readonly assessor: Assessor;
  tick: number;

  constructor(
    readonly rows = 1,
    readonly tickHz = 1000,
    firstTick = 0,
  ) {
    const empty = KINDS.map((kind) => [kind, new Uint8Array(messageBytes(contract, kind, rows))]);
    this.views = Object.fromEntries(empty) as Record<MessageName, Uint8Array>;
    this.assessor = new Assessor({ contract, rows, tickHz, views: this.views });
    this.tick = firstTick;
    this.set('input', 0, { lowered: 1 }).set('output', 0, { mode: WORKING }).set('probe', 0, { targetLoadN: 450 });
    for (let row = 1; row <= rows; row++) this.set('input', row, { enabled: 1 }).set('truth', row, { wheelN: 450 });
  }

  /** Sets fields of the bank, row 0, or of a row. */
  set(message: MessageName, row: number, values: Readonly<Record<string, number>>): this {
    const { bank, row: ofRow } = messageRecords(contract, message);
    const record = row === 0 ? bank : ofRow;
    for (const [name, value] of Object.entries(values)) {
      const field = record.fields.find((one) => one.name === name);
      if (field === undefined) throw new Error(`no field ${name} in ${record.name}`);
      const view = new DataView(this.views[message].buffer);
      writeField(view, row === 0 ? 0 : bank.size + (row - 1) * ofRow.size, field, value);
    }
    return this;
  }

  /** Runs ticks with the present messages. */
  go(ticks: number): this {
    for (let count = 0; count < ticks; count++) this.assessor.take(this.tick++);
    return this;
  }

  finish(): Metrics {
    return this.assessor.finish();
  }
}
