/* The controller as a C library: the WebAssembly that runs on the laptop, translated to C.
 *
 *   write lb_parameters() and call lb_configure(rows); then in each tick write lb_bank_input() and lb_row_input(), call lb_tick(),
 *   and carry out the orders in lb_row_output().
 *
 * Nothing is allocated and nothing is locked: call it from one thread or interrupt level. latchbench.h has the records.
 *
 * Macros that a build may define, the same for the library and for what uses it:
 *   LB_BANK            a name such as left: all names of this header become left_lb_tick and so on. Compile controller.c and library.c
 *                      once for each bank of the firmware, and use each bank in a separate source file.
 *   LB_MEMORY_SECTION  an attribute for the records, such as __attribute__((section(".ccm")))
 *   LB_CODE_SECTION    an attribute for lb_tick() and all that it calls, such as __attribute__((section(".itcm")))
 */
#ifndef LATCHBENCH_CHIP_H
#define LATCHBENCH_CHIP_H

#include <stdint.h>

#include "latchbench.h"

#ifndef LB_MEMORY_SECTION
#define LB_MEMORY_SECTION
#endif
#ifndef LB_CODE_SECTION
#define LB_CODE_SECTION
#endif
#ifdef LB_BANK
#define LB_JOINED(bank, name) bank##_##name
#define LB_JOIN(bank, name) LB_JOINED(bank, name)
#define lb_memory LB_JOIN(LB_BANK, lb_memory)
#define lb_configure LB_JOIN(LB_BANK, lb_configure)
#define lb_reconfigure LB_JOIN(LB_BANK, lb_reconfigure)
#define lb_tick LB_JOIN(LB_BANK, lb_tick)
#define lb_default_parameters LB_JOIN(LB_BANK, lb_default_parameters)
#define lb_move_parameters LB_JOIN(LB_BANK, lb_move_parameters)
#define lb_state_hash LB_JOIN(LB_BANK, lb_state_hash)
#define lb_state_chain LB_JOIN(LB_BANK, lb_state_chain)
#define lb_check_arithmetic LB_JOIN(LB_BANK, lb_check_arithmetic)
#define lb_crc32 LB_JOIN(LB_BANK, lb_crc32)
#endif

#ifdef __cplusplus
extern "C" {
#endif

/* The records, at the addresses that latchbench.h gives them; a copy of them is a complete snapshot. They are followed by bytes
 * that are never used, see wasm-ops.h. */
enum { LB_GUARD_BYTES = 256 };
extern uint8_t lb_memory[LB_RECORDS_END + LB_GUARD_BYTES];

static inline LbParameters* lb_parameters(void) { return (LbParameters*)(void*)(lb_memory + LB_PARAMETERS_AT); }
static inline LbBankInput* lb_bank_input(void) { return (LbBankInput*)(void*)(lb_memory + LB_BANK_INPUT_AT); }
static inline LbRowInput* lb_row_input(void) { return (LbRowInput*)(void*)(lb_memory + LB_ROW_INPUT_AT); }
static inline const LbBankOutput* lb_bank_output(void) { return (const LbBankOutput*)(void*)(lb_memory + LB_BANK_OUTPUT_AT); }
static inline const LbRowOutput* lb_row_output(void) { return (const LbRowOutput*)(void*)(lb_memory + LB_ROW_OUTPUT_AT); }
static inline const LbBankProbe* lb_bank_probe(void) { return (const LbBankProbe*)(void*)(lb_memory + LB_BANK_PROBE_AT); }
static inline const LbRowProbe* lb_row_probe(void) { return (const LbRowProbe*)(void*)(lb_memory + LB_ROW_PROBE_AT); }

/* Sets every parameter to its default. */
void lb_default_parameters(void);

/* A parameter as an earlier build stored it: its name in that build's contract, whether it was a float there, and its four bytes. */
typedef struct {
  const char* name;
  uint32_t isFloat;
  uint32_t word;
} LbStoredParameter;

/* An entry of such a table, from X(number, name, type, min, max, default) of that build's LB_PARAMETERS; the word is added by you. */
#define LB_STORED_PARAMETER(number, name, type, min, max, value) {#name, (type)0.5f != 0, 0},

/* Moves stored parameters to the present contract: all parameters become their defaults, then those with the name and type of a
 * stored one, whose value is inside today's limits, take it. Returns the number of stored parameters that were not taken, because
 * they no longer exist, have another type, or are outside the limits. lb_configure() then checks the rules between them. */
uint32_t lb_move_parameters(const LbStoredParameter* stored, uint32_t count);

/* Starts or restarts the controller with `rows` rows. Returns 0 when it is ready; n > 0 when parameter number n is out of range,
 * and then the controller only closes valves; -1 when it does not have that many rows. All valve positions count as unknown, so
 * each valve first gets a closing stroke. */
int32_t lb_configure(int32_t rows);

/* Puts the parameters in lb_parameters() into force between two ticks, without losing zeros, gains and valve positions. Returns 0;
 * n > 0 when parameter number n is out of range; -n when a change of parameter number n needs lb_configure(), as latchbench.h and
 * contract.md list them; LB_NOT_CONFIGURED before lb_configure(). Unless it returns 0 nothing has changed, and lb_parameters() has
 * the values in force again. */
enum { LB_NOT_CONFIGURED = -1000 };
int32_t lb_reconfigure(void);

/* One step of 1/tickHz. */
void lb_tick(void);

/* Returns the CRC-32 of outputs, probes and state of the rows in use, as a vector's accepted outputs have it for each second. */
uint32_t lb_state_hash(uint32_t rows);

/* A hash of the same bytes that is quick enough for every tick, continued from `before`: h = (rotate(h, 5) ^ word) * 0x9e3779b1.
 * Each step is reversible, so two runs that differ in one word cannot arrive at the same chain again while all other words
 * agree. */
uint32_t lb_state_chain(uint32_t rows, uint32_t before);

/* Checks that this code, as compiled and on this processor as set up, calculates in single precision as WebAssembly does.
 * Returns 0, or the first deviation. Call it once before lb_configure(). */
enum {
  LB_ARITHMETIC_FUSED = 1,    /* products are added without rounding */
  LB_ARITHMETIC_FLUSHED = 2,  /* subnormal numbers become 0 */
  LB_ARITHMETIC_NAN = 3,      /* NaN compares as a number, or does not propagate */
  LB_ARITHMETIC_ROUNDING = 4, /* rounding is not to nearest, ties to even */
  LB_ARITHMETIC_WIDER = 5,    /* intermediate results have more than single precision */
};
uint32_t lb_check_arithmetic(void);

/* You implement this function. An internal check of the controller failed, and it has stopped for good: bring the valves into the
 * safe state of your machine, for example by a reset after which all of them are closed. It must not return. */
enum {
  LB_TRAP_UNREACHABLE = 1, /* an assertion in the controller */
  LB_TRAP_OUT_OF_BOUNDS = 2,
  LB_TRAP_CONVERSION = 3, /* the value does not fit an integer */
  LB_TRAP_DIVIDE_BY_ZERO = 4,
};
__attribute__((noreturn)) void lb_trap(uint32_t reason);

/* CRC-32 of ISO 3309, as in zlib, continued from `before`. */
uint32_t lb_crc32(const uint8_t* bytes, uint32_t count, uint32_t before);

#ifdef __cplusplus
}
#endif

#endif
