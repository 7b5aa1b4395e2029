/* What the coils have really been told, apart from what the controller believes; and a way to close the valves without it. */
#ifndef LB_COILS_H
#define LB_COILS_H

#include <stdbool.h>
#include <stdint.h>

/* Every valve's position is unknown, every coil without current. */
void lb_coils_forget(void);

/* Passes this tick's orders of the controller on to the board. */
void lb_coils_follow(uint32_t rows);

/* Begins to bring every valve into the safe state. */
void lb_coils_begin_closing(void);

/* One tick of that, at most `coilsAtOnce` coils at a time. True once all is done. Valves that have been opened go first;
 * every valve that is not known to be closed gets a stroke in each round. */
bool lb_coils_close(void);

/* Valves that are not known to be closed. */
uint32_t lb_coils_doubtful(void);

#endif
