/* Tracks what each coil has really been driven with, whatever the controller believes, and closes the valves without the
 * controller. */
#ifndef LB_COILS_H
#define LB_COILS_H

#include <stdbool.h>
#include <stdint.h>

/* Marks every valve's position as unknown and every coil as off. */
void lb_coils_reset(void);

/* Passes the controller's orders of this tick on to the board. */
void lb_coils_follow(uint32_t rows);

/* Starts to bring every valve into the safe state. */
void lb_coils_start_closing(void);

/* One tick of that, with at most `coilsAtOnce` coils driven. Returns true when done. Valves that were opened go first; every
 * valve that is not known to be closed gets one stroke in each round. */
bool lb_coils_close(void);

/* Reports coils that the board switched off because they were driven for too long. */
void lb_coils_report_capped(void);

/* Number of valves that are not known to be closed. */
uint32_t lb_coils_not_closed(void);

#endif
