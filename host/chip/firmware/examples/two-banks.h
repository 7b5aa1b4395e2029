#ifndef EXAMPLE_TWO_BANKS_H
#define EXAMPLE_TWO_BANKS_H

#include "bank.h"

/* Returns what lb_configure() does. */
uint32_t left_start(void);
uint32_t right_start(void);
/* One tick. Returns the number of coils that are driven. */
uint32_t left_step(void);
uint32_t right_step(void);

#endif
