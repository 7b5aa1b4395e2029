/* The link to a host: the host sends requests, and the chip answers each with its kind, highest bit set, and its number. protocol.h
 * lists requests and answers.
 *
 * Requests are numbered from 1 to 255 and then from 1 again, and are carried out strictly in that order. The chip keeps its last
 * LB_WINDOW answers: when a request comes once more, it repeats the answer and does nothing twice. When one is missing, it says
 * which, and the host sends again from there. A request with number 0 is carried out at once and has no answer. LB_LINK_HELLO and
 * LB_LINK_STOP are outside this order: they are carried out whenever they come. */
#ifndef LB_LINK_H
#define LB_LINK_H

#include <stdbool.h>
#include <stdint.h>

#include "latchbench-chip.h"
#include "protocol.h"

/* Answers that are kept: how many requests can be under way at once. */
#ifndef LB_WINDOW
#define LB_WINDOW 2
#endif

/* Takes what has been received and answers it. Returns whether there was anything. */
bool lb_link_serve(void);

/* Whether the chip is about to restart: then nothing more is sent. */
bool lb_link_is_ending(void);

void lb_link_notify_start(uint32_t cause, uint32_t reason);

/* Whether this fault was injected and the board has to play it: LB_INJECT_POWER_FAILING. */
bool lb_link_is_injected(uint32_t fault);

#endif
