/* Code that the example boards share: memory at start, the stack's high-water mark, values that survive a reset, and bytes
 * received by interrupt. */
#ifndef LB_BOARDS_COMMON_H
#define LB_BOARDS_COMMON_H

#include "example.h"

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

/* Takes the next byte to send; called by the interrupt. Returns false when there is none. */
bool lb_common_next_to_send(uint8_t* byte);

/* Called by the timer's interrupt. */
void lb_common_ticked(void);

/* A watchdog for emulated machines that have none, called by the timer's interrupt too: resets the chip when it has not been kicked
 * for too long. A real board must use its hardware watchdog, which does not depend on an interrupt. */
void lb_common_watch(void);
void lb_common_kick(void);

/* Called for every exception that is not one of the board's interrupts. */
__attribute__((noreturn)) void lb_common_fault(uint32_t reason);

/* Starts the UART's transmitter, which is idle: its interrupt, or this function, asks for the first byte. Called without
 * interrupts. */
void lb_uart_start_sending(void);

/* The board's free-running counter. */
uint32_t lb_board_count(void);
/* Disables or enables interrupts. */
void lb_board_mask_interrupts(bool is_masked);

/* Resets the chip. */
__attribute__((noreturn)) void lb_board_reset(void);

#endif
