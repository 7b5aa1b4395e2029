/* The main loop: the only place that knows both the state machine and the link. */
#include "board.h"
#include "firmware.h"
#include "link.h"

void lb_firmware_run(void) {
  uint32_t reason;
  const uint32_t cause = lb_board_start_cause(&reason);
  lb_firmware_start(cause);
  lb_link_notify_start(cause, reason);
  for (;;) {
    lb_firmware_follow_timer();
    if (lb_link_serve()) lb_firmware_note_inputs();
    else lb_board_idle();
  }
}
