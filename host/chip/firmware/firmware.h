/* The state machine around the controller. It knows nothing of the link: link.c calls it, main.c runs it, and what it reports goes to
 * the journal. */
#ifndef LB_FIRMWARE_H
#define LB_FIRMWARE_H

#include <stdbool.h>
#include <stdint.h>

#include "protocol.h"

/*
 *   start --> closing --> ready --configure, lockstep--> lockstep --end, or another configure--> ready
 *               |           |
 *               |           +--configure, free run--> running --link or supply lost, end--> ending --> closing
 *               +--after a trap, a fault or a hang--> stopped, until a restart
 *
 * closing: the valves are closed without the controller (coils.h). ending: the controller itself closes or vents, as its
 * parameters say. lockstep: the link provides each tick; the coils stay off, since a stroke would last as long as the host
 * takes.
 */

/* Called once, before everything else, with the cause of the start. */
void lb_firmware_start(uint32_t cause);

/* Does the step of this tick, if one is due. */
void lb_firmware_follow_timer(void);

/* Inputs for a free run have arrived: the host is still there. */
void lb_firmware_note_inputs(void);

/* LB_STATE_…, and LB_END_…: why the last free run ended. */
uint32_t lb_firmware_state(void);
uint32_t lb_firmware_end(void);
uint32_t lb_firmware_rows(void);
/* Result of lb_check_arithmetic() at start. */
uint32_t lb_firmware_arithmetic(void);

/* Steps of the free run so far: the number of the next step. */
uint32_t lb_firmware_steps(void);

/* How a free run is fed and reported. */
typedef struct {
  bool is_listening;     /* report every step */
  uint32_t input_period; /* steps between inputs, at least 1 */
} LbRunOptions;

/* Configures the controller with the parameters in memory and enters the mode, LB_MODE_…. Returns 0, LB_REFUSED_…, or the result
 * of lb_configure(). */
int32_t lb_firmware_configure(uint32_t rows, uint32_t mode, LbRunOptions options);

/* Tick of the timer in which the first step is due. */
uint32_t lb_firmware_first_tick(void);

/* Goes from lockstep back to ready; ends a free run, for the reason LB_END_…. */
void lb_firmware_end_run(uint32_t end);

/* Runs one tick in lockstep with the inputs in memory. Returns what it took, by the board's counter. */
uint32_t lb_firmware_tick(void);

#endif
