/* Two banks in one firmware. */
#include "two-banks.h"

#include <stdio.h>
#include <stdlib.h>

void lb_trap(uint32_t reason) { exit((int)reason); }

int main(void) {
  uint32_t left = 0;
  uint32_t right = 0;
  if (left_start() != 0 || right_start() != 0) return 1;
  for (uint32_t tick = 0; tick < 100; tick++) {
    left += left_step();
    right += right_step();
  }
  printf("left %u right %u\n", (unsigned)left, (unsigned)right);
  return 0;
}
