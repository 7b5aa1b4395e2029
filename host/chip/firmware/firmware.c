#include "firmware.h"

#include "board.h"
#include "coils.h"
#include "counters.h"
#include "inputs.h"
#include "journal.h"

uint32_t lb_counters[LB_LINK_COUNTERS];

static struct {
  uint32_t state;
  uint32_t state_after_closing;
  uint32_t end;
  uint32_t rows;
  uint32_t arithmetic;
  uint32_t last_tick;    /* tick of the timer up to which steps are done */
  uint32_t inputs_at;    /* tick of the timer at which inputs last arrived */
  uint32_t ending_since; /* tick of the timer at which the run began to end */
  uint32_t ending_steps;
  uint32_t steps;
} firmware;

/* Ticks that the controller gets to close or vent; after that the valves are closed without it. */
static uint32_t ending_ticks_max(void) { return 10 * lb_board_settings.tickHz; }

uint32_t lb_firmware_state(void) { return firmware.state; }
uint32_t lb_firmware_end(void) { return firmware.end; }
uint32_t lb_firmware_rows(void) { return firmware.rows; }
uint32_t lb_firmware_arithmetic(void) { return firmware.arithmetic; }
uint32_t lb_firmware_steps(void) { return firmware.steps; }
uint32_t lb_firmware_first_tick(void) { return firmware.last_tick + 1; }
void lb_firmware_note_inputs(void) { firmware.inputs_at = lb_board_ticks(); }

void lb_trap(uint32_t reason) { lb_board_restart(LB_START_TRAP, reason); }

static void start_closing(uint32_t state_after) {
  lb_coils_start_closing();
  firmware.state = LB_STATE_CLOSING;
  firmware.state_after_closing = state_after;
}

int32_t lb_firmware_configure(uint32_t rows, uint32_t mode, LbRunOptions options) {
  const bool is_free = mode == LB_MODE_FREE_RUN;
  if (firmware.state == LB_STATE_LOCKSTEP) firmware.state = LB_STATE_READY;
  if (firmware.state != LB_STATE_READY) return LB_REFUSED_STATE;
  /* Lockstep works with wrong arithmetic too: it only shows in the results, since nothing is driven. */
  if (is_free && firmware.arithmetic != 0) return LB_REFUSED_ARITHMETIC;
  if (is_free && lb_parameters()->tickHz != lb_board_settings.tickHz) return LB_REFUSED_TICK_RATE;
  if (is_free && rows > lb_board_settings.valveRows) return LB_REFUSED_VALVE_ROWS;
  const int32_t result = lb_configure((int32_t)rows);
  if (result != 0) return result;
  firmware.rows = rows;
  firmware.end = LB_END_NONE;
  firmware.steps = 0;
  for (uint32_t count = LB_COUNT_LATE; count < LB_LINK_COUNTERS; count++) lb_counters[count] = 0;
  lb_inputs_start(options.input_period);
  lb_journal_start_run(options.is_listening);
  if (is_free) lb_journal_event(0, LB_EVENT_RUN_STARTED, 0);
  firmware.last_tick = lb_board_ticks();
  firmware.inputs_at = firmware.last_tick;
  firmware.state = is_free ? LB_STATE_RUNNING : LB_STATE_LOCKSTEP;
  return 0;
}

static void end_run(uint32_t end) {
  firmware.end = end;
  firmware.ending_since = lb_board_ticks();
  firmware.ending_steps = 0;
  firmware.state = LB_STATE_ENDING;
  lb_journal_event(firmware.steps, LB_EVENT_RUN_ENDING, end);
}

void lb_firmware_end_run(uint32_t end) {
  if (firmware.state == LB_STATE_LOCKSTEP) firmware.state = LB_STATE_READY;
  if (firmware.state == LB_STATE_RUNNING) end_run(end);
}

uint32_t lb_firmware_tick(void) {
  /* One request may carry ticks that together take longer than the watchdog allows. */
  lb_board_kick();
  lb_board_start_counter();
  lb_tick();
  return lb_board_stop_counter();
}

static void run_tick(uint32_t now) {
  const bool is_running = firmware.state == LB_STATE_RUNNING;
  if (is_running) lb_inputs_use(firmware.steps);
  lb_board_read_inputs(lb_bank_input(), lb_row_input(), firmware.rows);
  if (!is_running) lb_bank_input()->shutDown = 1;
  const uint32_t taken = lb_firmware_tick();
  if (taken > lb_counters[LB_COUNT_LONGEST_STEP_COUNTS]) lb_counters[LB_COUNT_LONGEST_STEP_COUNTS] = taken;
  lb_coils_follow(firmware.rows);
  lb_journal_step(firmware.steps, now, is_running);
  firmware.steps++;
  if (is_running) {
    if (lb_board_is_power_failing()) end_run(LB_END_POWER_FAILING);
    else if (lb_board_ticks() - firmware.inputs_at > lb_board_settings.linkLossTicks) end_run(LB_END_LINK_LOST);
    return;
  }
  firmware.ending_steps++;
  const LbBankOutput* output = lb_bank_output();
  /* allClosed is briefly set between the pulses of a vent too. The controller's time is counted in steps. */
  const bool is_vent_over = lb_parameters()->shutDownVent == 0 || firmware.ending_steps > lb_parameters()->ventMs * 0.001f * (float)lb_board_settings.tickHz;
  const bool is_over = output->allClosed != 0 && is_vent_over;
  if (!is_over && lb_board_ticks() - firmware.ending_since <= ending_ticks_max()) return;
  lb_journal_event(firmware.steps, LB_EVENT_RUN_ENDED, firmware.end);
  start_closing(LB_STATE_READY);
}

static void step(uint32_t now) {
  if (firmware.state == LB_STATE_RUNNING || firmware.state == LB_STATE_ENDING) run_tick(now);
  else if (firmware.state == LB_STATE_CLOSING && lb_coils_close()) firmware.state = firmware.state_after_closing;
  lb_board_kick();
}

/* Missed steps are not made up for: in quick succession they would end strokes that have only just begun. For the same reason the
 * step after a late one waits for a full tick. The controller's time does not advance meanwhile, and is counted as overruns. */
void lb_firmware_follow_timer(void) {
  const uint32_t now = lb_board_ticks();
  const int32_t due = (int32_t)(now - firmware.last_tick);
  if (due <= 0) return;
  const bool is_free = firmware.state == LB_STATE_RUNNING || firmware.state == LB_STATE_ENDING;
  step(now);
  const uint32_t end = lb_board_ticks();
  const bool is_late = due > 1 || end != now;
  if (is_late && is_free) lb_counters[LB_COUNT_OVERRUNS]++;
  firmware.last_tick = is_late ? end + 1 : end;
}

void lb_firmware_start(uint32_t cause) {
  const bool is_failure = cause == LB_START_TRAP || cause == LB_START_FAULT || cause == LB_START_WATCHDOG;
  lb_coils_reset();
  lb_default_parameters();
  firmware.arithmetic = lb_check_arithmetic();
  firmware.last_tick = lb_board_ticks();
  start_closing(is_failure ? LB_STATE_STOPPED : LB_STATE_READY);
}
