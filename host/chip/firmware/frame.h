/* Frames on the link: kind, number of the request, sequence number, tick, body, and a CRC-32 over all of it (little-endian),
 * byte-stuffed by COBS (Cheshire, Baker 1999, IEEE/ACM Trans. Networking 7(2):159-172), so that a byte 0 ends a frame and occurs
 * nowhere else. */
#ifndef LB_FRAME_H
#define LB_FRAME_H

#include <stdbool.h>
#include <stdint.h>

#include "board.h"

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

enum { LB_FRAME_HEAD = 6, LB_FRAME_CRC = 4 };
/* Longest frame with a body of this length, with byte stuffing and its final 0. */
#define LB_FRAME_BYTES(body) ((body) + LB_FRAME_HEAD + LB_FRAME_CRC + ((body) + LB_FRAME_HEAD + LB_FRAME_CRC) / 254 + 2)

/* A request. From `kind` on it is stored as on the line, with room for the CRC after the body. */
typedef struct {
  uint32_t count; /* bytes of the body */
  uint8_t kind;
  uint8_t number;
  uint16_t sequence;
  uint16_t tick;
  uint8_t body[LB_REQUEST_MAX + LB_FRAME_CRC];
} LbRequest;

/* Takes one byte of the line. Returns true when it completes an intact frame; a damaged one is dropped and counted. */
bool lb_frame_take(LbRequest* request, uint8_t byte);

/* Counts a frame of the session's host: frames that are missing before it, came twice, or were overtaken. */
void lb_frame_count(uint16_t sequence);

/* Starts counting in both directions with the first frame of a new session. */
void lb_frame_restart_count(uint16_t sequence);

/* Whether a frame with a body of this length can be sent without waiting. */
bool lb_frame_fits(uint32_t body, LbReceiver to);

/* Sends a frame in pieces: start, any number of bodies, end. */
void lb_frame_start(uint8_t kind, uint8_t number, LbReceiver to);
void lb_frame_add(const void* bytes, uint32_t count);
void lb_frame_end(void);

/* Bytes of a little-endian number, as both the link and every processor here have them. */
static inline uint32_t lb_get32(const uint8_t* bytes) {
  uint32_t value;
  __builtin_memcpy(&value, bytes, 4);
  return value;
}
static inline uint32_t lb_get16(const uint8_t* bytes) { return bytes[0] | (uint32_t)bytes[1] << 8; }

#endif
