#include "coils.h"

#include "board.h"

/*
 * A valve here is where the last whole stroke has put it:
 *
 *   unknown --closing stroke of strokeTicks--> closed --opening stroke begins--> open --closing stroke--> closed
 *   any --stroke cut short--> unknown
 */
enum { UNKNOWN, CLOSED, OPENED };
enum { SUPPLY, BACK, VALVES };

typedef struct {
  uint8_t position;
  uint8_t coil;
  uint8_t owed;   /* strokes left of the closing sequence */
  uint32_t since; /* the timer's tick in which the coil's order last changed */
} Valve;

static Valve valves[LB_ROWS_MAX][VALVES];
static bool is_venting;

/* Strokes are timed by the board's timer and not by steps, which may come late or, while several are made up for, at once. The
 * tick in which the stroke began does not count: it may have been almost over. */
static bool is_whole(const Valve* valve) { return lb_board_ticks() - valve->since > lb_board_settings.strokeTicks; }

static void drive(Valve* valve, uint8_t order) {
  if (order == valve->coil) return;
  /* What an opening stroke has moved counts as open however short it was: it is closed first. */
  if (valve->coil == LB_ORDER_CLOSE) valve->position = is_whole(valve) ? CLOSED : UNKNOWN;
  if (order == LB_ORDER_OPEN) valve->position = OPENED;
  valve->coil = order;
}

static void drive_row(uint32_t row, uint8_t supply, uint8_t back) {
  Valve* pair = valves[row];
  const bool is_supply_new = pair[SUPPLY].coil != supply;
  const bool is_back_new = pair[BACK].coil != back;
  if (!is_supply_new && !is_back_new) return;
  drive(&pair[SUPPLY], supply);
  drive(&pair[BACK], back);
  lb_board_apply_strokes(row, supply, back);
  if (is_supply_new) pair[SUPPLY].since = lb_board_ticks();
  if (is_back_new) pair[BACK].since = lb_board_ticks();
}

void lb_coils_forget(void) {
  for (uint32_t row = 0; row < LB_ROWS_MAX; row++) {
    for (uint32_t side = 0; side < VALVES; side++) valves[row][side] = (Valve){.position = UNKNOWN, .coil = LB_ORDER_NONE};
  }
}

void lb_coils_follow(uint32_t rows) {
  const LbRowOutput* output = lb_row_output();
  for (uint32_t row = 0; row < rows; row++) drive_row(row, output[row].supplyOrder, output[row].returnOrder);
}

void lb_coils_begin_closing(void) {
  is_venting = false;
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    for (uint32_t side = 0; side < VALVES; side++) {
      Valve* valve = &valves[row][side];
      const bool is_closed = valve->position == CLOSED && valve->coil == LB_ORDER_NONE;
      valve->owed = is_closed ? 0 : (uint8_t)lb_board_settings.closingRounds;
    }
  }
}

/* The valve that gets the next stroke: open before unknown, then the one that is owed most. */
static Valve* most_urgent(void) {
  const uint32_t now = lb_board_ticks();
  Valve* best = 0;
  uint32_t best_rank = 0;
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    for (uint32_t side = 0; side < VALVES; side++) {
      Valve* valve = &valves[row][side];
      /* A coil that was switched off in this tick rests for one: two strokes must not become one long one. */
      if (valve->owed == 0 || valve->coil != LB_ORDER_NONE || valve->since == now) continue;
      const uint32_t rank = (valve->position == OPENED ? 256u : 0u) + valve->owed;
      if (rank <= best_rank) continue;
      best = valve;
      best_rank = rank;
    }
  }
  return best;
}

/* Ends strokes that have lasted long enough, and lets the others go on. Returns how many coils are driven. */
static uint32_t go_on(uint8_t order) {
  uint32_t driven = 0;
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    uint8_t next[VALVES];
    for (uint32_t side = 0; side < VALVES; side++) {
      const Valve* valve = &valves[row][side];
      /* Another stroke than the sequence's own, begun before it, is cut off. */
      const bool is_going_on = valve->coil == order && !is_whole(valve);
      next[side] = is_going_on ? order : LB_ORDER_NONE;
      driven += is_going_on;
    }
    drive_row(row, next[SUPPLY], next[BACK]);
  }
  return driven;
}

static void begin(Valve* valve, uint8_t order) {
  const uint32_t row = (uint32_t)(valve - &valves[0][0]) / VALVES;
  Valve* pair = valves[row];
  drive_row(row, valve == &pair[SUPPLY] ? order : pair[SUPPLY].coil, valve == &pair[BACK] ? order : pair[BACK].coil);
  valve->owed--;
}

static bool is_any_owed(void) {
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    if (valves[row][SUPPLY].owed != 0 || valves[row][BACK].owed != 0) return true;
  }
  return false;
}

static void owe_vents(void) {
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) valves[row][BACK].owed = 1;
}

bool lb_coils_close(void) {
  const uint8_t order = is_venting ? LB_ORDER_OPEN : LB_ORDER_CLOSE;
  uint32_t driven = go_on(order);
  while (driven < lb_board_settings.coilsAtOnce) {
    Valve* valve = most_urgent();
    if (valve == 0) break;
    begin(valve, order);
    driven++;
  }
  if (driven != 0 || is_any_owed()) return false;
  if (!lb_board_settings.isVentedAtRest || is_venting) return true;
  is_venting = true;
  owe_vents();
  return false;
}

uint32_t lb_coils_doubtful(void) {
  uint32_t count = 0;
  for (uint32_t row = 0; row < lb_board_settings.valveRows; row++) {
    for (uint32_t side = 0; side < VALVES; side++) count += valves[row][side].position != CLOSED;
  }
  return count;
}
