#include "link.h"

#include "board.h"
#include "coils.h"
#include "firmware.h"
#include "frame.h"

static LbRequest request;
/* Stored as on the line from `kind` on, with room for the CRC. */
static struct {
  uint32_t count;
  uint8_t kind;
  uint8_t sequence;
  uint8_t body[LB_BODY_MAX + 4];
} answer;
static struct {
  uint32_t chain;
  bool is_same_contract; /* the last LB_LINK_HELLO had this contract */
  bool is_answered;      /* `answer` belongs to the last request */
  bool is_restart_due;
  bool has_inputs;
  uint8_t injected;
  uint8_t notices;       /* sequence number of notices */
  LbBankInput bank_input;
  LbRowInput row_input[LB_ROWS_MAX];
} link;

static void put(const void* bytes, uint32_t count) {
  __builtin_memcpy(answer.body + answer.count, bytes, count);
  answer.count += count;
}
static void put8(uint8_t value) { put(&value, 1); }
static void put16(uint16_t value) { put(&value, 2); }
static void put32(uint32_t value) { put(&value, 4); }

/* Exactly `count` characters, padded with zeros. */
static void put_text(const char* text, uint32_t count) {
  for (uint32_t index = 0; index < count; index++) {
    put8((uint8_t)*text);
    if (*text != 0) text++;
  }
}

static uint32_t get32(uint32_t at) {
  uint32_t value;
  __builtin_memcpy(&value, request.body + at, 4);
  return value;
}

static void put_outputs(void) {
  put(lb_bank_output(), sizeof(LbBankOutput));
  put(lb_row_output(), sizeof(LbRowOutput) * lb_firmware_rows());
}

static uint32_t input_bytes(void) { return sizeof(LbBankInput) + sizeof(LbRowInput) * lb_firmware_rows(); }

static bool is_running(uint32_t state) { return link.is_same_contract && lb_firmware_state() == state; }

/* What the counter shows for no work at all; to be subtracted. */
static uint32_t count_cost(void) {
  lb_board_start_counter();
  return lb_board_stop_counter();
}

static bool hello(void) {
  if (request.count != 1 + LB_LINK_CONTRACT_CHARACTERS) return false;
  bool is_same = request.body[0] == LB_LINK_VERSION;
  for (uint32_t index = 0; index < LB_LINK_CONTRACT_CHARACTERS; index++) is_same = is_same && request.body[1 + index] == LB_CONTRACT_HASH[index];
  /* A host with another contract does not end a run: its inputs are refused, so that the run ends by the loss of its link. */
  link.is_same_contract = is_same;
  uint32_t reason;
  const uint32_t cause = lb_board_start_cause(&reason);
  put8(LB_LINK_VERSION);
  put8(is_same);
  put8((uint8_t)lb_firmware_state());
  put8((uint8_t)cause);
  put32(reason);
  put32(lb_firmware_arithmetic());
  put16(LB_ROWS_MAX);
  put16((uint16_t)lb_board_settings.valveRows);
  put32(lb_board_settings.countHz);
  put32(count_cost());
  put32(LB_RECORDS_END);
  put32(LB_REQUEST_MAX);
  put_text(LB_CONTRACT_HASH, LB_LINK_CONTRACT_CHARACTERS);
  put_text(lb_board_settings.name, LB_LINK_NAME_CHARACTERS);
  return true;
}

static int32_t configure(void) {
  if (!link.is_same_contract) return LB_REFUSED_CONTRACT;
  if (request.count != 4 + sizeof(LbParameters)) return LB_REFUSED_LENGTH;
  const uint32_t state = lb_firmware_state();
  if (state != LB_STATE_READY && state != LB_STATE_LOCKSTEP) return LB_REFUSED_STATE;
  const uint32_t rows = request.body[0] | (uint32_t)request.body[1] << 8;
  /* Memory starts out as that of a newly loaded module: no trace of an earlier run may reach the hashes. */
  for (uint32_t index = 0; index < LB_RECORDS_END; index++) lb_memory[index] = 0;
  __builtin_memcpy(lb_parameters(), request.body + 4, sizeof(LbParameters));
  link.chain = 0;
  link.has_inputs = false;
  return lb_firmware_configure(rows, request.body[2]);
}

static bool reconfigure(void) {
  const uint32_t state = lb_firmware_state();
  if (state != LB_STATE_LOCKSTEP && state != LB_STATE_RUNNING) return false;
  if (request.count != sizeof(LbParameters)) return false;
  __builtin_memcpy(lb_parameters(), request.body, sizeof(LbParameters));
  put32((uint32_t)lb_reconfigure());
  return true;
}

/* The chain covers every tick's outputs, probes and state; the outputs themselves are sent for the last tick only. */
static bool run_ticks(void) {
  const uint32_t bytes = input_bytes();
  if (!is_running(LB_STATE_LOCKSTEP) || request.count == 0 || request.count % bytes != 0) return false;
  uint32_t total = 0, max = 0;
  for (uint32_t at = 0; at < request.count; at += bytes) {
    __builtin_memcpy(lb_bank_input(), request.body + at, bytes);
    const uint32_t taken = lb_firmware_tick();
    total += taken;
    if (taken > max) max = taken;
    link.chain = lb_state_chain(lb_firmware_rows(), link.chain);
  }
  put_outputs();
  put32(link.chain);
  put32(total);
  put32(max);
  return true;
}

static bool take_input(void) {
  if (!is_running(LB_STATE_RUNNING) || request.count != input_bytes()) return false;
  __builtin_memcpy(&link.bank_input, request.body, sizeof link.bank_input);
  __builtin_memcpy(link.row_input, request.body + sizeof link.bank_input, request.count - sizeof link.bank_input);
  link.has_inputs = true;
  put_outputs();
  put32(lb_firmware_run_ticks());
  put32(lb_firmware_overruns());
  return true;
}

static bool is_inside(uint32_t at, uint32_t count) { return at <= LB_RECORDS_END && count <= LB_RECORDS_END - at; }

static bool read_memory(void) {
  if (request.count != 8) return false;
  const uint32_t at = get32(0), count = get32(4);
  if (!is_inside(at, count) || count > LB_BODY_MAX) return false;
  put(lb_memory + at, count);
  return true;
}

static bool write_memory(void) {
#ifndef LB_INJECT
  if (lb_firmware_state() != LB_STATE_LOCKSTEP) return false;
#endif
  if (request.count < 4 || !is_inside(get32(0), request.count - 4)) return false;
  __builtin_memcpy(lb_memory + get32(0), request.body + 4, request.count - 4);
  return true;
}

static bool status(void) {
  put8((uint8_t)lb_firmware_state());
  put8((uint8_t)lb_firmware_end());
  put16((uint16_t)lb_coils_not_closed());
  put32(lb_firmware_run_ticks());
  put32(lb_firmware_overruns());
  put32(lb_board_stack_used());
  return true;
}

static bool inject(void) {
#ifdef LB_INJECT
  if (request.count != 1) return false;
  link.injected = request.body[0];
  return true;
#else
  return false;
#endif
}

static bool handle(void) {
  switch (request.kind) {
    case LB_LINK_HELLO: return hello();
    case LB_LINK_CONFIGURE: put32((uint32_t)configure()); return true;
    case LB_LINK_RECONFIGURE: return reconfigure();
    case LB_LINK_TICKS: return run_ticks();
    case LB_LINK_INPUT: return take_input();
    case LB_LINK_READ: return read_memory();
    case LB_LINK_WRITE: return write_memory();
    case LB_LINK_STATUS: return status();
    case LB_LINK_END_RUN: lb_firmware_end_run(); return true;
    case LB_LINK_RESTART: link.is_restart_due = true; return true;
    case LB_LINK_HASH: put32(lb_state_hash(lb_firmware_rows())); return lb_firmware_state() == LB_STATE_LOCKSTEP;
    case LB_LINK_INJECT: return inject();
    default: return false;
  }
}

/* Returns whether the request brought inputs for a free run. */
static bool respond(void) {
  const bool is_repeated = link.is_answered && request.sequence == answer.sequence && request.kind != LB_LINK_HELLO;
  if (!is_repeated) {
    answer.count = 0;
    answer.sequence = request.sequence;
    answer.kind = request.kind | LB_LINK_ANSWER;
    if (!handle()) {
      answer.count = 0;
      put8(request.kind);
      answer.kind = LB_LINK_REFUSED;
    }
    link.is_answered = true;
  }
  lb_frame_send(&answer.kind, 2 + answer.count);
  return !is_repeated && answer.kind == (LB_LINK_INPUT | LB_LINK_ANSWER);
}

#ifdef LB_INJECT
#pragma GCC diagnostic ignored "-Winfinite-recursion"
static __attribute__((noinline)) uint32_t overflow_stack(volatile uint32_t* above) {
  volatile uint32_t words[16];
  words[0] = (uint32_t)(uintptr_t)above;
  return overflow_stack(words) + words[0];
}

static void play_fault(void) {
  switch (link.injected) {
    case LB_INJECT_HANG: for (;;) {}
    case LB_INJECT_FAULT: *(volatile uint32_t*)0x90000000u = 1; break; /* no board has anything at this address */
    case LB_INJECT_STACK: overflow_stack(0); break;
    case LB_INJECT_POWER_CUT: lb_board_restart(LB_START_POWER, 0);
    default: break;
  }
}
#endif

bool lb_link_serve(void) {
  uint8_t bytes[64];
  bool has_new_inputs = false;
  const uint32_t count = lb_board_receive(bytes, sizeof bytes);
  for (uint32_t index = 0; index < count; index++) {
    if (!lb_frame_take(&request, bytes[index])) continue;
    if (respond()) has_new_inputs = true;
    if (link.is_restart_due) lb_board_restart(LB_START_REQUESTED, 0);
#ifdef LB_INJECT
    play_fault();
#endif
  }
  return has_new_inputs;
}

void lb_link_notify_start(uint32_t cause, uint32_t reason) {
  uint8_t bytes[2 + 5 + 4] = {LB_LINK_STARTED, link.notices++, (uint8_t)cause};
  __builtin_memcpy(bytes + 3, &reason, 4);
  /* Ends a frame that the reset may have cut off; otherwise this one would be lost with it. */
  lb_board_send((const uint8_t[]){0}, 1);
  lb_frame_send(bytes, 2 + 5);
}

void lb_link_notify_coils(uint32_t row, uint8_t supply_order, uint8_t return_order) {
  uint8_t bytes[2 + 7 + 4] = {LB_LINK_COILS, link.notices++};
  const uint32_t ticks = lb_board_ticks();
  __builtin_memcpy(bytes + 2, &ticks, 4);
  bytes[6] = (uint8_t)row;
  bytes[7] = supply_order;
  bytes[8] = return_order;
  lb_frame_send(bytes, 2 + 7);
}

bool lb_link_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count) {
  if (!link.has_inputs) return false;
  *bank = link.bank_input;
  for (uint32_t row = 0; row < count; row++) rows[row] = link.row_input[row];
  return true;
}

bool lb_link_is_injected(uint32_t fault) { return link.injected == fault; }
