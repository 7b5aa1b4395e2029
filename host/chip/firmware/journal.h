/* What the firmware reports without being asked: a stream of entries (LB_ENTRY_… in protocol.h), kept in a ring until the
 * transmitter has room. Nothing waits for it. A host that misses a part of the stream asks for it again while the ring still has it. */
#ifndef LB_JOURNAL_H
#define LB_JOURNAL_H

#include <stdbool.h>
#include <stdint.h>

#include "protocol.h"

/* Bytes of the ring; a power of two. */
#ifndef LB_JOURNAL_BYTES
#define LB_JOURNAL_BYTES 2048
#endif
/* Longest run of entries in one frame. At least that of the longest entry. */
#ifndef LB_JOURNAL_FRAME
#define LB_JOURNAL_FRAME 272
#endif
/* Records that can be watched at once, and pieces of memory for each. */
#ifndef LB_WATCHES
#define LB_WATCHES 4
#endif
enum { LB_WATCH_PIECES = 8 };

/* Starts a run. Coils and events are always reported; steps, hashes, samples and statistics only if `is_listening`. */
void lb_journal_start_run(bool is_listening);

/* Reports a step of the run, done in this tick of the timer. `is_fed`: the step should have used its own inputs. */
void lb_journal_step(uint32_t step, uint32_t tick, bool is_fed);

/* Reports what the coils of a row are driven with from now on. */
void lb_journal_coils(uint32_t row, uint8_t supply_order, uint8_t return_order);

void lb_journal_parameters(uint32_t step, int32_t result);
void lb_journal_event(uint32_t step, uint32_t event, uint32_t reason);

/* Samples records every `period` steps, as LB_LINK_WATCH describes it. Returns false if that is not possible. */
bool lb_journal_watch(const uint8_t* body, uint32_t count);

/* Sends what is new, if there is room without waiting. */
void lb_journal_send(void);

/* Sends again from this offset, or from the oldest entry that is left. Returns the offset. */
uint32_t lb_journal_send_from(uint32_t offset);

/* Offsets of the oldest entry that is left, and of the end. */
uint32_t lb_journal_oldest(void);
uint32_t lb_journal_end(void);

#endif
