/* A bare main loop: the timer counts ticks, the loop makes steps. A step that comes late is not made up for: in quick succession steps
 * would end strokes that have only just begun. */
#include "bank.h"

#include <stdio.h>
#include <stdlib.h>

/* Counted by the timer's interrupt in a real program. */
static volatile uint32_t timer_ticks;

void lb_trap(uint32_t reason) { exit((int)reason); }

static uint32_t step(void) {
  example_read_inputs(lb_bank_input(), lb_row_input());
  lb_tick();
  return example_drive_coils(lb_row_output());
}

int main(void) {
  uint32_t done = 0;
  uint32_t driven = 0;
  lb_default_parameters();
  if (lb_check_arithmetic() != 0 || lb_configure(EXAMPLE_ROWS) != 0) return 1;
  while (done < 100) {
    timer_ticks++;
    if (timer_ticks == done) continue;
    done = timer_ticks;
    driven += step();
  }
  printf("driven %u all closed %u\n", (unsigned)driven, lb_bank_output()->allClosed);
  return 0;
}
