#include "frame.h"

#include "board.h"

enum { HEAD_BYTES = 2, CRC_BYTES = 4 };

/* Kind, sequence number and body follow each other, as on the line. */
static uint8_t* bytes_of(LbRequest* request) { return &request->kind; }

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
  if (decoder.count < HEAD_BYTES + sizeof request->body) bytes_of(request)[decoder.count++] = byte;
  else decoder.is_too_long = true;
}

static bool is_intact(LbRequest* request) {
  if (decoder.left != 0 || decoder.is_too_long || decoder.count < HEAD_BYTES + CRC_BYTES) return false;
  const uint32_t covered = decoder.count - CRC_BYTES;
  uint32_t crc;
  __builtin_memcpy(&crc, bytes_of(request) + covered, CRC_BYTES);
  request->count = covered - HEAD_BYTES;
  return lb_crc32(bytes_of(request), covered, 0) == crc;
}

bool lb_frame_take(LbRequest* request, uint8_t byte) {
  if (byte == 0) {
    const bool is_complete = is_intact(request);
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

/* Bytes to send are collected: where sending is a system call, single bytes would be slow. */
typedef struct {
  uint32_t count;
  uint8_t bytes[64];
} Piece;

static void flush(Piece* piece) {
  lb_board_send(piece->bytes, piece->count);
  piece->count = 0;
}

static void send(Piece* piece, uint8_t byte) {
  piece->bytes[piece->count++] = byte;
  if (piece->count == sizeof piece->bytes) flush(piece);
}

void lb_frame_send(uint8_t* bytes, uint32_t count) {
  Piece piece = {.count = 0};
  const uint32_t crc = lb_crc32(bytes, count, 0);
  __builtin_memcpy(bytes + count, &crc, CRC_BYTES);
  const uint32_t end = count + CRC_BYTES;
  uint32_t from = 0;
  for (;;) {
    uint32_t to = from;
    while (to < end && to - from < 254 && bytes[to] != 0) to++;
    const uint32_t run = to - from;
    send(&piece, (uint8_t)(run + 1));
    for (uint32_t index = from; index < to; index++) send(&piece, bytes[index]);
    if (to == end) break;
    from = run == 254 ? to : to + 1;
  }
  send(&piece, 0);
  flush(&piece);
}
