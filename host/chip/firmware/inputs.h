/* Inputs of a free run, which the host sends ahead, each stamped with the step it is for. */
#ifndef LB_INPUTS_H
#define LB_INPUTS_H

#include <stdbool.h>
#include <stdint.h>

#include "latchbench-chip.h"

/* How many steps' inputs can wait. */
#ifndef LB_INPUT_SLOTS
#define LB_INPUT_SLOTS 4
#endif

/* Starts a run: inputs come for every `period`-th step. */
void lb_inputs_start(uint32_t period);

/* Takes the inputs of one step. `next`: the step that comes next. Those that are late but newer than the ones in use are used from
 * that step on. */
void lb_inputs_take(uint32_t step, const uint8_t* bytes, uint32_t count, uint32_t next);

/* Puts the inputs of this step into the controller's records. If they have not arrived, those of the last step stay. */
void lb_inputs_use(uint32_t step);

/* Step that the inputs in use were sent for; LB_NO_INPUTS before the first. */
uint32_t lb_inputs_stamp(void);
uint32_t lb_inputs_period(void);

#endif
