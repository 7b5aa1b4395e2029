/* A core without floating point: Cortex-M0+ code on QEMU's machine microbit, whose Cortex-M0 has the same instructions (Arm v6-M
 * Architecture Reference Manual). Timer and UART are those of its chip family. The emulated machine has no watchdog. */
#include "../common.h"
#include "../cortex-m.h"

#define UART(at) LB_REGISTER(0x40002000u + (at))
enum { START_RECEIVE = 0x000, START_SEND = 0x008, RECEIVED = 0x108, SENT = 0x11c, INTERRUPTS = 0x304, ENABLE = 0x500, IN = 0x518, OUT = 0x51c, BAUD = 0x524 };
#define TIMER(at) LB_REGISTER(0x40008000u + (at))
enum { TIMER_START = 0x000, CAPTURE = 0x044, COMPARED = 0x140, SHORTS = 0x200, TIMER_INTERRUPTS = 0x304, BITS = 0x508, PRESCALER = 0x510, COMPARE = 0x540, CAPTURED = 0x544 };

enum { CLOCK_HZ = 16000000, TIMER_HZ = 1000000, UART_INTERRUPT = 2, TIMER_INTERRUPT = 8 };

const LbBoardSettings lb_board_settings = EXAMPLE_SETTINGS("cortex-m0plus", CLOCK_HZ, TIMER_HZ);

static void set_up_board(void) {
  UART(ENABLE) = 4;
  UART(INTERRUPTS) = 1u << 2 | 1u << 7; /* received, sent */
  lb_board_set_rate(0);
  UART(START_RECEIVE) = 1;
  UART(START_SEND) = 1;
  TIMER(BITS) = 3;      /* 32 */
  TIMER(PRESCALER) = 4; /* 16 MHz / 2^4 */
  TIMER(COMPARE) = TIMER_HZ / TICK_HZ;
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

void lb_uart_start_sending(void) {
  uint8_t byte;
  if (lb_common_next_to_send(&byte)) UART(OUT) = byte;
}

static void on_uart(void) {
  while (UART(RECEIVED) != 0) {
    UART(RECEIVED) = 0;
    lb_common_received((uint8_t)UART(IN));
  }
  if (UART(SENT) == 0) return;
  UART(SENT) = 0;
  lb_uart_start_sending();
}

static void on_timer(void) {
  TIMER(COMPARED) = 0;
  lb_common_ticked();
  lb_common_watch();
}

__attribute__((section(".vectors"), used)) static void (*const vectors[16 + 32])(void) = {
    (void (*)(void))lb_stack_top,
    start,
    [2 ... 15] = lb_cortex_fault,
    [16 + UART_INTERRUPT] = on_uart,
    [16 + TIMER_INTERRUPT] = on_timer,
};

void lb_board_kick(void) { lb_common_kick(); }

/* The few rates that the UART has, and its register for each. */
static uint32_t divider_of(uint32_t baud) {
  switch (baud) {
    case 0:
    case 115200: return 0x01d7e000u;
    case 230400: return 0x03afb000u;
    case 460800: return 0x075f7000u;
    case 921600: return 0x0ebed000u;
    case 1000000: return 0x10000000u;
    default: return 0;
  }
}

bool lb_board_supports_rate(uint32_t baud) { return divider_of(baud) != 0; }
void lb_board_set_rate(uint32_t baud) { UART(BAUD) = divider_of(baud); }

/* A tick that begins in between shows in the count of ticks. */
uint32_t lb_board_clock(uint32_t* counts) {
  for (;;) {
    const uint32_t tick = lb_board_ticks();
    TIMER(CAPTURE) = 1;
    *counts = TIMER(CAPTURED);
    if (lb_board_ticks() == tick) return tick;
  }
}
