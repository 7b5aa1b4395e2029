/* The tick in the timer's interrupt, so that no other work delays it. What the interrupt owns while it is enabled: all records. The
 * main program changes parameters in a copy, and hands it over by one flag; it reads outputs from a copy, too. */
#include "bank.h"

#include <stdio.h>
#include <stdlib.h>

static LbParameters wanted;
static LbBankOutput shown;
static int32_t answer;
static volatile uint32_t is_wanted; /* set by the main program, cleared by the interrupt */
static uint32_t driven;

void lb_trap(uint32_t reason) { exit((int)reason); }

/* The handler of a timer with the period of a tick. It must end before its next interrupt; a lower priority would delay strokes. */
static void on_timer(void) {
  if (is_wanted != 0) {
    *lb_parameters() = wanted;
    answer = lb_reconfigure();
    is_wanted = 0;
  }
  example_read_inputs(lb_bank_input(), lb_row_input());
  lb_tick();
  driven += example_drive_coils(lb_row_output());
  shown = *lb_bank_output();
}

int main(void) {
  lb_default_parameters();
  wanted = *lb_parameters();
  if (lb_check_arithmetic() != 0 || lb_configure(EXAMPLE_ROWS) != 0) return 1;
  wanted.deadbandMinN = 60;
  for (uint32_t tick = 0; tick < 100; tick++) {
    if (tick == 50) is_wanted = 1;
    on_timer();
  }
  printf("driven %u all closed %u answer %d deadbandMinN %.0f\n", (unsigned)driven, shown.allClosed, (int)answer, (double)lb_parameters()->deadbandMinN);
  return 0;
}
