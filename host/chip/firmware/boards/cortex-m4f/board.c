/* A Cortex-M4F with the timer, UART and watchdog of QEMU's machine mps2-an386 (Arm Application Note AN386; Cortex-M System
 * Design Kit Technical Reference Manual, chapter 4). */
#include "../common.h"
#include "../cortex-m.h"

#define UART(at) LB_REGISTER(0x40004000u + (at))
enum { UART_DATA = 0x00, UART_STATE = 0x04, UART_CONTROL = 0x08, UART_CLEAR = 0x0c, UART_DIVIDER = 0x10 };
#define TIMER(at) LB_REGISTER(0x40000000u + (at))
enum { TIMER_CONTROL = 0x00, TIMER_VALUE = 0x04, TIMER_RELOAD = 0x08, TIMER_CLEAR = 0x0c };
#define WATCHDOG(at) LB_REGISTER(0x40008000u + (at))
enum { WATCHDOG_LOAD = 0x00, WATCHDOG_CONTROL = 0x08, WATCHDOG_CLEAR = 0x0c, WATCHDOG_LOCK = 0xc00 };

enum { CLOCK_HZ = 25000000, RATE = 115200, RATE_MAX = CLOCK_HZ / 16, RECEIVED_INTERRUPT = 0, SENT_INTERRUPT = 1, TIMER_INTERRUPT = 8 };
/* The watchdog warns after this time and resets after twice this time; the warning is not used. On a busy computer an emulator may
 * pause for longer than a chip ever would, so a real board should use less. */
enum { WATCHDOG_MS = 200 };

const LbBoardSettings lb_board_settings = EXAMPLE_SETTINGS("cortex-m4f", CLOCK_HZ, CLOCK_HZ);

static void set_up_board(void) {
  lb_board_set_rate(0);
  UART(UART_CONTROL) = 1 | 2 | 4 | 8; /* send, receive, interrupts after both */
  TIMER(TIMER_RELOAD) = CLOCK_HZ / TICK_HZ - 1;
  TIMER(TIMER_VALUE) = CLOCK_HZ / TICK_HZ - 1;
  TIMER(TIMER_CONTROL) = 1 | 8;
  WATCHDOG(WATCHDOG_LOCK) = 0x1acce551;
  WATCHDOG(WATCHDOG_LOAD) = CLOCK_HZ / 1000 * WATCHDOG_MS;
  WATCHDOG(WATCHDOG_CONTROL) = LB_HAS_WATCHDOG ? 1 | 2 : 0;
  SYSTICK_RELOAD = 0xffffff;
  SYSTICK_VALUE = 0;
  SYSTICK_CONTROL = 1 | 4;
  NVIC_ENABLE = 1u << RECEIVED_INTERRUPT | 1u << SENT_INTERRUPT | 1u << TIMER_INTERRUPT;
}

static void start(void) {
  lb_cortex_start();
  set_up_board();
  lb_firmware_run();
}

static void on_received(void) {
  UART(UART_CLEAR) = 2;
  lb_common_received((uint8_t)UART(UART_DATA));
}

void lb_uart_start_sending(void) {
  uint8_t byte;
  if (lb_common_next_to_send(&byte)) UART(UART_DATA) = byte;
}

static void on_sent(void) {
  UART(UART_CLEAR) = 1;
  lb_uart_start_sending();
}

bool lb_board_supports_rate(uint32_t baud) { return baud >= 1200 && baud <= RATE_MAX; }
void lb_board_set_rate(uint32_t baud) { UART(UART_DIVIDER) = CLOCK_HZ / (baud == 0 ? RATE : baud); }

/* The timer counts down. A tick that begins in between shows in the count of ticks. */
uint32_t lb_board_clock(uint32_t* counts) {
  for (;;) {
    const uint32_t tick = lb_board_ticks();
    *counts = CLOCK_HZ / TICK_HZ - 1 - TIMER(TIMER_VALUE);
    if (lb_board_ticks() == tick) return tick;
  }
}

static void on_timer(void) {
  TIMER(TIMER_CLEAR) = 1;
  lb_common_ticked();
}

/* The watchdog's warning; the reset follows. */
static void on_warning(void) {}

__attribute__((section(".vectors"), used)) static void (*const vectors[16 + 16])(void) = {
    (void (*)(void))lb_stack_top,
    start,
    on_warning,
    [3 ... 15] = lb_cortex_fault,
    [16 + RECEIVED_INTERRUPT] = on_received,
    [16 + SENT_INTERRUPT] = on_sent,
    [16 + TIMER_INTERRUPT] = on_timer,
};

void lb_board_kick(void) { WATCHDOG(WATCHDOG_CLEAR) = 1; }
