/* What the example boards have in common of a machine that is not there: their coils are at the other end of the link. */
#ifndef LB_BOARDS_EXAMPLE_H
#define LB_BOARDS_EXAMPLE_H

#include "../board.h"

enum { TICK_HZ = 1000 };

/* 1: in the safe state the return valves are opened. */
#ifndef LB_VENTED_AT_REST
#define LB_VENTED_AT_REST 0
#endif

#define EXAMPLE_SETTINGS(board, counter_hz)                \
  {                                                        \
    .name = board, .tickHz = TICK_HZ, .countHz = counter_hz, .valveRows = LB_ROWS_MAX, .strokeTicks = 4, .coilsAtOnce = 4, \
    .closingRounds = 2, .isVentedAtRest = LB_VENTED_AT_REST, .linkLossTicks = 200,                                         \
  }

#endif
