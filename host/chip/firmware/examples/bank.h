/* What the examples share: the inputs of a machine and what becomes of the orders. A real program reads its ADC and drives coils. */
#ifndef EXAMPLE_BANK_H
#define EXAMPLE_BANK_H

#include "latchbench-chip.h"

enum { EXAMPLE_ROWS = 4 };

/* Inputs of a bank whose sensors are in range, with the frame lifted. 2048 of 4096 counts are half of each sensor's span. */
static inline void example_read_inputs(LbBankInput* bank, LbRowInput* rows) {
  bank->supplyMv = 13800;
  bank->enabled = 1;
  for (uint32_t row = 0; row < EXAMPLE_ROWS; row++) {
    rows[row].loadCounts = 2048;
    rows[row].pressureCounts = 2048;
    rows[row].accelerationCounts = 2048;
    rows[row].enabled = 1;
  }
}

/* Returns the number of coils that are driven in this tick. */
static inline uint32_t example_drive_coils(const LbRowOutput* rows) {
  uint32_t driven = 0;
  for (uint32_t row = 0; row < EXAMPLE_ROWS; row++) {
    if (rows[row].supplyOrder != LB_ORDER_NONE) driven++;
    if (rows[row].returnOrder != LB_ORDER_NONE) driven++;
  }
  return driven;
}

#endif
