/* The main loop: lets the state machine, the link and the journal take turns. */
#include "board.h"
#include "coils.h"
#include "firmware.h"
#include "journal.h"
#include "link.h"

void lb_firmware_run(void) {
  uint32_t reason;
  const uint32_t cause = lb_board_start_cause(&reason);
  lb_firmware_start(cause);
  lb_link_notify_start(cause, reason);
  for (;;) {
    lb_firmware_follow_timer();
    lb_coils_report_capped();
    const bool has_received = lb_link_serve();
    if (!lb_link_is_ending()) lb_journal_send();
    if (!has_received) lb_board_idle();
  }
}
