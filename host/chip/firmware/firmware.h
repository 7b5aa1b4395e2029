/* What the link asks of the firmware. */
#ifndef LB_FIRMWARE_H
#define LB_FIRMWARE_H

#include <stdbool.h>
#include <stdint.h>

/*
 *   start --> closing --> ready --configure, lockstep--> lockstep --leave, or another configure--> ready
 *               |           |
 *               |           +--configure, free run--> running --link or supply lost, asked--> ending --> closing
 *               +--after a trap, a fault or a hang--> stopped, until it is restarted
 *
 * closing: without the controller (coils.h). ending: the controller itself closes, or vents, as its parameters say.
 * lockstep: the link gives each tick, the coils stay without current, since a stroke would last as long as the link likes.
 */
typedef enum {
  LB_STATE_CLOSING,
  LB_STATE_READY,
  LB_STATE_LOCKSTEP,
  LB_STATE_RUNNING,
  LB_STATE_ENDING,
  LB_STATE_STOPPED,
} LbFirmwareState;

/* Why a free run ended. */
typedef enum { LB_END_NONE, LB_END_ASKED, LB_END_LINK_LOST, LB_END_POWER_FAILING } LbEnd;

typedef enum { LB_MODE_LOCKSTEP = 1, LB_MODE_FREE_RUN = 2 } LbRunMode;

/* Answers of lb_firmware_configure() besides those of lb_configure(). */
enum {
  LB_REFUSED_STRANGER = -2,   /* no greeting with this contract since start */
  LB_REFUSED_STATE = -3,      /* not while closing, running or stopped */
  LB_REFUSED_TICK_RATE = -4,  /* the board's timer has another rate */
  LB_REFUSED_VALVE_ROWS = -5, /* fewer rows are wired to the board */
  LB_REFUSED_ARITHMETIC = -6, /* lb_check_arithmetic() has found something: see the greeting */
  LB_REFUSED_LENGTH = -7,     /* not the length of this contract's parameters */
};

LbFirmwareState lb_firmware_state(void);
LbEnd lb_firmware_end(void);
uint32_t lb_firmware_rows(void);
uint32_t lb_firmware_arithmetic(void);

/* Steps of the free run, and how many of them came late or were not done within their tick. */
uint32_t lb_firmware_run_ticks(void);
uint32_t lb_firmware_overruns(void);

/* Sets up with the parameters that stand in memory. 0: begun; else as said above. */
int32_t lb_firmware_configure(uint32_t rows, LbRunMode mode);

/* Back to ready from a lockstep; ends a free run. */
void lb_firmware_leave(void);

/* One tick of the controller with the inputs that stand in memory. Returns what it took, by the board's counter. */
uint32_t lb_firmware_tick(void);

#endif
