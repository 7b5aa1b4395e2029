#include "link.h"

#include "board.h"
#include "coils.h"
#include "firmware.h"
#include "frame.h"

static LbFrame request;
static LbFrame answer;
static struct {
  uint32_t chain;
  bool is_met;        /* greeted with this contract */
  bool is_answered;   /* `answer` is that of the last request */
  bool is_restart_due;
  bool has_inputs;
  uint8_t injected;
  uint8_t told;       /* sequence number of what is told unasked */
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

/* At most `most` characters, filled up with zeros. */
static void put_text(const char* text, uint32_t most) {
  for (uint32_t index = 0; index < most; index++) {
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

/* What an empty measurement counts, to be taken off. */
static uint32_t count_cost(void) {
  lb_board_begin_measuring();
  return lb_board_end_measuring();
}

/* u8 version, u8 accepted, u8 state, u8 start cause, u32 reason, u32 arithmetic, u16 rows the build has room for, u16 rows
 * wired, u32 rate of the counter, u32 cost of reading it, u32 bytes of memory, contract hash, board's name. */
static bool hello(void) {
  if (request.count != 1 + LB_CONTRACT_CHARACTERS) return false;
  bool is_same = request.body[0] == LB_LINK_VERSION;
  for (uint32_t index = 0; index < LB_CONTRACT_CHARACTERS; index++) is_same = is_same && request.body[1 + index] == LB_CONTRACT_HASH[index];
  /* A stranger ends no run by greeting: its frames are not taken, so that a run ends by the loss of its link. */
  link.is_met = is_same;
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
  put_text(LB_CONTRACT_HASH, LB_CONTRACT_CHARACTERS);
  put_text(lb_board_settings.name, LB_NAME_CHARACTERS);
  return true;
}

static int32_t configure(void) {
  if (!link.is_met) return LB_REFUSED_STRANGER;
  if (request.count != 4 + sizeof(LbParameters)) return LB_REFUSED_LENGTH;
  const LbFirmwareState state = lb_firmware_state();
  if (state != LB_STATE_READY && state != LB_STATE_LOCKSTEP) return LB_REFUSED_STATE;
  const uint32_t rows = request.body[0] | (uint32_t)request.body[1] << 8;
  /* As a module that has just been loaded: what an earlier run has left must not show in the hashes. */
  for (uint32_t index = 0; index < LB_RECORDS_END; index++) lb_memory[index] = 0;
  __builtin_memcpy(lb_parameters(), request.body + 4, sizeof(LbParameters));
  link.chain = 0;
  link.has_inputs = false;
  return lb_firmware_configure(rows, (LbRunMode)request.body[2]);
}

static bool tick(void) {
  if (!link.is_met || lb_firmware_state() != LB_STATE_LOCKSTEP || request.count != input_bytes()) return false;
  __builtin_memcpy(lb_bank_input(), request.body, request.count);
  const uint32_t taken = lb_firmware_tick();
  link.chain = lb_state_chain(lb_firmware_rows(), link.chain);
  put_outputs();
  put32(link.chain);
  put32(taken);
  return true;
}

static bool input(void) {
  if (!link.is_met || lb_firmware_state() != LB_STATE_RUNNING || request.count != input_bytes()) return false;
  __builtin_memcpy(&link.bank_input, request.body, sizeof link.bank_input);
  __builtin_memcpy(link.row_input, request.body + sizeof link.bank_input, request.count - sizeof link.bank_input);
  link.has_inputs = true;
  put_outputs();
  put32(lb_firmware_run_ticks());
  put32(lb_firmware_overruns());
  return true;
}

static bool is_inside(uint32_t at, uint32_t count) { return at <= LB_RECORDS_END && count <= LB_RECORDS_END - at; }

static bool read(void) {
  if (request.count != 8) return false;
  const uint32_t at = get32(0), count = get32(4);
  if (!is_inside(at, count) || count > LB_BODY_MOST) return false;
  put(lb_memory + at, count);
  return true;
}

static bool write(void) {
#ifndef LB_INJECT
  if (lb_firmware_state() != LB_STATE_LOCKSTEP) return false;
#endif
  if (request.count < 4 || !is_inside(get32(0), request.count - 4)) return false;
  __builtin_memcpy(lb_memory + get32(0), request.body + 4, request.count - 4);
  return true;
}

/* u8 state, u8 why the last free run ended, u16 valves not known to be closed, u32 ticks, u32 overruns, u32 stack used. */
static bool status(void) {
  put8((uint8_t)lb_firmware_state());
  put8((uint8_t)lb_firmware_end());
  put16((uint16_t)lb_coils_doubtful());
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
    case LB_LINK_TICK: return tick();
    case LB_LINK_INPUT: return input();
    case LB_LINK_READ: return read();
    case LB_LINK_WRITE: return write();
    case LB_LINK_STATUS: return status();
    case LB_LINK_LEAVE: lb_firmware_leave(); return true;
    case LB_LINK_RESTART: link.is_restart_due = true; return true;
    case LB_LINK_HASH: put32(lb_state_hash(lb_firmware_rows())); return lb_firmware_state() == LB_STATE_LOCKSTEP;
    case LB_LINK_INJECT: return inject();
    default: return false;
  }
}

/* Returns whether it has brought inputs for a run: nothing else shows that the host still looks after it. */
static bool respond(void) {
  const bool is_repeated = link.is_answered && request.sequence == answer.sequence && request.kind != LB_LINK_HELLO;
  if (!is_repeated) {
    answer.count = 0;
    answer.sequence = request.sequence;
    answer.kind = request.kind | 0x80;
    if (!handle()) {
      answer.count = 0;
      put8(request.kind);
      answer.kind = LB_LINK_REFUSED;
    }
    link.is_answered = true;
  }
  lb_frame_send(&answer.kind, 2 + answer.count);
  return !is_repeated && answer.kind == (LB_LINK_INPUT | 0x80);
}

#ifdef LB_INJECT
#pragma GCC diagnostic ignored "-Winfinite-recursion"
static __attribute__((noinline)) uint32_t run_stack_over(volatile uint32_t* above) {
  volatile uint32_t room[16];
  room[0] = (uint32_t)(uintptr_t)above;
  return run_stack_over(room) + room[0];
}

static void play(void) {
  switch (link.injected) {
    case LB_INJECT_HANG: for (;;) {}
    case LB_INJECT_FAULT: *(volatile uint32_t*)0x90000000u = 1; break; /* where no board has anything */
    case LB_INJECT_STACK: run_stack_over(0); break;
    case LB_INJECT_POWER_CUT: lb_board_restart(LB_START_POWER, 0);
    default: break;
  }
}
#endif

bool lb_link_serve(void) {
  uint8_t bytes[64];
  bool is_heeded = false;
  const uint32_t count = lb_board_receive(bytes, sizeof bytes);
  for (uint32_t index = 0; index < count; index++) {
    if (!lb_frame_take(&request, bytes[index])) continue;
    if (respond()) is_heeded = true;
    if (link.is_restart_due) lb_board_restart(LB_START_ASKED, 0);
#ifdef LB_INJECT
    play();
#endif
  }
  return is_heeded;
}

void lb_link_tell_start(uint32_t cause, uint32_t reason) {
  uint8_t bytes[2 + 5 + 4] = {LB_LINK_STARTED, link.told++, (uint8_t)cause};
  __builtin_memcpy(bytes + 3, &reason, 4);
  /* Ends a frame that the reset may have cut off: this one would be lost with it. */
  lb_board_send((const uint8_t[]){0}, 1);
  lb_frame_send(bytes, 2 + 5);
}

void lb_link_tell_coils(uint32_t row, uint8_t supply, uint8_t back) {
  uint8_t bytes[2 + 7 + 4] = {LB_LINK_COILS, link.told++};
  const uint32_t ticks = lb_board_ticks();
  __builtin_memcpy(bytes + 2, &ticks, 4);
  bytes[6] = (uint8_t)row;
  bytes[7] = supply;
  bytes[8] = back;
  lb_frame_send(bytes, 2 + 7);
}

bool lb_link_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count) {
  if (!link.has_inputs) return false;
  *bank = link.bank_input;
  for (uint32_t row = 0; row < count; row++) rows[row] = link.row_input[row];
  return true;
}

bool lb_link_is_injected(uint32_t fault) { return link.injected == fault; }
