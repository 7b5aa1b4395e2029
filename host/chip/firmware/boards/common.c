#include "common.h"

#include "../frame.h"

enum { RING_BYTES = 1024, PAINT = 0x5ac3a53c, KEPT_MARK = 0x4c424b31 };
/* A request with its frame fits, since it may arrive while the chip sends notices. Only LB_LINK_TICKS may be longer: in lockstep
 * there are no notices, and bytes are fetched as they arrive. */
_Static_assert(RING_BYTES >= LB_BODY_MAX + 16, "a request could be lost");
/* SysTick has 24 bits. */
#ifdef __riscv
#define LB_COUNT_MASK 0xffffffffu
#else
#define LB_COUNT_MASK 0xffffffu
#endif

static struct {
  uint32_t mark; /* KEPT_MARK: cause and reason are valid */
  uint32_t cause;
  uint32_t reason;
} kept __attribute__((section(".kept")));

static struct {
  uint32_t cause;
  uint32_t reason;
} start;

static volatile uint8_t ring[RING_BYTES];
static volatile uint32_t ring_in, ring_out;
static volatile uint32_t ticks;

void lb_common_start_memory(void) {
  const uint32_t* from = lb_data_image;
  for (uint32_t* to = lb_data; to < lb_data_end; to++) *to = *from++;
  for (uint32_t* to = lb_bss; to < lb_bss_end; to++) *to = 0;
  /* This function calls nothing, so everything below its frame is unused. */
  uint32_t* stack;
#ifdef __riscv
  __asm volatile("mv %0, sp" : "=r"(stack));
#else
  __asm volatile("mov %0, sp" : "=r"(stack));
#endif
  for (uint32_t* to = lb_stack_end; to < stack; to++) *to = PAINT;
  /* An unannounced reset of a running chip comes from the watchdog. */
  const bool is_kept = kept.mark == KEPT_MARK;
  start.cause = is_kept ? kept.cause : LB_START_POWER;
  start.reason = is_kept ? kept.reason : 0;
  kept.mark = KEPT_MARK;
  kept.cause = LB_START_WATCHDOG;
  kept.reason = 0;
}

uint32_t lb_board_start_cause(uint32_t* reason) {
  *reason = start.reason;
  return start.cause;
}

void lb_board_restart(uint32_t cause, uint32_t reason) {
  kept.cause = cause;
  kept.reason = reason;
  lb_board_reset();
}

void lb_common_fault(uint32_t reason) { lb_board_restart(LB_START_FAULT, reason); }

uint32_t lb_board_stack_used(void) {
  const uint32_t* untouched = lb_stack_end;
  while (untouched < lb_stack_top && *untouched == PAINT) untouched++;
  return (uint32_t)(lb_stack_top - untouched) * 4;
}

static uint32_t counter_start;

void lb_board_start_counter(void) {
  lb_board_mask_interrupts(true);
  counter_start = lb_board_count();
}

uint32_t lb_board_stop_counter(void) {
  const uint32_t count = (lb_board_count() - counter_start) & LB_COUNT_MASK;
  lb_board_mask_interrupts(false);
  return count;
}

void lb_common_ticked(void) { ticks++; }
uint32_t lb_board_ticks(void) { return ticks; }

void lb_common_received(uint8_t byte) {
  if (ring_in - ring_out < RING_BYTES) ring[ring_in++ % RING_BYTES] = byte;
}

#ifndef LB_SEMIHOSTING
uint32_t lb_board_receive(uint8_t* bytes, uint32_t max) {
  uint32_t count = 0;
  while (count < max && ring_out != ring_in) bytes[count++] = ring[ring_out++ % RING_BYTES];
  return count;
}

void lb_board_send(const uint8_t* bytes, uint32_t count) { lb_uart_send(bytes, count); }
void lb_board_idle(void) { __asm volatile("wfi"); }
#endif

/* The host at the other end of the link simulates the machine of the example boards. */
void lb_board_read_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count) { lb_link_inputs(bank, rows, count); }
void lb_board_drive_coils(uint32_t row, uint8_t supply_order, uint8_t return_order) { lb_link_notify_coils(row, supply_order, return_order); }
bool lb_board_is_power_failing(void) { return lb_link_is_injected(LB_INJECT_POWER_FAILING); }
