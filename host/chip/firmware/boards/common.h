/* Code that the example boards share: memory at start, the stack's high-water mark, values that survive a reset, and bytes
 * received by interrupt. */
#ifndef LB_BOARDS_COMMON_H
#define LB_BOARDS_COMMON_H

#include "example.h"
#include "../link.h"

/* With files in place of the UART the chip is blocked while it reads, which a watchdog would take for a hang. */
#ifdef LB_SEMIHOSTING
#define LB_HAS_WATCHDOG 0
#else
#define LB_HAS_WATCHDOG 1
#endif

extern uint32_t lb_stack_end[], lb_stack_top[], lb_data[], lb_data_end[], lb_bss[], lb_bss_end[];
extern const uint32_t lb_data_image[];

/* Copies .data, clears .bss and paints the unused part of the stack. Called first, with an almost empty stack. */
void lb_common_start_memory(void);

/* Stores a received byte; called by the interrupt. When the buffer is full the byte is lost, and its frame with it. */
void lb_common_received(uint8_t byte);

/* Called by the timer's interrupt. */
void lb_common_ticked(void);

/* Called for every exception that is not one of the board's interrupts. */
__attribute__((noreturn)) void lb_common_fault(uint32_t reason);

/* Sends over the board's UART. */
void lb_uart_send(const uint8_t* bytes, uint32_t count);

/* The board's free-running counter. */
uint32_t lb_board_count(void);
/* Disables or enables interrupts. */
void lb_board_mask_interrupts(bool is_masked);

/* Resets the chip. */
__attribute__((noreturn)) void lb_board_reset(void);

#endif
