/* The controller as a C library: the same WebAssembly that runs on the laptop, translated to C.
 *
 *   write lb_parameters(), call lb_configure(rows); then each tick: write lb_bank_input() and lb_row_input(), call lb_tick(),
 *   do what lb_row_output() says.
 *
 * One controller to a program. Nothing is allocated, nothing is locked: call from one place. latchbench.h has the records.
 */
#ifndef LATCHBENCH_CHIP_H
#define LATCHBENCH_CHIP_H

#include <stdint.h>

#include "latchbench.h"

/* The records, at the addresses that latchbench.h gives them; a copy of them is a complete snapshot. Behind them stand bytes
 * that are never used: see wasm-ops.h. */
enum { LB_GUARD_BYTES = 256 };
extern uint8_t lb_memory[LB_RECORDS_END + LB_GUARD_BYTES];

static inline LbParameters* lb_parameters(void) { return (LbParameters*)(void*)(lb_memory + LB_PARAMETERS_AT); }
static inline LbBankInput* lb_bank_input(void) { return (LbBankInput*)(void*)(lb_memory + LB_BANK_INPUT_AT); }
static inline LbRowInput* lb_row_input(void) { return (LbRowInput*)(void*)(lb_memory + LB_ROW_INPUT_AT); }
static inline const LbBankOutput* lb_bank_output(void) { return (const LbBankOutput*)(void*)(lb_memory + LB_BANK_OUTPUT_AT); }
static inline const LbRowOutput* lb_row_output(void) { return (const LbRowOutput*)(void*)(lb_memory + LB_ROW_OUTPUT_AT); }
static inline const LbBankProbe* lb_bank_probe(void) { return (const LbBankProbe*)(void*)(lb_memory + LB_BANK_PROBE_AT); }
static inline const LbRowProbe* lb_row_probe(void) { return (const LbRowProbe*)(void*)(lb_memory + LB_ROW_PROBE_AT); }

/* Writes every parameter's default. */
void lb_default_parameters(void);

/* Starts afresh for `rows` rows. 0: ready. n > 0: parameter number n was refused, and only closing strokes are made.
 * -1: there are not that many rows. Every valve's position counts as unknown, so each gets a closing stroke first. */
int32_t lb_configure(int32_t rows);

/* One step of 1/tickHz. */
void lb_tick(void);

/* CRC-32 over outputs, probes and state of the rows in use: what a vector's accepted outputs hold for each second. */
uint32_t lb_state_hash(uint32_t rows);

/* The same bytes in a hash that is quick enough for each tick, going on from `before`: h = (rotate(h, 5) ^ word) * 0x9e3779b1.
 * Each step can be undone, so two runs that differ in one word never get back to the same chain by themselves. */
uint32_t lb_state_chain(uint32_t rows, uint32_t before);

/* Whether this code, as it was compiled and as the processor is set, does single precision as WebAssembly does:
 * 0, or the first of these that it does not. Call it once before lb_configure(). */
enum {
  LB_ARITHMETIC_FUSED = 1,     /* a product is added without having been rounded */
  LB_ARITHMETIC_FLUSHED = 2,   /* subnormal numbers become 0 */
  LB_ARITHMETIC_NAN = 3,       /* not a number compares as a number, or does not spread */
  LB_ARITHMETIC_ROUNDING = 4,  /* not to nearest, ties to even */
  LB_ARITHMETIC_WIDER = 5,     /* more than single precision in between */
};
uint32_t lb_check_arithmetic(void);

/* You write this one. The controller has found a fault of ours and stopped for good: bring the valves into the state that is
 * safe on your machine, for instance by a reset after which all of them are closed. It must not return. */
enum {
  LB_TRAP_UNREACHABLE = 1,   /* an assertion in the controller */
  LB_TRAP_OUT_OF_BOUNDS = 2,
  LB_TRAP_CONVERSION = 3,    /* no integer has this value */
  LB_TRAP_DIVIDE_BY_ZERO = 4,
};
__attribute__((noreturn)) void lb_trap(uint32_t reason);

/* CRC-32 of ISO 3309, as in zlib, going on from `before`. */
uint32_t lb_crc32(const uint8_t* bytes, uint32_t count, uint32_t before);

#endif
