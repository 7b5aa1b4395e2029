/* The functions and settings that a board must provide. boards/ has worked examples. */
#ifndef LB_BOARD_H
#define LB_BOARD_H

#include <stdbool.h>
#include <stdint.h>

#include "latchbench-chip.h"
#include "protocol.h"

/* What the firmware cannot know about the machine and the board. */
typedef struct {
  const char* name;         /* at most 15 characters */
  uint32_t tickHz;          /* rate of lb_board_ticks() */
  uint32_t clockCounts;     /* counts of lb_board_clock() in a tick */
  uint32_t countHz;         /* rate of the counter behind lb_board_stop_counter(); 0 if it counts executed instructions */
  uint32_t valveRows;       /* rows whose valves are wired to this board */
  uint32_t strokeTicks;     /* closing stroke without the controller, in ticks: long enough for the slowest valve */
  uint32_t coilsAtOnce;     /* coils that the supply can drive at the same time */
  uint32_t coilTicksMax;    /* a coil is switched off after this long, whatever the program does */
  uint32_t closingRounds;   /* closing strokes for each valve whose position is unknown: a single one may fail to move it */
  bool isVentedWhenSafe;    /* the safe state has the return valves open, so that the actuators are depressurized */
  uint32_t linkLossTicks;   /* a free run ends when no inputs have arrived for this long */
} LbBoardSettings;

extern const LbBoardSettings lb_board_settings;

/* Fills in what this board measures itself: ADC counts, switches, speed. `supplyMv` must be current: it reveals a failing supply.
 * Whatever it leaves alone is what the host sent for this step. */
void lb_board_read_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count);

/* Drives both coils of a row from now on, each with LB_ORDER_NONE, LB_ORDER_OPEN or LB_ORDER_CLOSE. Must return quickly. A coil whose
 * order stays the same is not interrupted. A hardware timer, or the tick's interrupt, switches a coil off coilTicksMax ticks after
 * its order has changed; it stays off until its next order. */
void lb_board_drive_coils(uint32_t row, uint8_t supplyOrder, uint8_t returnOrder);

/* Takes note of a row of which a coil was switched off so. Returns false if there is none; otherwise also what the row's coils are
 * driven with now. */
bool lb_board_take_capped(uint32_t* row, uint8_t* supplyOrder, uint8_t* returnOrder);

/* Ticks of the board's timer since start; may wrap. */
uint32_t lb_board_ticks(void);

/* The same, and how far this tick has gone: `counts` of lb_board_settings.clockCounts. */
uint32_t lb_board_clock(uint32_t* counts);

/* Stores cause and reason where they survive a reset, then resets. From here on no coil may carry current. */
__attribute__((noreturn)) void lb_board_restart(uint32_t cause, uint32_t reason);

/* Returns why the chip last started (LB_START_…) and the reason stored with it. */
uint32_t lb_board_start_cause(uint32_t* reason);

/* Kicks the watchdog, which must reset the chip when it has not been kicked for some ticks. */
void lb_board_kick(void);

/* Whether the supply's early warning is active; the controller then gets shutDown and closes what is open. */
bool lb_board_is_power_failing(void);

/* Waits for an interrupt, such as a tick or a received byte. May return at once. */
void lb_board_idle(void);

/* Measures a piece of work, in core cycles, or in instructions on an emulator. */
void lb_board_start_counter(void);
uint32_t lb_board_stop_counter(void);

/* Bytes of the stack that have been in use since start, at most. */
uint32_t lb_board_stack_used(void);

/* The bytes of the link. Receiving returns the number of bytes, 0 to `max`. */
uint32_t lb_board_receive(uint8_t* bytes, uint32_t max);

/* Who gets a frame. On a serial line both are the same; on a network the sender of a request may be a stranger. */
typedef enum { LB_TO_HOST, LB_TO_SENDER } LbReceiver;

/* Sends bytes, by an interrupt that empties a ring, where there is one. Waits only if there is no room for all of them. */
void lb_board_send(const uint8_t* bytes, uint32_t count, LbReceiver to);
uint32_t lb_board_send_room(LbReceiver to);
/* Whether everything has left. */
bool lb_board_is_sent(void);
/* Bytes that can arrive and wait while the program does something else. */
uint32_t lb_board_receive_room(void);

/* The sender of the request in work becomes the host; whether it is, or there is none. */
void lb_board_take_host(void);
bool lb_board_is_from_host(void);

/* Speed of the line. Returns false, and changes nothing, if it does not support the rate; 0 returns to the first rate. */
bool lb_board_supports_rate(uint32_t baud);
void lb_board_set_rate(uint32_t baud);

/* Entry of the firmware (main.c); the board's start-up code calls it once memory is initialized. */
__attribute__((noreturn)) void lb_firmware_run(void);

#endif
