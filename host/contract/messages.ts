import { type Contract, recordOf } from './contract.js';
import { constantCase } from './generate/assemblyscript.js';
import { layOutRecord, type RecordLayout } from './layout.js';
import { plantPlace } from './plant-layout.js';

/**
 * Messages of a recording: the bank's record followed by one record per row. The truth is the plant's, independent of the
 * controller's contract.
 */
export const MESSAGES = {
  input: { topic: '/input', type: 'latchbench/msg/Input', bank: 'BankInput', row: 'RowInput' },
  output: { topic: '/output', type: 'latchbench/msg/Output', bank: 'BankOutput', row: 'RowOutput' },
  probe: { topic: '/probe', type: 'latchbench/msg/Probe', bank: 'BankProbe', row: 'RowProbe' },
  truth: { topic: '/truth', type: 'latchbench/msg/Truth', bank: 'BankTruth', row: 'RowTruth' },
} as const;
export type MessageName = keyof typeof MESSAGES;

/**
 * What a recording may hold: the messages of a run, and the orders of another controller, read from its log. These are kept apart from
 * the outputs of ours, because its modes and faults are not known.
 */
export const RECORDING_MESSAGES = {
  ...MESSAGES,
  orders: { topic: '/orders', type: 'latchbench/msg/Orders', bank: 'BankOrders', row: 'RowOrders' },
} as const;
export type RecordingMessage = keyof typeof RECORDING_MESSAGES;
/** Messages of the controller. */
export type ControllerMessage = Exclude<MessageName, 'truth'>;

/** Name of the place that a message's records are at. */
export const placeName = (record: string): string => record.charAt(0).toLowerCase() + record.slice(1);

/** Orders of a log. The records are not the controller's, and the same under every contract. */
const ORDER_RECORDS = {
  bank: layOutRecord({ name: 'BankOrders', kind: 'output', help: 'Nothing: only rows have valves', fields: [] }),
  row: layOutRecord({
    name: 'RowOrders',
    kind: 'output',
    help: "Orders of a log's controller to the valves of a row",
    fields: [
      { name: 'supplyOrder', type: 'u8', unit: 'none', help: 'Coil order to the supply valve in this tick', values: 'Order' },
      { name: 'returnOrder', type: 'u8', unit: 'none', help: 'Coil order to the return valve in this tick', values: 'Order' },
      { name: 'spare', type: 'u16', unit: 'none', help: 'Unused, 0' },
    ],
  }),
};

/** Returns the two kinds of record in a message. */
export function messageRecords(contract: Contract, name: RecordingMessage): { bank: RecordLayout; row: RecordLayout } {
  if (name === 'orders') return ORDER_RECORDS;
  if (name === 'truth') return { bank: plantPlace('bankTruth').record, row: plantPlace('rowTruth').record };
  const { bank, row } = MESSAGES[name];
  return { bank: recordOf(contract, bank), row: recordOf(contract, row) };
}

const ROS_TYPE = { u8: 'uint8', u16: 'uint16', u32: 'uint32', i32: 'int32', f32: 'float32', f64: 'float64' } as const;

/** ROS 2 field names are in lower case with underscores. */
export const snakeCase = (name: string): string => constantCase(name).toLowerCase();

const lines = (record: RecordLayout): string[] =>
  record.fields.map((field) => `${ROS_TYPE[field.type]} ${snakeCase(field.name)} # ${field.unit}: ${field.help}`);

/**
 * Message definition in ROS 2 interface syntax, for MCAP schema encoding `ros2msg` and message encoding `cdr`.
 * The records' own layout is the CDR layout: natural alignment, no gaps, little-endian. Each row has its own field,
 * because an array would be numbered from 0; the bytes are the same.
 */
export function writeMessage(contract: Contract, name: RecordingMessage, rows: number): string {
  const { bank, row } = messageRecords(contract, name);
  const rowFields = Array.from({ length: rows }, (_, index) => `${row.name} row_${index + 1}`);
  return [...lines(bank), ...rowFields, '='.repeat(80), `MSG: latchbench/${row.name}`, ...lines(row), ''].join('\n');
}

/** Size of a message without its 4-byte CDR header, bytes. */
export function messageBytes(contract: Contract, name: RecordingMessage, rows: number): number {
  const { bank, row } = messageRecords(contract, name);
  return bank.size + rows * row.size;
}
