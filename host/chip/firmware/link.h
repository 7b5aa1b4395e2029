/* The link to a host: the host sends requests, and the chip answers each with its kind, highest bit set, and its sequence
 * number. protocol.h lists requests, answers and notices.
 *
 * When an answer gets lost, the host sends the request again with the same number; the chip then repeats its answer and does
 * nothing twice. Between answers the chip sends notices: of its start, and of each change of its coils. */
#ifndef LB_LINK_H
#define LB_LINK_H

#include <stdbool.h>
#include <stdint.h>

#include "latchbench-chip.h"
#include "protocol.h"

/* Takes what has been received and answers it. Returns true if it contained inputs for a free run, from a host with this
 * contract: nothing else keeps a run alive. */
bool lb_link_serve(void);

void lb_link_notify_start(uint32_t cause, uint32_t reason);

/* For boards whose coils are simulated at the other end of the link. */
void lb_link_notify_coils(uint32_t row, uint8_t supply_order, uint8_t return_order);

/* Copies the inputs of the last LB_LINK_INPUT, for boards whose sensors are simulated at the other end of the link. Returns false
 * before the first. */
bool lb_link_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count);

/* Whether this fault was injected and the board has to play it: LB_INJECT_POWER_FAILING. */
bool lb_link_is_injected(uint32_t fault);

#endif
