#include "frame.h"

#include "counters.h"

/* Kind, numbers, tick and body follow each other, as on the line. */
static uint8_t* bytes_of(LbRequest* request) { return &request->kind; }
_Static_assert(offsetof(LbRequest, body) - offsetof(LbRequest, kind) == LB_FRAME_HEAD, "the head has padding");

/* State of the decoder. */
static struct {
  uint32_t count; /* bytes of the frame so far */
  uint8_t left;   /* bytes left of the current COBS block */
  bool is_zero_due;
  bool is_too_long;
} decoder;

static void restart_decoder(void) {
  decoder.count = 0;
  decoder.left = 0;
  decoder.is_zero_due = false;
  decoder.is_too_long = false;
}

static void add(LbRequest* request, uint8_t byte) {
  if (decoder.count < LB_FRAME_HEAD + sizeof request->body) bytes_of(request)[decoder.count++] = byte;
  else decoder.is_too_long = true;
}

static bool is_intact(LbRequest* request) {
  if (decoder.left != 0 || decoder.is_too_long || decoder.count < LB_FRAME_HEAD + LB_FRAME_CRC) return false;
  const uint32_t covered = decoder.count - LB_FRAME_CRC;
  request->count = covered - LB_FRAME_HEAD;
  return lb_crc32(bytes_of(request), covered, 0) == lb_get32(bytes_of(request) + covered);
}

bool lb_frame_take(LbRequest* request, uint8_t byte) {
  if (byte == 0) {
    const bool is_empty = decoder.count == 0 && decoder.left == 0 && !decoder.is_zero_due;
    const bool is_complete = !is_empty && is_intact(request);
    if (!is_empty && !is_complete) lb_counters[LB_COUNT_DAMAGED]++;
    restart_decoder();
    return is_complete;
  }
  if (decoder.left != 0) {
    decoder.left--;
    add(request, byte);
    return false;
  }
  if (decoder.is_zero_due) add(request, 0);
  decoder.left = byte - 1;
  decoder.is_zero_due = byte != 255;
  return false;
}

static struct {
  uint16_t next;     /* sequence number that the next received frame should have */
  uint32_t received; /* bit n: the frame n + 1 before `next` has been received */
  uint16_t sent;     /* sequence number of the next frame to send */
} count;

void lb_frame_restart_count(uint16_t sequence) {
  count.next = sequence + 1;
  count.received = 0xffffffffu;
  count.sent = 0;
  lb_counters[LB_COUNT_RECEIVED]++;
}

void lb_frame_count(uint16_t sequence) {
  lb_counters[LB_COUNT_RECEIVED]++;
  const int32_t ahead = (int16_t)(sequence - count.next);
  if (ahead >= 0) {
    lb_counters[LB_COUNT_LOST] += (uint32_t)ahead;
    count.received = ahead < 31 ? count.received << (ahead + 1) | 1 : 1;
    count.next = sequence + 1;
    return;
  }
  const uint32_t bit = ahead >= -32 ? 1u << (-ahead - 1) : 0;
  if (bit != 0 && (count.received & bit) == 0) {
    /* It was counted as lost when a later one overtook it. */
    lb_counters[LB_COUNT_LOST]--;
    lb_counters[LB_COUNT_REORDERED]++;
    count.received |= bit;
  } else {
    lb_counters[LB_COUNT_DOUBLED]++;
  }
}

/* State of the encoder: a COBS block is sent once its length is known. */
static struct {
  uint32_t crc;
  LbReceiver to;
  uint32_t count;      /* bytes of the block, without the length in front of them */
  bool is_after_full;  /* the last block had the longest length, so no 0 follows it */
  uint8_t block[256];  /* its length, its bytes, and at the end of a frame a 0 */
} encoder;

static void send_block(void) {
  encoder.block[0] = (uint8_t)(encoder.count + 1);
  lb_board_send(encoder.block, encoder.count + 1, encoder.to);
  encoder.is_after_full = encoder.count == 254;
  encoder.count = 0;
}

static void stuff(const uint8_t* bytes, uint32_t bytes_count) {
  for (uint32_t index = 0; index < bytes_count; index++) {
    if (bytes[index] == 0) {
      send_block();
      encoder.is_after_full = false;
      continue;
    }
    encoder.block[++encoder.count] = bytes[index];
    if (encoder.count == 254) send_block();
  }
}

bool lb_frame_fits(uint32_t body, LbReceiver to) { return lb_board_send_room(to) >= LB_FRAME_BYTES(body); }

void lb_frame_start(uint8_t kind, uint8_t number, LbReceiver to) {
  encoder.crc = 0;
  encoder.to = to;
  encoder.count = 0;
  encoder.is_after_full = false;
  const uint32_t tick = lb_board_ticks();
  const uint16_t sequence = count.sent++;
  const uint8_t head[LB_FRAME_HEAD] = {kind, number, (uint8_t)sequence, (uint8_t)(sequence >> 8), (uint8_t)tick, (uint8_t)(tick >> 8)};
  lb_counters[LB_COUNT_SENT]++;
  lb_frame_add(head, sizeof head);
}

void lb_frame_add(const void* bytes, uint32_t bytes_count) {
  encoder.crc = lb_crc32(bytes, bytes_count, encoder.crc);
  stuff(bytes, bytes_count);
}

void lb_frame_end(void) {
  const uint32_t crc = encoder.crc;
  stuff((const uint8_t*)&crc, LB_FRAME_CRC);
  const bool is_empty = encoder.count == 0 && encoder.is_after_full;
  encoder.block[0] = (uint8_t)(encoder.count + 1);
  encoder.block[encoder.count + 1] = 0;
  if (is_empty) lb_board_send(encoder.block + 1, 1, encoder.to);
  else lb_board_send(encoder.block, encoder.count + 2, encoder.to);
}
