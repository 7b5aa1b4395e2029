/* Compiled with -DLB_BANK=left, and right-bank.c with -DLB_BANK=right: each bank has its own records and its own code. */
#include "two-banks.h"

uint32_t left_start(void) {
  lb_default_parameters();
  return (uint32_t)lb_configure(EXAMPLE_ROWS);
}

uint32_t left_step(void) {
  example_read_inputs(lb_bank_input(), lb_row_input());
  lb_tick();
  return example_drive_coils(lb_row_output());
}
