/* A task with a fixed period. delay_until() stands for the function of that purpose in any RTOS; here it only counts. Give the task the
 * highest priority of all that take longer than a tick may be late, and the stack that `latchbench chip build` proves. */
#include "bank.h"

#include <stdio.h>
#include <stdlib.h>

enum { RUN_TICKS = 100 };
static uint32_t now_ticks;

/* Waits until `*wake` + `period`, and returns whether that was still ahead. */
static int delay_until(uint32_t* wake, uint32_t period) {
  *wake += period;
  const int is_ahead = (int32_t)(*wake - now_ticks) > 0;
  if (is_ahead) now_ticks = *wake;
  return is_ahead;
}

void lb_trap(uint32_t reason) { exit((int)reason); }

/* Nothing else may touch the records: other tasks send requests to this one. */
static uint32_t control_task(void) {
  uint32_t wake = now_ticks;
  uint32_t driven = 0;
  while (now_ticks < RUN_TICKS) {
    example_read_inputs(lb_bank_input(), lb_row_input());
    lb_tick();
    driven += example_drive_coils(lb_row_output());
    /* Late steps are dropped, not made up for. */
    if (!delay_until(&wake, 1)) wake = now_ticks;
  }
  return driven;
}

int main(void) {
  lb_default_parameters();
  if (lb_check_arithmetic() != 0 || lb_configure(EXAMPLE_ROWS) != 0) return 1;
  const uint32_t driven = control_task();
  printf("driven %u all closed %u\n", (unsigned)driven, lb_bank_output()->allClosed);
  return 0;
}
