import type { Contract } from './contract.js';
import { recordOf } from './contract.js';
import type { LaidRecord } from './layout.js';
import { constantCase } from './write-assemblyscript.js';

/** What a recording may hold: a message is the bank's record followed by one record for each row. */
export const MESSAGES = {
  input: { topic: '/input', type: 'latchbench/msg/Input', bank: 'BankInput', row: 'RowInput' },
  output: { topic: '/output', type: 'latchbench/msg/Output', bank: 'BankOutput', row: 'RowOutput' },
  probe: { topic: '/probe', type: 'latchbench/msg/Probe', bank: 'BankProbe', row: 'RowProbe' },
} as const;
export type MessageName = keyof typeof MESSAGES;

const ROS_TYPE = { u8: 'uint8', u16: 'uint16', u32: 'uint32', i32: 'int32', f32: 'float32' } as const;

/** ROS 2 wants field names in lower case with underscores. */
const lines = (record: LaidRecord): string[] =>
  record.fields.map((field) => `${ROS_TYPE[field.type]} ${constantCase(field.name).toLowerCase()} # ${field.unit}: ${field.help}`);

/**
 * Message definition in ROS 2 interface syntax, for MCAP schema encoding `ros2msg` and message encoding `cdr`.
 * The records' own layout is the CDR layout: natural alignment, no gaps, little-endian.
 */
export function writeMessage(contract: Contract, name: MessageName, rows: number): string {
  const message = MESSAGES[name];
  return [
    ...lines(recordOf(contract, message.bank)),
    `${message.row}[${rows}] rows`,
    '='.repeat(80),
    `MSG: latchbench/${message.row}`,
    ...lines(recordOf(contract, message.row)),
    '',
  ].join('\n');
}

/** Bytes of one message without its 4-byte CDR header. */
export function messageBytes(contract: Contract, name: MessageName, rows: number): number {
  const message = MESSAGES[name];
  return recordOf(contract, message.bank).size + rows * recordOf(contract, message.row).size;
}
