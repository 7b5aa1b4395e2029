#include "cortex-m.h"

#include "common.h"

void lb_cortex_start(void) {
#ifdef __ARM_FP
  COPROCESSORS |= 0xfu << 20;
  __asm volatile("dsb\n isb");
  /* Round to nearest, keep subnormal numbers and NaN payloads: FPSCR bits 25 (DN), 24 (FZ) and 23:22 are clear. */
  __asm volatile("vmsr fpscr, %0" : : "r"(0));
#endif
  lb_common_start_memory();
}

/* Every exception that is not an interrupt of the board. The stack itself may have failed, so it starts over; the exception
 * number is the reason. */
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

/* SysTick counts down. */
uint32_t lb_board_count(void) { return -SYSTICK_VALUE; }

void lb_board_mask_interrupts(bool is_masked) {
  if (is_masked) __asm volatile("cpsid i" : : : "memory");
  else __asm volatile("cpsie i" : : : "memory");
}
