/* The other bank, with one row: see left-bank.c. */
#include "two-banks.h"

uint32_t right_start(void) {
  lb_default_parameters();
  return (uint32_t)lb_configure(1);
}

uint32_t right_step(void) {
  example_read_inputs(lb_bank_input(), lb_row_input());
  lb_tick();
  return example_drive_coils(lb_row_output());
}
