import { type Contract, hashedRanges } from '../contract.js';
import type { Place, RecordLayout } from '../layout.js';
import { ENUMS } from '../tables.js';
import { constantCase } from './assemblyscript.js';

const C_TYPE = { u8: 'uint8_t', u16: 'uint16_t', u32: 'uint32_t', i32: 'int32_t', f32: 'float', f64: 'double' } as const;

const prefixed = (name: string): string => `LB_${constantCase(name)}`;

function struct(record: RecordLayout): string {
  const fields = record.fields.map((field) => `  ${C_TYPE[field.type]} ${field.name}; /* ${field.help} [${field.unit}] */`);
  const checks = record.fields.map(
    (field) => `LB_STATIC_ASSERT(offsetof(Lb${record.name}, ${field.name}) == ${field.offset}, "${record.name}.${field.name}");`,
  );
  return [
    `/* ${record.help}. */`,
    `typedef struct {\n${fields.join('\n')}\n} Lb${record.name};`,
    `LB_STATIC_ASSERT(sizeof(Lb${record.name}) == ${record.size}, "${record.name}");`,
    ...checks,
  ].join('\n');
}

/** Address ranges of a state hash, in order: bytes for the bank, and per row. */
function hashedPieces(contract: Contract): string[] {
  const [none, one] = [hashedRanges(contract, 0), hashedRanges(contract, 1)];
  return none.map(({ at, bytes }, index) => `  X(${at}u, ${bytes}u, ${(one[index]?.bytes ?? 0) - bytes}u) \\`);
}

/** First byte after the last record. */
function endOfRecords(contract: Contract): number {
  return Math.max(...hashedRanges(contract, contract.rowsMax).map(({ at, bytes }) => at + bytes));
}

function placeLine({ name, record, at, count, stride }: Place): string {
  const rows = stride === undefined ? '' : `, ${stride} bytes from row to row`;
  return `#define ${prefixed(name)}_AT ${at}u /* ${count} × Lb${record}${rows} */`;
}

/** Returns a header for C11 and C++11 with structs, addresses, enumerations, parameters and faults. */
export function writeCHeader(contract: Contract): string {
  const enums = Object.entries(ENUMS).map(
    ([name, values]) => `enum {\n${values.map((value, index) => `  ${prefixed(name)}_${constantCase(value)} = ${index},`).join('\n')}\n};`,
  );
  const places = contract.places.map(placeLine);
  const faults = contract.faults.map(
    (fault) =>
      `#define ${prefixed(fault.scope)}_FAULT_${constantCase(fault.name)} (1u << ${fault.code}) /* FMI ${fault.fmi}: ${fault.help} */`,
  );
  const parameters = contract.parameters.map(
    (one, index) => `  X(${index + 1}, ${one.name}, ${C_TYPE[one.type]}, ${one.min}, ${one.max}, ${one.default}) \\`,
  );
  return [
    '/* Written from shared/ by `npm run contract`. Do not edit. */',
    '#ifndef LATCHBENCH_H\n#define LATCHBENCH_H\n#include <stddef.h>\n#include <stdint.h>',
    '#ifdef __cplusplus\n#define LB_STATIC_ASSERT static_assert\n#else\n#define LB_STATIC_ASSERT _Static_assert\n#endif',
    `#define LB_CONTRACT_HASH "${contract.hash}"\n#define LB_ROWS_MAX ${contract.rowsMax}\n#define LB_MEMORY_BYTES ${contract.memoryBytes}\n#define LB_RECORDS_END ${endOfRecords(contract)}`,
    ...contract.records.map(struct),
    `/* Addresses of the records in linear memory. */\n${places.join('\n')}`,
    ...enums,
    `/* Faults, as bits. */\n${faults.join('\n')}`,
    `/* X(number, name, type, min, max, default) for every parameter. */\n#define LB_PARAMETERS(X) \\\n${parameters.join('\n')}\n`,
    `/* X(address, bytes for the bank, bytes per row) for every range of a state hash. */\n#define LB_HASHED_PIECES(X) \\\n${hashedPieces(contract).join('\n')}\n`,
    '#endif\n',
  ].join('\n\n');
}
