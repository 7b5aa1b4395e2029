#include "common.h"

#include "../frame.h"
#include "../journal.h"
#include "../link.h"

enum { RING_BYTES = 1024, PAINT = 0x5ac3a53c, KEPT_MARK = 0x4c424b31, WATCHDOG_TICKS = 100 };
_Static_assert(RING_BYTES >= LB_FRAME_BYTES(LB_BODY_MAX), "a request could be lost while a tick takes its time");
/* SysTick has 24 bits. */
#ifdef __riscv
#define LB_COUNT_MASK 0xffffffffu
#else
#define LB_COUNT_MASK 0xffffffu
#endif

static struct {
  uint32_t mark; /* KEPT_MARK: cause and reason are valid */
  uint32_t cause;
  uint32_t reason;
} kept __attribute__((section(".kept")));

static struct {
  uint32_t cause;
  uint32_t reason;
} start;

/* One side is the main program, the other an interrupt; each writes only its own count. */
typedef struct {
  volatile uint32_t in, out;
  volatile uint8_t bytes[RING_BYTES];
} Ring;

static Ring received;
static volatile uint32_t ticks, ticks_unkicked;

void lb_common_start_memory(void) {
  const uint32_t* from = lb_data_image;
  for (uint32_t* to = lb_data; to < lb_data_end; to++) *to = *from++;
  for (uint32_t* to = lb_bss; to < lb_bss_end; to++) *to = 0;
  /* This function calls nothing, so everything below its frame is unused. */
  uint32_t* stack;
#ifdef __riscv
  __asm volatile("mv %0, sp" : "=r"(stack));
#else
  __asm volatile("mov %0, sp" : "=r"(stack));
#endif
  for (uint32_t* to = lb_stack_end; to < stack; to++) *to = PAINT;
  /* An unannounced reset of a running chip comes from the watchdog. */
  const bool is_kept = kept.mark == KEPT_MARK;
  start.cause = is_kept ? kept.cause : LB_START_POWER;
  start.reason = is_kept ? kept.reason : 0;
  kept.mark = KEPT_MARK;
  kept.cause = LB_START_WATCHDOG;
  kept.reason = 0;
}

uint32_t lb_board_start_cause(uint32_t* reason) {
  *reason = start.reason;
  return start.cause;
}

void lb_board_restart(uint32_t cause, uint32_t reason) {
  kept.cause = cause;
  kept.reason = reason;
  lb_board_reset();
}

void lb_common_fault(uint32_t reason) { lb_board_restart(LB_START_FAULT, reason); }

uint32_t lb_board_stack_used(void) {
  const uint32_t* untouched = lb_stack_end;
  while (untouched < lb_stack_top && *untouched == PAINT) untouched++;
  return (uint32_t)(lb_stack_top - untouched) * 4;
}

static uint32_t counter_start;

/* Over files there is nothing to receive meanwhile, so the emulator's count can be exact: without interrupts. */
static void hold_interrupts(bool is_held) {
#ifdef LB_SEMIHOSTING
  lb_board_mask_interrupts(is_held);
#endif
}

void lb_board_start_counter(void) {
  hold_interrupts(true);
  counter_start = lb_board_count();
}

uint32_t lb_board_stop_counter(void) {
  const uint32_t count = (lb_board_count() - counter_start) & LB_COUNT_MASK;
  hold_interrupts(false);
  return count;
}

enum { SUPPLY, RETURN, COILS };
static struct {
  uint8_t asked[COILS];
  uint8_t driven[COILS]; /* what the pins of a real board would be set to */
  uint8_t left[COILS];   /* ticks until it is switched off */
  bool is_capped;
} pins[LB_ROWS_MAX];
static volatile bool is_any_capped;

void lb_board_drive_coils(uint32_t row, uint8_t supply_order, uint8_t return_order) {
  const uint8_t orders[COILS] = {supply_order, return_order};
  lb_board_mask_interrupts(true);
  for (uint32_t coil = 0; coil < COILS; coil++) {
    if (orders[coil] == pins[row].asked[coil]) continue;
    pins[row].asked[coil] = pins[row].driven[coil] = orders[coil];
    pins[row].left[coil] = (uint8_t)lb_board_settings.coilTicksMax;
  }
  lb_board_mask_interrupts(false);
}

/* For boards without a timer for each coil. It also works while the program hangs. */
static void cap_coils(void) {
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    for (uint32_t coil = 0; coil < COILS; coil++) {
      if (pins[row].driven[coil] == LB_ORDER_NONE || --pins[row].left[coil] != 0) continue;
      pins[row].driven[coil] = LB_ORDER_NONE;
      pins[row].is_capped = is_any_capped = true;
      kept.reason++;
    }
  }
}

bool lb_board_take_capped(uint32_t* row, uint8_t* supply_order, uint8_t* return_order) {
  if (!is_any_capped) return false;
  is_any_capped = false;
  for (*row = 0; *row < lb_board_settings.valveRows; (*row)++) {
    if (!pins[*row].is_capped) continue;
    pins[*row].is_capped = false;
    /* There may be others. */
    is_any_capped = true;
    *supply_order = pins[*row].driven[SUPPLY];
    *return_order = pins[*row].driven[RETURN];
    return true;
  }
  return false;
}

void lb_common_ticked(void) {
  ticks++;
  cap_coils();
}
uint32_t lb_board_ticks(void) { return ticks; }

void lb_common_watch(void) {
  if (LB_HAS_WATCHDOG && ++ticks_unkicked > WATCHDOG_TICKS) lb_board_restart(LB_START_WATCHDOG, kept.reason);
}

void lb_common_kick(void) { ticks_unkicked = 0; }

void lb_common_received(uint8_t byte) {
  if (received.in - received.out >= RING_BYTES) return;
  received.bytes[received.in % RING_BYTES] = byte;
  received.in++;
}

#ifndef LB_SEMIHOSTING
_Static_assert(RING_BYTES >= LB_FRAME_BYTES(4 + LB_JOURNAL_FRAME) + LB_FRAME_BYTES(LB_BODY_MAX), "the journal would wait for ever");

static Ring sending;
static volatile bool is_sending;

bool lb_common_next_to_send(uint8_t* byte) {
  is_sending = sending.out != sending.in;
  if (!is_sending) return false;
  *byte = sending.bytes[sending.out % RING_BYTES];
  sending.out++;
  return true;
}

uint32_t lb_board_receive(uint8_t* bytes, uint32_t max) {
  uint32_t count = 0;
  for (; count < max && received.out != received.in; received.out++) bytes[count++] = received.bytes[received.out % RING_BYTES];
  return count;
}

uint32_t lb_board_send_room(LbReceiver to) { return RING_BYTES - (sending.in - sending.out); }
uint32_t lb_board_receive_room(void) { return RING_BYTES; }
bool lb_board_is_sent(void) { return !is_sending; }

void lb_board_send(const uint8_t* bytes, uint32_t count, LbReceiver to) {
  for (uint32_t index = 0; index < count; index++) {
    while (lb_board_send_room(to) == 0) lb_board_kick();
    sending.bytes[sending.in % RING_BYTES] = bytes[index];
    sending.in++;
    if (is_sending) continue;
    lb_board_mask_interrupts(true);
    is_sending = true;
    lb_uart_start_sending();
    lb_board_mask_interrupts(false);
  }
}

void lb_board_idle(void) { __asm volatile("wfi"); }
#endif

/* A serial line has one host. */
void lb_board_take_host(void) {}
bool lb_board_is_from_host(void) { return true; }

/* The host at the other end of the link simulates the machine of the example boards: it sends the inputs, and the journal reports
 * the coils. */
void lb_board_read_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count) {}
bool lb_board_is_power_failing(void) { return lb_link_is_injected(LB_INJECT_POWER_FAILING); }
