/* The bench link: a host asks, the chip answers with the same sequence number. One request is under way at a time.
 *
 * A request whose answer is lost is sent again with the same number; the chip then sends the same answer again and does
 * nothing twice. Between answers the chip tells of itself: its start, and each change of its coils. */
#ifndef LB_LINK_H
#define LB_LINK_H

#include <stdbool.h>
#include <stdint.h>

#include "latchbench-chip.h"

enum { LB_LINK_VERSION = 1, LB_CONTRACT_CHARACTERS = 16, LB_NAME_CHARACTERS = 16 };

/* Requests; an answer has the same kind with the highest bit set. Bodies are little-endian. */
enum {
  LB_LINK_HELLO = 1,     /* u8 version, contract hash -> greeting, see link.c */
  LB_LINK_CONFIGURE = 2, /* u16 rows, u8 mode, u8 0, parameters -> i32 result */
  LB_LINK_TICK = 3,      /* inputs -> outputs, u32 chain of hashes, u32 counts taken; in lockstep only */
  LB_LINK_INPUT = 4,     /* inputs -> outputs, u32 ticks, u32 overruns; in a free run only */
  LB_LINK_READ = 5,      /* u32 at, u32 count -> bytes of the records */
  LB_LINK_WRITE = 6,     /* u32 at, bytes -> nothing; in lockstep only */
  LB_LINK_STATUS = 7,    /* -> status, see link.c */
  LB_LINK_LEAVE = 8,     /* -> nothing; ends lockstep or free run */
  LB_LINK_RESTART = 9,   /* -> nothing; then the chip restarts */
  LB_LINK_HASH = 10,     /* -> u32 hash of outputs, probes and state as they are; in lockstep only */
  LB_LINK_INJECT = 11,   /* u8 fault -> nothing; only in firmware that was built for tests */
};

/* What the chip tells unasked. */
enum {
  LB_LINK_STARTED = 0xe1, /* u8 cause, u32 reason */
  LB_LINK_COILS = 0xe2,   /* u32 tick of the timer, u8 row, u8 supply, u8 return */
};

/* In place of an answer. */
enum { LB_LINK_REFUSED = 0xff }; /* u8 kind that was refused */

/* Faults to put in, LB_LINK_INJECT. */
enum { LB_INJECT_HANG = 1, LB_INJECT_FAULT = 2, LB_INJECT_STACK = 3, LB_INJECT_POWER_FAILING = 4, LB_INJECT_POWER_CUT = 5 };

/* Takes what has come in and answers. True if there were inputs for a free run among it, of a host with this contract: neither
 * strangers nor questions keep a run alive whose inputs stand still. */
bool lb_link_serve(void);

void lb_link_tell_start(uint32_t cause, uint32_t reason);

/* For boards whose coils are the link's other end. */
void lb_link_tell_coils(uint32_t row, uint8_t supply, uint8_t back);

/* The inputs of the last LB_LINK_INPUT, for boards whose sensors are the link's other end; false before the first. */
bool lb_link_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count);

/* A fault that was put in and that the board has to play: LB_INJECT_POWER_FAILING. */
bool lb_link_is_injected(uint32_t fault);

#endif
