/* Frames on the link: kind, sequence number, body, and a CRC-32 (little-endian) over all of it, byte-stuffed by COBS (Cheshire,
 * Baker 1999, IEEE/ACM Trans. Networking 7(2):159-172), so that a byte 0 ends a frame and occurs nowhere else. */
#ifndef LB_FRAME_H
#define LB_FRAME_H

#include <stdbool.h>
#include <stdint.h>

#include "latchbench-chip.h"

#define LB_LARGER(a, b) ((a) > (b) ? (a) : (b))
/* Longest body, except that of LB_LINK_TICKS: parameters, inputs or outputs of one tick, and up to 24 bytes more. */
#define LB_BODY_MAX                                                                        \
  (24 + LB_LARGER(sizeof(LbParameters),                                                    \
                  LB_LARGER(sizeof(LbBankInput) + sizeof(LbRowInput) * LB_ROWS_MAX,        \
                            sizeof(LbBankOutput) + sizeof(LbRowOutput) * LB_ROWS_MAX)))

/* Longest body of a request. LB_LINK_TICKS carries as many ticks as fit: more RAM makes replays quicker. */
#ifndef LB_REQUEST_MAX
#define LB_REQUEST_MAX 1024
#endif
_Static_assert(LB_REQUEST_MAX >= LB_BODY_MAX, "a request does not fit");

/* A request. From `kind` on it is stored as on the line, with room for the CRC after the body. */
typedef struct {
  uint32_t count; /* bytes of the body */
  uint8_t kind;
  uint8_t sequence;
  uint8_t body[LB_REQUEST_MAX + 4];
} LbRequest;

/* Takes one byte of the line. Returns true when it completes an intact frame; a damaged one is dropped. */
bool lb_frame_take(LbRequest* request, uint8_t byte);

/* Sends kind, sequence number and body, `count` bytes in all. There must be room for 4 more bytes after them. */
void lb_frame_send(uint8_t* bytes, uint32_t count);

#endif
