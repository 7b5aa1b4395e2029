/* What the example boards share: memory at start, the stack's high-water mark, what is kept over a reset, and bytes that come
 * in by interrupt. */
#ifndef LB_BOARDS_COMMON_H
#define LB_BOARDS_COMMON_H

#include "example.h"
#include "../link.h"

/* Where files stand in for the UART, the emulator's time is counted in instructions and says nothing of a hang. */
#ifdef LB_SEMIHOSTING
#define LB_HAS_WATCHDOG 0
#else
#define LB_HAS_WATCHDOG 1
#endif

extern uint32_t lb_stack_end[], lb_stack_top[], lb_data[], lb_data_end[], lb_bss[], lb_bss_end[];
extern const uint32_t lb_data_image[];

/* Copies .data, clears .bss, paints what is left of the stack; called with hardly anything on it. */
void lb_common_start_memory(void);

/* Takes a byte that has come in; called by the interrupt. What nobody fetches in time is lost, and the frame with it. */
void lb_common_received(uint8_t byte);

/* What a tick's interrupt does. */
void lb_common_ticked(void);

/* To be called where the processor has stopped: an exception that is none of the board's interrupts. */
__attribute__((noreturn)) void lb_common_fault(uint32_t reason);

/* Sends over the board's UART. */
void lb_uart_send(const uint8_t* bytes, uint32_t count);

/* A board's own free-running counter. */
uint32_t lb_board_count(void);
/* Keeps interrupts away, or lets them come again. */
void lb_board_hold_interrupts(bool is_held);

/* Resets the chip. */
__attribute__((noreturn)) void lb_board_reset(void);

#endif
