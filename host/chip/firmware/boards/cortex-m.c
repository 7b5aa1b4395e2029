#include "cortex-m.h"

#include "common.h"

void lb_cortex_start(void) {
#ifdef __ARM_FP
  COPROCESSORS |= 0xfu << 20;
  __asm volatile("dsb\n isb");
  /* Round to nearest; subnormal numbers and payloads of not-a-number kept: FPSCR bits 25 (DN), 24 (FZ), 23:22. */
  __asm volatile("vmsr fpscr, %0" : : "r"(0));
#endif
  lb_common_start_memory();
}

/* Any exception that is no interrupt of the board's. The stack may be what has failed, so it begins anew; the number of the
 * exception is the reason. */
__attribute__((naked)) void lb_cortex_fault(void) {
  __asm volatile(
      "ldr r0, =lb_stack_top\n"
      "mov sp, r0\n"
      "mrs r0, ipsr\n"
      "bl lb_common_fault\n");
}

void lb_board_reset(void) {
  __asm volatile("dsb");
  SYSTEM_RESET = 0x05fa0004u;
  for (;;) {}
}

/* It counts down. */
uint32_t lb_board_count(void) { return -SYSTICK_VALUE; }

void lb_board_hold_interrupts(bool is_held) {
  if (is_held) __asm volatile("cpsid i" : : : "memory");
  else __asm volatile("cpsie i" : : : "memory");
}
