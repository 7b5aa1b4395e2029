/* What a board has to provide. Fill these in for yours; boards/ has worked examples. */
#ifndef LB_BOARD_H
#define LB_BOARD_H

#include <stdbool.h>
#include <stdint.h>

#include "latchbench-chip.h"

/* Why the chip last started. */
enum {
  LB_START_POWER = 0,    /* power came up */
  LB_START_TRAP = 1,     /* the controller stopped; the reason is one of LB_TRAP_… */
  LB_START_FAULT = 2,    /* the processor stopped: a bus error, an undefined instruction, a stack that ran over */
  LB_START_WATCHDOG = 3, /* the program hung */
  LB_START_ASKED = 4,    /* restarted by the link */
};

/* What the firmware cannot know of the machine. */
typedef struct {
  const char* name;         /* of the board, at most 15 characters */
  uint32_t tickHz;          /* rate of lb_board_ticks() */
  uint32_t countHz;         /* rate of what lb_board_end_measuring() counts; 0 if that is executed instructions */
  uint32_t valveRows;       /* rows whose valves are wired to this board */
  uint32_t strokeTicks;     /* a closing stroke without the controller, ticks: as long as the valve at its slowest needs */
  uint32_t coilsAtOnce;     /* coils that the supply can drive at the same time */
  uint32_t closingRounds;   /* closing strokes to each valve when its position is not known: one may fail to move it */
  bool isVentedAtRest;      /* in the safe state the return valves are opened, so that the actuators are without pressure */
  uint32_t linkLossTicks;   /* without new inputs for this long a free run ends */
} LbBoardSettings;

extern const LbBoardSettings lb_board_settings;

/* Fills the inputs of this tick: converter codes, switches, speed. `supplyMv` must be fresh: it tells of a failing supply. */
void lb_board_read_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count);

/* Drives a row's coils from now on: LB_ORDER_NONE, LB_ORDER_OPEN or LB_ORDER_CLOSE for each. Must be quick. */
void lb_board_apply_strokes(uint32_t row, uint8_t supply, uint8_t back);

/* Ticks of the board's timer since its start; may wrap. */
uint32_t lb_board_ticks(void);

/* Keeps cause and reason where a reset leaves them, and resets. Coils must be without current from here on. */
__attribute__((noreturn)) void lb_board_restart(uint32_t cause, uint32_t reason);

/* Why the chip last started, and the reason kept with it. */
uint32_t lb_board_start_cause(uint32_t* reason);

/* Tells the watchdog that all is well. It must reset the chip by itself after some ticks without this. */
void lb_board_kick(void);

/* Whether the early warning of the supply is there: the controller then gets shutDown and closes what is open. */
bool lb_board_is_power_failing(void);

/* Rests until something has happened: a tick, a byte. May return at once. */
void lb_board_rest(void);

/* How long a piece of work takes: nothing may interrupt between the two. Cycles of the core, or instructions on an emulator. */
void lb_board_begin_measuring(void);
uint32_t lb_board_end_measuring(void);

/* Most bytes of the stack that have been in use since start. */
uint32_t lb_board_stack_used(void);

/* The link's bytes. Receiving gives at most `most` bytes and may give none; sending waits until all are on their way. */
uint32_t lb_board_receive(uint8_t* bytes, uint32_t most);
void lb_board_send(const uint8_t* bytes, uint32_t count);

/* The firmware's entry, called by start-up code once memory is set up. */
__attribute__((noreturn)) void lb_firmware_run(void);

#endif
