/* A core without floating point: Cortex-M0+ code on QEMU's machine microbit, whose Cortex-M0 has the same instructions (Arm v6-M
 * Architecture Reference Manual). Timer and UART are those of its chip family. The emulated machine has no watchdog, so the
 * timer's interrupt counts ticks since the last kick and resets the chip. A real board must use its hardware watchdog. */
#include "../common.h"
#include "../cortex-m.h"

#define UART(at) LB_REGISTER(0x40002000u + (at))
enum { START_RECEIVE = 0x000, START_SEND = 0x008, RECEIVED = 0x108, SENT = 0x11c, INTERRUPTS = 0x304, ENABLE = 0x500, IN = 0x518, OUT = 0x51c };
#define TIMER(at) LB_REGISTER(0x40008000u + (at))
enum { TIMER_START = 0x000, COMPARED = 0x140, SHORTS = 0x200, TIMER_INTERRUPTS = 0x304, BITS = 0x508, PRESCALER = 0x510, COMPARE = 0x540 };

enum { CLOCK_HZ = 16000000, UART_INTERRUPT = 2, TIMER_INTERRUPT = 8, WATCHDOG_TICKS = 100 };

const LbBoardSettings lb_board_settings = EXAMPLE_SETTINGS("cortex-m0plus", CLOCK_HZ);

static volatile uint32_t ticks_unkicked;

static void set_up_board(void) {
  UART(ENABLE) = 4;
  UART(INTERRUPTS) = 1u << 2; /* received */
  UART(START_RECEIVE) = 1;
  UART(START_SEND) = 1;
  TIMER(BITS) = 3;      /* 32 */
  TIMER(PRESCALER) = 4; /* 16 MHz / 2^4 */
  TIMER(COMPARE) = 1000000 / TICK_HZ;
  TIMER(SHORTS) = 1; /* restart at the compare value */
  TIMER(TIMER_INTERRUPTS) = 1u << 16;
  TIMER(TIMER_START) = 1;
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
  while (UART(RECEIVED) != 0) {
    UART(RECEIVED) = 0;
    lb_common_received((uint8_t)UART(IN));
  }
}

static void on_timer(void) {
  TIMER(COMPARED) = 0;
  lb_common_ticked();
  if (LB_HAS_WATCHDOG && ++ticks_unkicked > WATCHDOG_TICKS) lb_board_restart(LB_START_WATCHDOG, 0);
}

__attribute__((section(".vectors"), used)) static void (*const vectors[16 + 32])(void) = {
    (void (*)(void))lb_stack_top,
    start,
    [2 ... 15] = lb_cortex_fault,
    [16 + UART_INTERRUPT] = on_uart,
    [16 + TIMER_INTERRUPT] = on_timer,
};

void lb_board_kick(void) { ticks_unkicked = 0; }

void lb_uart_send(const uint8_t* bytes, uint32_t count) {
  for (uint32_t index = 0; index < count; index++) {
    UART(SENT) = 0;
    UART(OUT) = bytes[index];
    while (UART(SENT) == 0) {}
  }
}
