#include "frame.h"

#include "board.h"

enum { HEAD = 2, CRC = 4 };

/* Kind, sequence number and body stand one behind the other, as on the line. */
static uint8_t* bytes_of(LbFrame* frame) { return &frame->kind; }

/* Where decoding stands: how many bytes of the frame there are, and how many of the present COBS block are left. */
static struct {
  uint32_t count;
  uint8_t left;
  bool is_zero_due;
  bool is_too_long;
} line;

static void restart_line(void) {
  line.count = 0;
  line.left = 0;
  line.is_zero_due = false;
  line.is_too_long = false;
}

static void add(LbFrame* frame, uint8_t byte) {
  if (line.count < HEAD + sizeof frame->body) bytes_of(frame)[line.count++] = byte;
  else line.is_too_long = true;
}

static bool is_whole(LbFrame* frame) {
  if (line.left != 0 || line.is_too_long || line.count < HEAD + CRC) return false;
  const uint32_t covered = line.count - CRC;
  uint32_t told;
  __builtin_memcpy(&told, bytes_of(frame) + covered, CRC);
  frame->count = covered - HEAD;
  return lb_crc32(bytes_of(frame), covered, 0) == told;
}

bool lb_frame_take(LbFrame* frame, uint8_t byte) {
  if (byte == 0) {
    const bool is_good = is_whole(frame);
    restart_line();
    return is_good;
  }
  if (line.left != 0) {
    line.left--;
    add(frame, byte);
    return false;
  }
  if (line.is_zero_due) add(frame, 0);
  line.left = byte - 1;
  line.is_zero_due = byte != 255;
  return false;
}

/* Bytes on their way, in pieces of some size: where a piece is a call of the system, single bytes would be slow. */
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
  __builtin_memcpy(bytes + count, &crc, CRC);
  const uint32_t end = count + CRC;
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
