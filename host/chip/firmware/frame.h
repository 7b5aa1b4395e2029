/* Frames on the link: kind, sequence number, body, CRC-32 (little-endian) over all of it; then byte-stuffed by COBS
 * (Cheshire, Baker 1999, IEEE/ACM Trans. Networking 7(2):159-172), so that a byte 0 ends a frame and stands nowhere else. */
#ifndef LB_FRAME_H
#define LB_FRAME_H

#include <stdbool.h>
#include <stdint.h>

#include "latchbench-chip.h"

#define LB_LARGER(a, b) ((a) > (b) ? (a) : (b))
/* The longest bodies: parameters, inputs of a tick, outputs of a tick; and up to 24 bytes that go with each. */
#define LB_BODY_MOST                                                                        \
  (24 + LB_LARGER(sizeof(LbParameters),                                                     \
                  LB_LARGER(sizeof(LbBankInput) + sizeof(LbRowInput) * LB_ROWS_MAX,         \
                            sizeof(LbBankOutput) + sizeof(LbRowOutput) * LB_ROWS_MAX)))

/* From `kind` on it stands as on the line, with room for the CRC behind the body. */
typedef struct {
  uint32_t count; /* bytes of the body */
  uint8_t kind;
  uint8_t sequence;
  uint8_t body[LB_BODY_MOST + 4];
} LbFrame;

/* Takes one byte of the line. True when it has completed a frame that is whole; a damaged one is dropped. */
bool lb_frame_take(LbFrame* frame, uint8_t byte);

/* Sends kind, sequence number and body, `count` bytes in all; behind them there must be room for 4 more. */
void lb_frame_send(uint8_t* bytes, uint32_t count);

#endif
