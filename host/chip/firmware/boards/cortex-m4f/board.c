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

enum { CLOCK_HZ = 25000000, UART_INTERRUPT = 0, TIMER_INTERRUPT = 8 };
/* The watchdog warns after this time and resets after twice this time; the warning is not used. On a busy computer an emulator may
 * pause for longer than a chip ever would, so a real board should use less. */
enum { WATCHDOG_MS = 200 };

const LbBoardSettings lb_board_settings = EXAMPLE_SETTINGS("cortex-m4f", CLOCK_HZ);

static void set_up_board(void) {
  UART(UART_DIVIDER) = CLOCK_HZ / 115200;
  UART(UART_CONTROL) = 1 | 2 | 8; /* send, receive, interrupt on receive */
  TIMER(TIMER_RELOAD) = CLOCK_HZ / TICK_HZ - 1;
  TIMER(TIMER_VALUE) = CLOCK_HZ / TICK_HZ - 1;
  TIMER(TIMER_CONTROL) = 1 | 8;
  WATCHDOG(WATCHDOG_LOCK) = 0x1acce551;
  WATCHDOG(WATCHDOG_LOAD) = CLOCK_HZ / 1000 * WATCHDOG_MS;
  WATCHDOG(WATCHDOG_CONTROL) = LB_HAS_WATCHDOG ? 1 | 2 : 0;
  SYSTICK_RELOAD = 0xffffff;
  SYSTICK_VALUE = 0;
  SYSTICK_CONTROL = 1 | 4;
  NVIC_ENABLE = 1u << UART_INTERRUPT | 1u << TIMER_INTERRUPT;
}

static void start(void) {
  lb_cortex_start();
  set_up_board();
  lb_firmware_run();
}

static void on_uart(void) {
  UART(UART_CLEAR) = 2;
  lb_common_received((uint8_t)UART(UART_DATA));
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
    [16 + UART_INTERRUPT] = on_uart,
    [16 + TIMER_INTERRUPT] = on_timer,
};

void lb_board_kick(void) { WATCHDOG(WATCHDOG_CLEAR) = 1; }

void lb_uart_send(const uint8_t* bytes, uint32_t count) {
  for (uint32_t index = 0; index < count; index++) {
    while (UART(UART_STATE) & 1) {}
    UART(UART_DATA) = bytes[index];
  }
}
