#include "journal.h"

#include "board.h"
#include "counters.h"
#include "firmware.h"
#include "frame.h"
#include "inputs.h"

enum { HEAD_BYTES = 2, ENTRY_MAX = 255 };
_Static_assert((LB_JOURNAL_BYTES & (LB_JOURNAL_BYTES - 1)) == 0, "not a power of two");
_Static_assert(LB_JOURNAL_FRAME >= HEAD_BYTES + ENTRY_MAX, "an entry does not fit into a frame");

/* Offsets count all bytes since start, so that a part that is missing shows as a gap. */
static struct {
  uint32_t oldest; /* always the start of an entry */
  uint32_t sent;
  uint32_t end;
  uint32_t entry; /* the entry that is being written */
  uint8_t ring[LB_JOURNAL_BYTES];
} journal;

typedef struct {
  uint16_t address;
  uint16_t bytes;
} Piece;

static struct {
  uint16_t period; /* steps; 0: off */
  uint8_t pieces;
  Piece piece[LB_WATCH_PIECES];
} watches[LB_WATCHES];

/* The run of steps that bring no news, not yet an entry. */
static struct {
  uint32_t first;
  uint32_t tick;
  uint16_t count;
} quiet;

enum { OUTPUT_WORDS = (sizeof(LbBankOutput) + sizeof(LbRowOutput) * LB_ROWS_MAX) / 4 };
_Static_assert(sizeof(LbBankOutput) % 4 == 0 && sizeof(LbRowOutput) % 4 == 0, "outputs are compared by words");

static struct {
  bool is_listening;
  bool is_whole_due;            /* the next step reports all outputs */
  uint32_t tick;                /* of the last step */
  uint32_t stamp;               /* of the inputs that the last step used */
  uint32_t outputs[OUTPUT_WORDS]; /* of the last step */
} last;

uint32_t lb_journal_oldest(void) { return journal.oldest; }
uint32_t lb_journal_end(void) { return journal.end; }

static uint8_t* at(uint32_t offset) { return &journal.ring[offset & (LB_JOURNAL_BYTES - 1)]; }
static uint32_t after(uint32_t entry) { return entry + HEAD_BYTES + *at(entry + 1); }

static void append(const void* bytes, uint32_t count) {
  const uint8_t* from = bytes;
  for (uint32_t index = 0; index < count; index++) *at(journal.end++) = from[index];
}
static void append8(uint32_t value) { *at(journal.end++) = (uint8_t)value; }
static void append16(uint32_t value) { append(&value, 2); }
static void append32(uint32_t value) { append(&value, 4); }

static void start_entry(uint8_t type) {
  /* The longest entry fits: what is overwritten goes as whole entries. */
  while (journal.end - journal.oldest > LB_JOURNAL_BYTES - HEAD_BYTES - ENTRY_MAX) journal.oldest = after(journal.oldest);
  journal.entry = journal.end;
  append8(type);
  append8(0);
}

static uint32_t entry_bytes(void) { return journal.end - journal.entry - HEAD_BYTES; }
static void end_entry(void) { *at(journal.entry + 1) = (uint8_t)entry_bytes(); }

static void end_quiet_run(void) {
  if (quiet.count == 0) return;
  start_entry(LB_ENTRY_STEPS);
  append32(quiet.first);
  append32(quiet.tick);
  append16(quiet.count);
  end_entry();
  quiet.count = 0;
}

void lb_journal_start_run(bool is_listening) {
  last.is_listening = is_listening;
  last.is_whole_due = true;
  last.stamp = LB_NO_INPUTS;
  quiet.count = 0;
}

void lb_journal_coils(uint32_t row, uint8_t supply_order, uint8_t return_order) {
  start_entry(LB_ENTRY_COILS);
  append32(lb_board_ticks());
  append8(row);
  append8(supply_order);
  append8(return_order);
  end_entry();
}

void lb_journal_event(uint32_t step, uint32_t event, uint32_t reason) {
  end_quiet_run();
  start_entry(LB_ENTRY_EVENT);
  append32(step);
  append8(event);
  append32(reason);
  end_entry();
}

void lb_journal_parameters(uint32_t step, int32_t result) {
  if (!last.is_listening) return;
  end_quiet_run();
  start_entry(LB_ENTRY_PARAMETERS);
  append32(step);
  append32((uint32_t)result);
  append32(lb_crc32((const uint8_t*)lb_parameters(), sizeof(LbParameters), 0));
  end_entry();
}

static void start_step(uint32_t step, uint32_t tick) {
  start_entry(LB_ENTRY_STEP);
  append32(step);
  append32(tick);
  append32(lb_inputs_stamp());
}

/* Outputs that differ from those of the last step, in pieces; in several entries if they are many. */
static void report_step(uint32_t step, uint32_t tick, uint32_t words) {
  enum { PIECE_HEAD = 3, WORDS_MAX = 48 };
  typedef uint32_t __attribute__((may_alias)) aliased;
  const aliased* outputs = (const aliased*)(const void*)lb_bank_output();
  start_step(step, tick);
  for (uint32_t from = 0; from < words;) {
    uint32_t to = from;
    while (to < words && to - from < WORDS_MAX && (last.is_whole_due || outputs[to] != last.outputs[to])) to++;
    if (to == from) {
      from++;
      continue;
    }
    const uint32_t bytes = 4 * (to - from);
    if (entry_bytes() + PIECE_HEAD + bytes > ENTRY_MAX) {
      *at(journal.entry) = LB_ENTRY_PART;
      end_entry();
      start_step(step, tick);
    }
    append16(4 * from);
    append8(bytes);
    append(outputs + from, bytes);
    from = to;
  }
  end_entry();
  __builtin_memcpy(last.outputs, lb_bank_output(), 4 * words);
  last.is_whole_due = false;
}

static void report_second(uint32_t step) {
  end_quiet_run();
  start_entry(LB_ENTRY_HASH);
  append32(step);
  append32(lb_state_chain(lb_firmware_rows(), 0));
  end_entry();
  start_entry(LB_ENTRY_STATISTICS);
  append32(step);
  append(lb_counters, sizeof lb_counters);
  end_entry();
  last.is_whole_due = true;
}

static void sample(uint32_t step) {
  for (uint32_t watch = 0; watch < LB_WATCHES; watch++) {
    if (watches[watch].period == 0 || step % watches[watch].period != 0) continue;
    start_entry(LB_ENTRY_SAMPLE);
    append8(watch);
    append32(step);
    for (uint32_t piece = 0; piece < watches[watch].pieces; piece++) {
      append(lb_memory + watches[watch].piece[piece].address, watches[watch].piece[piece].bytes);
    }
    end_entry();
  }
}

void lb_journal_step(uint32_t step, uint32_t tick, bool is_fed) {
  if (!last.is_listening) return;
  const uint32_t words = (sizeof(LbBankOutput) + sizeof(LbRowOutput) * lb_firmware_rows()) / 4;
  const uint32_t expected = is_fed ? step - step % lb_inputs_period() : last.stamp;
  const bool is_quiet = !last.is_whole_due && tick - last.tick == 1 && lb_inputs_stamp() == expected &&
                        __builtin_memcmp(last.outputs, lb_bank_output(), 4 * words) == 0;
  if (!is_quiet) {
    end_quiet_run();
    report_step(step, tick, words);
  } else if (quiet.count++ == 0) {
    quiet.first = step;
    quiet.tick = tick;
  }
  last.tick = tick;
  last.stamp = lb_inputs_stamp();
  if (quiet.count == 0xffff) end_quiet_run();
  sample(step);
  if ((step + 1) % lb_board_settings.tickHz == 0) report_second(step);
}

bool lb_journal_watch(const uint8_t* body, uint32_t count) {
  if (count < 4 || body[0] >= LB_WATCHES || body[1] > LB_WATCH_PIECES || count != 4u + 4u * body[1]) return false;
  uint32_t bytes = 1 + 4;
  for (const uint8_t* piece = body + 4; piece < body + count; piece += 4) {
    bytes += lb_get16(piece + 2);
    if (lb_get16(piece) + lb_get16(piece + 2) > LB_RECORDS_END) return false;
  }
  if (bytes > ENTRY_MAX) return false;
  const uint32_t watch = body[0];
  watches[watch].period = (uint16_t)lb_get16(body + 2);
  watches[watch].pieces = body[1];
  __builtin_memcpy(watches[watch].piece, body + 4, count - 4);
  return true;
}

/* An answer always finds room beside the journal. */
static bool has_room(void) { return lb_board_send_room(LB_TO_HOST) >= LB_FRAME_BYTES(4 + LB_JOURNAL_FRAME) + LB_FRAME_BYTES(LB_BODY_MAX); }

void lb_journal_send(void) {
  if ((int32_t)(journal.sent - journal.oldest) < 0) journal.sent = journal.oldest;
  if (journal.sent == journal.end) {
    /* A run of quiet steps grows for as long as the line is busy. */
    if (quiet.count == 0 || !lb_board_is_sent()) return;
    end_quiet_run();
  }
  if (!has_room()) return;
  uint32_t to = journal.sent;
  while (to != journal.end && after(to) - journal.sent <= LB_JOURNAL_FRAME) to = after(to);
  lb_frame_start(LB_LINK_JOURNAL, 0, LB_TO_HOST);
  lb_frame_add(&journal.sent, 4);
  const uint32_t until_wrap = LB_JOURNAL_BYTES - (journal.sent & (LB_JOURNAL_BYTES - 1));
  const uint32_t count = to - journal.sent;
  const uint32_t first = count < until_wrap ? count : until_wrap;
  lb_frame_add(at(journal.sent), first);
  if (first < count) lb_frame_add(journal.ring, count - first);
  lb_frame_end();
  journal.sent = to;
}

uint32_t lb_journal_send_from(uint32_t offset) {
  journal.sent = journal.oldest;
  while (journal.sent != journal.end && (int32_t)(offset - journal.sent) > 0) journal.sent = after(journal.sent);
  /* The changes that follow are of outputs that the host does not know. */
  if (journal.sent != offset) last.is_whole_due = true;
  return journal.sent;
}
