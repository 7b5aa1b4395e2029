/* Settings of the example boards. Their valves and sensors are simulated by the host at the other end of the link. */
#ifndef LB_BOARDS_EXAMPLE_H
#define LB_BOARDS_EXAMPLE_H

#include "../board.h"

/* Rates and limits are the defaults of the controller's parameters, see latchbench.h. */
enum {
#define PARAMETER_DEFAULT(number, name, type, min, max, value) DEFAULT_##name = (int)(value),
  LB_PARAMETERS(PARAMETER_DEFAULT)
#undef PARAMETER_DEFAULT
};

/* 1: the safe state has the return valves open. */
#ifndef LB_VENTED_WHEN_SAFE
#define LB_VENTED_WHEN_SAFE 0
#endif

enum { TICK_HZ = DEFAULT_tickHz };

/* The upper limit of the parameter strokeMs. */
enum { STROKE_MS_MAX = 20 };

/* Closing strokes are twice as long as the controller's: these valves may be cold. */
#define EXAMPLE_SETTINGS(board, counter_hz, clock_hz)                           \
  {                                                                             \
    .name = board, .tickHz = TICK_HZ, .countHz = counter_hz,                    \
    .clockCounts = (clock_hz) / TICK_HZ,                                        \
    .valveRows = LB_ROWS_MAX,                                                   \
    .strokeTicks = 2 * DEFAULT_strokeMs * TICK_HZ / 1000,                       \
    .coilsAtOnce = DEFAULT_strokesAtOnce, .closingRounds = 2,                   \
    .coilTicksMax = STROKE_MS_MAX * TICK_HZ / 1000 + 2,                         \
    .isVentedWhenSafe = LB_VENTED_WHEN_SAFE, .linkLossTicks = 200,              \
  }

#endif
