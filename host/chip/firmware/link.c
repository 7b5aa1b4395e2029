#include "link.h"

#include "board.h"
#include "coils.h"
#include "counters.h"
#include "firmware.h"
#include "frame.h"
#include "inputs.h"
#include "journal.h"

enum {
  FIRST_NUMBER = 1,
  NUMBERS = 255,
  BUSY_SECONDS = 1,          /* a host that was heard within this time keeps its run */
  RATE_TRIAL_MS = 500,       /* the old rate returns if nothing intact arrives at the new one */
  MISSING_REPEAT_TICKS = 20, /* between two notices of the same missing request */
  GREETING_BYTES = 100,
};

typedef struct {
  uint32_t count;
  uint8_t kind;
  uint8_t number; /* 0: none */
  uint8_t body[LB_BODY_MAX];
} Answer;

static LbRequest request;
static Answer answers[LB_WINDOW];

/* The body of the answer in work; nowhere for a request that has none. */
static struct {
  uint8_t* body;
  uint32_t count;
} out;

static struct {
  uint32_t session;      /* 0: no hello since start */
  bool is_same_contract; /* the session's host has this contract */
  bool is_numbered;      /* `next` is valid */
  uint8_t next;          /* number of the next request */
  uint32_t newest;       /* index of the answer to the one before */
  uint32_t heard;        /* tick of the timer at the host's last intact frame */
  uint32_t reported;     /* tick of the timer at the last notice of a missing request */
  uint8_t missing;       /* which one that was */
  bool is_restart_due;
  uint32_t rate;         /* baud; 0: that of the start */
  uint32_t rate_before;
  uint32_t rate_due;     /* 0: none */
  bool is_rate_on_trial;
  uint32_t rate_since;
  uint32_t chain;
  uint8_t injected;
} link;

static void put(const void* bytes, uint32_t count) {
  if (out.body == 0) return;
  __builtin_memcpy(out.body + out.count, bytes, count);
  out.count += count;
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

static uint32_t get32(uint32_t at) { return lb_get32(request.body + at); }

static void put_outputs(void) {
  put(lb_bank_output(), sizeof(LbBankOutput));
  put(lb_row_output(), sizeof(LbRowOutput) * lb_firmware_rows());
}

static uint32_t input_bytes(void) { return sizeof(LbBankInput) + sizeof(LbRowInput) * lb_firmware_rows(); }

static bool is_running(uint32_t state) { return link.is_same_contract && lb_firmware_state() == state; }

/* In a run on the timer no answer is worth a late step: without room it is dropped, and the host asks again. */
static bool may_wait(void) {
  const uint32_t state = lb_firmware_state();
  return state == LB_STATE_READY || state == LB_STATE_LOCKSTEP || state == LB_STATE_STOPPED;
}

static void send(uint8_t kind, uint8_t number, const uint8_t* body, uint32_t count, LbReceiver to) {
  if (!may_wait() && !lb_frame_fits(count, to)) {
    lb_counters[LB_COUNT_DROPPED]++;
    return;
  }
  lb_frame_start(kind, number, to);
  lb_frame_add(body, count);
  lb_frame_end();
}

/* What the counter shows for no work at all; to be subtracted. */
static uint32_t count_cost(void) {
  lb_board_start_counter();
  return lb_board_stop_counter();
}

/* Another host has a run, and was heard a moment ago. On a serial line a new session replaces one in lockstep: nobody else can be
 * there. */
static bool is_busy(uint32_t session) {
  const uint32_t state = lb_firmware_state();
  if (session == link.session || lb_board_ticks() - link.heard > BUSY_SECONDS * lb_board_settings.tickHz) return false;
  return state == LB_STATE_RUNNING || state == LB_STATE_ENDING || (state == LB_STATE_LOCKSTEP && !lb_board_is_from_host());
}

/* A new session starts the numbering again; the session in force goes on as it was. */
static uint8_t take_session(uint32_t session, bool is_same) {
  if (is_busy(session)) return is_same ? LB_HELLO_BUSY : LB_HELLO_REFUSED;
  lb_board_take_host();
  if (session != link.session) {
    for (uint32_t index = 0; index < LB_WINDOW; index++) answers[index].number = 0;
    link.is_numbered = true;
    link.next = FIRST_NUMBER;
    link.missing = 0;
    lb_frame_restart_count(request.sequence);
  } else {
    lb_frame_count(request.sequence);
  }
  link.session = session;
  link.heard = lb_board_ticks();
  /* A host with another contract does not end a run: its inputs are ignored, so that the run ends by the loss of its link. */
  link.is_same_contract = is_same;
  return is_same ? LB_HELLO_ACCEPTED : LB_HELLO_REFUSED;
}

static void put_greeting(uint8_t accepted, uint32_t session_before) {
  uint32_t reason;
  const uint32_t cause = lb_board_start_cause(&reason);
  put8(LB_LINK_VERSION);
  put8(accepted);
  put8((uint8_t)lb_firmware_state());
  put8((uint8_t)cause);
  put32(reason);
  put32(session_before);
  put32(lb_firmware_arithmetic());
  put16(LB_ROWS_MAX);
  put16((uint16_t)lb_board_settings.valveRows);
  put32(lb_board_settings.countHz);
  put32(count_cost());
  put32(lb_board_settings.tickHz);
  put32(LB_RECORDS_END);
  put32(LB_REQUEST_MAX);
  put16(LB_WINDOW);
  put16(LB_INPUT_SLOTS);
  put32(lb_board_receive_room());
  put32(LB_JOURNAL_BYTES);
  put32(lb_journal_oldest());
  put32(lb_journal_end());
  put32(lb_firmware_steps());
  put8(LB_WATCHES);
  put8(LB_WATCH_PIECES);
  put8(link.next);
  put8(0);
  put_text(LB_CONTRACT_HASH, LB_LINK_CONTRACT_CHARACTERS);
  put_text(lb_board_settings.name, LB_LINK_NAME_CHARACTERS);
}

/* Answered at any time, whatever its number: nothing it does is done twice. Not inlined, so that its greeting is not on the stack during
 * a tick. */
static __attribute__((noinline)) void greet(void) {
  enum { CONTRACT_AT = 8 };
  if (request.count < 1 || request.number == 0) return;
  bool is_same = request.body[0] == LB_LINK_VERSION && request.count == CONTRACT_AT + LB_LINK_CONTRACT_CHARACTERS;
  for (uint32_t index = 0; is_same && index < LB_LINK_CONTRACT_CHARACTERS; index++) {
    is_same = request.body[CONTRACT_AT + index] == LB_CONTRACT_HASH[index];
  }
  const uint32_t session_before = link.session;
  uint8_t greeting[GREETING_BYTES];
  out.body = greeting;
  out.count = 0;
  const uint32_t session = request.count >= CONTRACT_AT ? get32(4) : 0;
  put_greeting(take_session(session, is_same), session_before);
  send(LB_LINK_HELLO | LB_LINK_ANSWER, request.number, greeting, out.count, LB_TO_SENDER);
}

static int32_t configure(void) {
  enum { PARAMETERS_AT = 8 };
  if (!link.is_same_contract) return LB_REFUSED_CONTRACT;
  if (request.count != PARAMETERS_AT + sizeof(LbParameters)) return LB_REFUSED_LENGTH;
  const uint32_t state = lb_firmware_state();
  if (state != LB_STATE_READY && state != LB_STATE_LOCKSTEP) return LB_REFUSED_STATE;
  const uint32_t rows = lb_get16(request.body), period = lb_get16(request.body + 4);
  /* Memory starts out as that of a newly loaded module: no trace of an earlier run may reach the hashes. Only inputs that the host has
   * written in lockstep just before are kept, for the steps of a free run until its first inputs are due. */
  const bool has_inputs = state == LB_STATE_LOCKSTEP && request.body[2] == LB_MODE_FREE_RUN;
  for (uint32_t index = 0; index < LB_RECORDS_END; index++) {
    const bool is_input = index >= LB_BANK_INPUT_AT && index < LB_BANK_OUTPUT_AT;
    if (!is_input || !has_inputs) lb_memory[index] = 0;
  }
  __builtin_memcpy(lb_parameters(), request.body + PARAMETERS_AT, sizeof(LbParameters));
  link.chain = 0;
  const LbRunOptions options = {.is_listening = request.body[3] != 0, .input_period = period == 0 ? 1 : period};
  return lb_firmware_configure(rows, request.body[2], options);
}

static bool reconfigure(void) {
  const uint32_t state = lb_firmware_state();
  if (!link.is_same_contract || (state != LB_STATE_LOCKSTEP && state != LB_STATE_RUNNING)) return false;
  if (request.count != sizeof(LbParameters)) return false;
  __builtin_memcpy(lb_parameters(), request.body, sizeof(LbParameters));
  const int32_t result = lb_reconfigure();
  put32((uint32_t)result);
  put32(lb_firmware_steps());
  if (state == LB_STATE_RUNNING) lb_journal_parameters(lb_firmware_steps(), result);
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

static bool take_inputs(void) {
  enum { INPUTS_AT = 8 };
  if (!is_running(LB_STATE_RUNNING) || request.count < INPUTS_AT) return false;
  const uint32_t first = get32(0), count = request.body[4], bytes = input_bytes(), period = lb_inputs_period();
  if (request.count != INPUTS_AT + count * bytes || first % period != 0) return false;
  for (uint32_t index = 0; index < count; index++) {
    lb_inputs_take(first + index * period, request.body + INPUTS_AT + index * bytes, bytes, lb_firmware_steps());
  }
  lb_firmware_note_inputs();
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
  if (!is_running(LB_STATE_LOCKSTEP)) return false;
#endif
  if (request.count < 4 || !is_inside(get32(0), request.count - 4)) return false;
  __builtin_memcpy(lb_memory + get32(0), request.body + 4, request.count - 4);
  return true;
}

static bool status(void) {
  put8((uint8_t)lb_firmware_state());
  put8((uint8_t)lb_firmware_end());
  put16((uint16_t)lb_coils_not_closed());
  put32(lb_firmware_steps());
  put32(lb_board_stack_used());
  put(lb_counters, sizeof lb_counters);
  return true;
}

static bool clock(void) {
  uint32_t counts;
  put32(lb_board_clock(&counts));
  put32(counts);
  put32(lb_board_settings.clockCounts);
  return true;
}

static bool send_journal_from(void) {
  if (request.count != 4) return false;
  put32(lb_journal_send_from(get32(0)));
  return true;
}

static bool set_rate(void) {
  if (request.count != 4) return false;
  const bool is_accepted = lb_board_supports_rate(get32(0));
  if (is_accepted) link.rate_due = get32(0);
  put32(is_accepted);
  return true;
}

static bool inject(void) {
#ifdef LB_INJECT
  if (request.count != 1) return false;
  link.injected = request.body[0];
  /* Not even coils.c knows of it. */
  if (link.injected == LB_INJECT_COIL) lb_board_drive_coils(LB_ROWS_MAX - 1, LB_ORDER_OPEN, LB_ORDER_NONE);
  return true;
#else
  return false;
#endif
}

static bool handle(void) {
  switch (request.kind) {
    case LB_LINK_CONFIGURE: put32((uint32_t)configure()); put32(lb_firmware_first_tick()); return true;
    case LB_LINK_RECONFIGURE: return reconfigure();
    case LB_LINK_TICKS: return run_ticks();
    case LB_LINK_INPUTS: return take_inputs();
    case LB_LINK_READ: return read_memory();
    case LB_LINK_WRITE: return write_memory();
    case LB_LINK_STATUS: return status();
    case LB_LINK_END_RUN: lb_firmware_end_run(LB_END_REQUESTED); return true;
    case LB_LINK_RESTART: link.is_restart_due = true; return true;
    case LB_LINK_HASH: put32(lb_state_hash(lb_firmware_rows())); return lb_firmware_state() == LB_STATE_LOCKSTEP;
    case LB_LINK_INJECT: return inject();
    case LB_LINK_JOURNAL_FROM: return send_journal_from();
    case LB_LINK_WATCH: return lb_journal_watch(request.body, request.count);
    case LB_LINK_CLOCK: return clock();
    case LB_LINK_RATE: return set_rate();
    default: return false;
  }
}

static void send_answer(const Answer* answer) { send(answer->kind, answer->number, answer->body, answer->count, LB_TO_SENDER); }

static void carry_out(void) {
  link.newest = (link.newest + 1) % LB_WINDOW;
  Answer* answer = &answers[link.newest];
  out.body = answer->body;
  out.count = 0;
  answer->number = request.number;
  answer->kind = request.kind | LB_LINK_ANSWER;
  if (!handle()) {
    out.count = 0;
    put8(request.kind);
    put8(link.session == 0);
    answer->kind = LB_LINK_REFUSED;
  }
  answer->count = out.count;
  link.next = request.number % NUMBERS + 1;
  link.is_numbered = true;
  send_answer(answer);
}

/* Asks for a request that was lost, but not again for each of those that follow it. */
static void report_missing(void) {
  const uint32_t now = lb_board_ticks();
  if (link.missing == link.next && now - link.reported < MISSING_REPEAT_TICKS) return;
  link.missing = link.next;
  link.reported = now;
  send(LB_LINK_MISSING, 0, &link.next, 1, LB_TO_SENDER);
}

static void take_numbered(void) {
  if (!link.is_numbered || request.number == link.next) {
    carry_out();
    return;
  }
  for (uint32_t index = 0; index < LB_WINDOW; index++) {
    if (answers[index].number != request.number) continue;
    send_answer(&answers[index]);
    return;
  }
  const uint32_t ahead = (request.number + NUMBERS - link.next) % NUMBERS;
  /* Others are copies of requests that were answered long ago. */
  if (ahead <= NUMBERS / 2) report_missing();
}

static void take_request(void) {
  link.is_rate_on_trial = false;
  if (request.kind == LB_LINK_HELLO) {
    greet();
    return;
  }
  const bool is_from_host = lb_board_is_from_host();
  if (is_from_host) {
    link.heard = lb_board_ticks();
    lb_frame_count(request.sequence);
  }
  if (request.kind == LB_LINK_STOP) {
    lb_firmware_end_run(LB_END_STOPPED);
    if (request.number != 0) send(LB_LINK_STOP | LB_LINK_ANSWER, request.number, 0, 0, LB_TO_SENDER);
  } else if (is_from_host && request.number != 0) {
    take_numbered();
  } else if (is_from_host) {
    out.body = 0;
    handle();
  }
}

#ifdef LB_INJECT
#pragma GCC diagnostic ignored "-Winfinite-recursion"
static __attribute__((noinline)) uint32_t overflow_stack(volatile uint32_t* above) {
  volatile uint32_t words[16];
  words[0] = (uint32_t)(uintptr_t)above;
  return overflow_stack(words) + words[0];
}

static bool is_fault_due(void) { return link.injected != 0 && link.injected != LB_INJECT_POWER_FAILING && link.injected != LB_INJECT_COIL; }

static void play_fault(void) {
  switch (link.injected) {
    case LB_INJECT_HANG: for (;;) {}
    case LB_INJECT_FAULT: *(volatile uint32_t*)0x90000000u = 1; break; /* no board has anything at this address */
    case LB_INJECT_STACK: overflow_stack(0); break;
    case LB_INJECT_POWER_CUT: lb_board_restart(LB_START_POWER, 0);
    default: break;
  }
}
#else
static bool is_fault_due(void) { return false; }
static void play_fault(void) {}
#endif

/* Both sides switch after the answer has left. */
static void follow_rate(void) {
  if (link.rate_due != 0 && lb_board_is_sent()) {
    lb_board_set_rate(link.rate_due);
    link.rate_before = link.rate;
    link.rate = link.rate_due;
    link.rate_due = 0;
    link.is_rate_on_trial = true;
    link.rate_since = lb_board_ticks();
  }
  if (!link.is_rate_on_trial || lb_board_ticks() - link.rate_since <= RATE_TRIAL_MS * lb_board_settings.tickHz / 1000) return;
  link.rate = link.rate_before;
  lb_board_set_rate(link.rate);
  link.is_rate_on_trial = false;
}

bool lb_link_is_ending(void) { return link.is_restart_due || is_fault_due(); }

/* Restarts once the answer has left. */
static void end_program(void) {
  if (!lb_board_is_sent()) return;
  if (link.is_restart_due) lb_board_restart(LB_START_REQUESTED, 0);
  play_fault();
}

bool lb_link_serve(void) {
  if (lb_link_is_ending()) {
    end_program();
    return true;
  }
  uint8_t bytes[64];
  const uint32_t count = lb_board_receive(bytes, sizeof bytes);
  for (uint32_t index = 0; index < count && !lb_link_is_ending(); index++) {
    if (lb_frame_take(&request, bytes[index])) take_request();
  }
  follow_rate();
  return count != 0;
}

void lb_link_notify_start(uint32_t cause, uint32_t reason) {
  uint8_t body[5] = {(uint8_t)cause};
  __builtin_memcpy(body + 1, &reason, 4);
  /* Ends a frame that the reset may have cut off; otherwise this one would be lost with it. */
  lb_board_send((const uint8_t[]){0}, 1, LB_TO_HOST);
  send(LB_LINK_STARTED, 0, body, sizeof body, LB_TO_HOST);
}

bool lb_link_is_injected(uint32_t fault) { return link.injected == fault; }
