#include "coils.h"

#include "board.h"
#include "counters.h"
#include "journal.h"

/*
 * Position of a valve, as its last complete stroke left it:
 *
 *   unknown --closing stroke of strokeTicks--> closed --opening stroke starts--> open --closing stroke--> closed
 *   any --stroke cut short--> unknown
 */
enum { UNKNOWN, CLOSED, OPEN };
enum { SUPPLY, RETURN, VALVES };

typedef struct {
  uint8_t position;
  uint8_t coil;
  uint8_t pending; /* strokes left in the closing sequence */
  uint32_t since;  /* tick of the timer at which the coil's order last changed */
} Valve;

static Valve valves[LB_ROWS_MAX][VALVES];
static bool is_venting;

/* Strokes are timed by the board's timer, because steps of the controller may come late. The tick in which the stroke began does
 * not count: it may have been almost over. */
static bool is_complete(const Valve* valve) { return lb_board_ticks() - valve->since > lb_board_settings.strokeTicks; }

static void drive(Valve* valve, uint8_t order) {
  if (order == valve->coil) return;
  /* A valve counts as open after any opening stroke, however short: it is closed first. */
  if (valve->coil == LB_ORDER_CLOSE) valve->position = is_complete(valve) ? CLOSED : UNKNOWN;
  if (order == LB_ORDER_OPEN) valve->position = OPEN;
  valve->coil = order;
}

static void drive_row(uint32_t row, uint8_t supply_order, uint8_t return_order) {
  Valve* pair = valves[row];
  const bool is_supply_changed = pair[SUPPLY].coil != supply_order;
  const bool is_return_changed = pair[RETURN].coil != return_order;
  if (!is_supply_changed && !is_return_changed) return;
  drive(&pair[SUPPLY], supply_order);
  drive(&pair[RETURN], return_order);
  lb_board_drive_coils(row, supply_order, return_order);
  lb_journal_coils(row, supply_order, return_order);
  if (is_supply_changed) pair[SUPPLY].since = lb_board_ticks();
  if (is_return_changed) pair[RETURN].since = lb_board_ticks();
}

void lb_coils_reset(void) {
  for (uint32_t row = 0; row < LB_ROWS_MAX; row++) {
    for (uint32_t side = 0; side < VALVES; side++) valves[row][side] = (Valve){.position = UNKNOWN, .coil = LB_ORDER_NONE};
  }
}

void lb_coils_follow(uint32_t rows) {
  const LbRowOutput* output = lb_row_output();
  for (uint32_t row = 0; row < rows; row++) drive_row(row, output[row].supplyOrder, output[row].returnOrder);
}

void lb_coils_start_closing(void) {
  is_venting = false;
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    for (uint32_t side = 0; side < VALVES; side++) {
      Valve* valve = &valves[row][side];
      const bool is_closed = valve->position == CLOSED && valve->coil == LB_ORDER_NONE;
      valve->pending = is_closed ? 0 : (uint8_t)lb_board_settings.closingRounds;
    }
  }
}

/* Returns the valve that gets the next stroke: open before unknown, then the one with the most pending strokes. */
static Valve* most_urgent(void) {
  const uint32_t now = lb_board_ticks();
  Valve* best = 0;
  uint32_t best_rank = 0;
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    for (uint32_t side = 0; side < VALVES; side++) {
      Valve* valve = &valves[row][side];
      /* A coil that was switched off in this tick stays off for one tick, so that two strokes do not merge into a long one. */
      if (valve->pending == 0 || valve->coil != LB_ORDER_NONE || valve->since == now) continue;
      const uint32_t rank = (valve->position == OPEN ? 256u : 0u) + valve->pending;
      if (rank <= best_rank) continue;
      best = valve;
      best_rank = rank;
    }
  }
  return best;
}

/* Ends the strokes that are complete and continues the others. Returns how many coils are driven. */
static uint32_t continue_strokes(uint8_t order) {
  uint32_t driven = 0;
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    uint8_t next[VALVES];
    for (uint32_t side = 0; side < VALVES; side++) {
      const Valve* valve = &valves[row][side];
      /* A stroke that the controller started before the sequence is cut off. */
      const bool is_continued = valve->coil == order && !is_complete(valve);
      next[side] = is_continued ? order : LB_ORDER_NONE;
      driven += is_continued;
    }
    drive_row(row, next[SUPPLY], next[RETURN]);
  }
  return driven;
}

static void start_stroke(Valve* valve, uint8_t order) {
  const uint32_t row = (uint32_t)(valve - &valves[0][0]) / VALVES;
  Valve* pair = valves[row];
  drive_row(row, valve == &pair[SUPPLY] ? order : pair[SUPPLY].coil, valve == &pair[RETURN] ? order : pair[RETURN].coil);
  valve->pending--;
}

static bool is_any_pending(void) {
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    if (valves[row][SUPPLY].pending != 0 || valves[row][RETURN].pending != 0) return true;
  }
  return false;
}

static void schedule_vents(void) {
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) valves[row][RETURN].pending = 1;
}

bool lb_coils_close(void) {
  const uint8_t order = is_venting ? LB_ORDER_OPEN : LB_ORDER_CLOSE;
  uint32_t driven = continue_strokes(order);
  while (driven < lb_board_settings.coilsAtOnce) {
    Valve* valve = most_urgent();
    if (valve == 0) break;
    start_stroke(valve, order);
    driven++;
  }
  if (driven != 0 || is_any_pending()) return false;
  if (!lb_board_settings.isVentedWhenSafe || is_venting) return true;
  is_venting = true;
  schedule_vents();
  return false;
}

void lb_coils_report_capped(void) {
  uint32_t row;
  uint8_t supply_order, return_order;
  while (lb_board_take_capped(&row, &supply_order, &return_order)) {
    lb_counters[LB_COUNT_CAPPED]++;
    lb_journal_coils(row, supply_order, return_order);
  }
}

uint32_t lb_coils_not_closed(void) {
  uint32_t count = 0;
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    for (uint32_t side = 0; side < VALVES; side++) count += valves[row][side].position != CLOSED;
  }
  return count;
}
