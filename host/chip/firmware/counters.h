/* What the firmware counts, LB_COUNT_… of protocol.h. */
#ifndef LB_COUNTERS_H
#define LB_COUNTERS_H

#include <stdint.h>

#include "protocol.h"

extern uint32_t lb_counters[LB_LINK_COUNTERS];

#endif
