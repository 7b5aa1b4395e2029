#include "firmware.h"

#include "board.h"
#include "coils.h"
#include "link.h"

static struct {
  LbFirmwareState state;
  LbFirmwareState after_closing;
  LbEnd end;
  uint32_t rows;
  uint32_t arithmetic;
  uint32_t ticks_seen;
  uint32_t heard_at; /* the timer's tick when the host last showed that it is there */
  uint32_t ending_since; /* the timer's tick when the ending began */
  uint32_t ending_steps;
  uint32_t run_ticks;
  uint32_t overruns;
} firmware;

/* The controller has so long for its own way to close or vent; then the valves are closed without it. */
static uint32_t ending_most(void) { return 10 * lb_board_settings.tickHz; }

LbFirmwareState lb_firmware_state(void) { return firmware.state; }
LbEnd lb_firmware_end(void) { return firmware.end; }
uint32_t lb_firmware_rows(void) { return firmware.rows; }
uint32_t lb_firmware_arithmetic(void) { return firmware.arithmetic; }
uint32_t lb_firmware_run_ticks(void) { return firmware.run_ticks; }
uint32_t lb_firmware_overruns(void) { return firmware.overruns; }

void lb_trap(uint32_t reason) { lb_board_restart(LB_START_TRAP, reason); }

static void begin_closing(LbFirmwareState after) {
  lb_coils_begin_closing();
  firmware.state = LB_STATE_CLOSING;
  firmware.after_closing = after;
}

int32_t lb_firmware_configure(uint32_t rows, LbRunMode mode) {
  const bool is_free = mode == LB_MODE_FREE_RUN;
  if (firmware.state == LB_STATE_LOCKSTEP) firmware.state = LB_STATE_READY;
  if (firmware.state != LB_STATE_READY) return LB_REFUSED_STATE;
  /* In lockstep wrong arithmetic only shows; nothing is driven by it. */
  if (is_free && firmware.arithmetic != 0) return LB_REFUSED_ARITHMETIC;
  if (is_free && lb_parameters()->tickHz != lb_board_settings.tickHz) return LB_REFUSED_TICK_RATE;
  if (is_free && rows > lb_board_settings.valveRows) return LB_REFUSED_VALVE_ROWS;
  const int32_t result = lb_configure((int32_t)rows);
  if (result != 0) return result;
  firmware.rows = rows;
  firmware.end = LB_END_NONE;
  firmware.run_ticks = 0;
  firmware.overruns = 0;
  firmware.ticks_seen = lb_board_ticks();
  firmware.heard_at = firmware.ticks_seen;
  firmware.state = is_free ? LB_STATE_RUNNING : LB_STATE_LOCKSTEP;
  return 0;
}

static void end_run(LbEnd end) {
  firmware.end = end;
  firmware.ending_since = lb_board_ticks();
  firmware.ending_steps = 0;
  firmware.state = LB_STATE_ENDING;
}

void lb_firmware_leave(void) {
  if (firmware.state == LB_STATE_LOCKSTEP) firmware.state = LB_STATE_READY;
  if (firmware.state == LB_STATE_RUNNING) end_run(LB_END_ASKED);
}

uint32_t lb_firmware_tick(void) {
  lb_board_begin_measuring();
  lb_tick();
  return lb_board_end_measuring();
}

static void run_tick(void) {
  lb_board_read_inputs(lb_bank_input(), lb_row_input(), firmware.rows);
  if (firmware.state == LB_STATE_ENDING) lb_bank_input()->shutDown = 1;
  lb_tick();
  lb_coils_follow(firmware.rows);
  firmware.run_ticks++;
  if (firmware.state == LB_STATE_RUNNING) {
    if (lb_board_is_power_failing()) end_run(LB_END_POWER_FAILING);
    else if (lb_board_ticks() - firmware.heard_at > lb_board_settings.linkLossTicks) end_run(LB_END_LINK_LOST);
    return;
  }
  firmware.ending_steps++;
  const LbBankOutput* output = lb_bank_output();
  /* allClosed stands for a moment between the pulses of a vent too. The controller's time goes by steps. */
  const bool is_vent_over = lb_parameters()->shutDownVent == 0 || firmware.ending_steps > lb_parameters()->ventMs * 0.001f * (float)lb_board_settings.tickHz;
  const bool is_over = output->allClosed != 0 && is_vent_over;
  if (is_over || lb_board_ticks() - firmware.ending_since > ending_most()) begin_closing(LB_STATE_READY);
}

static void step(void) {
  if (firmware.state == LB_STATE_RUNNING || firmware.state == LB_STATE_ENDING) run_tick();
  else if (firmware.state == LB_STATE_CLOSING && lb_coils_close()) firmware.state = firmware.after_closing;
  lb_board_kick();
}

/* Steps that came late are not made up for: made at once, they would end strokes that they have just begun. For the same reason
 * the step after a late one waits for a whole tick. The controller's time stands still meanwhile, and `overruns` tells. */
static void follow_timer(void) {
  const uint32_t now = lb_board_ticks();
  const int32_t due = (int32_t)(now - firmware.ticks_seen);
  if (due <= 0) return;
  const bool is_free = firmware.state == LB_STATE_RUNNING || firmware.state == LB_STATE_ENDING;
  step();
  const uint32_t end = lb_board_ticks();
  const bool is_late = due > 1 || end != now;
  if (is_late && is_free) firmware.overruns++;
  firmware.ticks_seen = is_late ? end + 1 : end;
}

void lb_firmware_run(void) {
  uint32_t reason;
  const uint32_t cause = lb_board_start_cause(&reason);
  const bool is_failure = cause == LB_START_TRAP || cause == LB_START_FAULT || cause == LB_START_WATCHDOG;
  lb_coils_forget();
  lb_default_parameters();
  firmware.arithmetic = lb_check_arithmetic();
  firmware.ticks_seen = lb_board_ticks();
  begin_closing(is_failure ? LB_STATE_STOPPED : LB_STATE_READY);
  lb_link_tell_start(cause, reason);
  for (;;) {
    follow_timer();
    if (lb_link_serve()) firmware.heard_at = lb_board_ticks();
    else lb_board_rest();
  }
}
