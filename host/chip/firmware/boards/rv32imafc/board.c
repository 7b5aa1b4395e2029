/* A RISC-V core with single-precision floating point, on QEMU's machine virt: machine-mode timer, interrupt controller and
 * memory protection (RISC-V Privileged Architecture 1.12, chapter 3; RISC-V PLIC 1.0), UART 16550. The machine has no watchdog. */
#include "../common.h"

#define BYTE_REGISTER(at) (*(volatile uint8_t*)(at))
#define UART(at) BYTE_REGISTER(0x10000000u + (at))
enum { UART_DATA = 0, UART_INTERRUPTS = 1, UART_FIFO = 2, UART_LINE = 3, UART_STATE = 5, UART_CLOCK_HZ = 3686400, RATE = 115200 };
enum { RECEIVED = 1, SENT = 2, EIGHT_BITS = 3, DIVIDER = 0x80 };
#define WORD_REGISTER(at) (*(volatile uint32_t*)(at))
#define TIME_LOW WORD_REGISTER(0x0200bff8u)
#define TIME_HIGH WORD_REGISTER(0x0200bffcu)
#define TIME_COMPARE_LOW WORD_REGISTER(0x02004000u)
#define TIME_COMPARE_HIGH WORD_REGISTER(0x02004004u)
/* Interrupt controller: the UART is its source 10. */
enum { UART_SOURCE = 10 };
#define PLIC_PRIORITY(source) WORD_REGISTER(0x0c000000u + 4 * (source))
#define PLIC_ENABLE WORD_REGISTER(0x0c002000u)
#define PLIC_CLAIM WORD_REGISTER(0x0c200004u)
#define TEST_DEVICE WORD_REGISTER(0x00100000u)

/* minstret counts nanoseconds on this emulator. On a real core it counts instructions, and then this is 0. */
enum { COUNT_HZ = 1000000000 };
enum { TIME_HZ = 10000000, RESET = 0x7777 };

const LbBoardSettings lb_board_settings = EXAMPLE_SETTINGS("rv32imafc", COUNT_HZ, TIME_HZ);

static uint64_t next_tick;

static void set_next_tick(void) {
  next_tick += TIME_HZ / TICK_HZ;
  TIME_COMPARE_HIGH = 0xffffffffu;
  TIME_COMPARE_LOW = (uint32_t)next_tick;
  TIME_COMPARE_HIGH = (uint32_t)(next_tick >> 32);
}

/* The interrupt comes at once when it is enabled, since the transmitter is empty. */
void lb_uart_start_sending(void) { UART(UART_INTERRUPTS) = RECEIVED | SENT; }

static void send_next(void) {
  uint8_t byte;
  if (lb_common_next_to_send(&byte)) UART(UART_DATA) = byte;
  else UART(UART_INTERRUPTS) = RECEIVED;
}

static void on_uart(void) {
  const uint32_t source = PLIC_CLAIM;
  while (UART(UART_STATE) & 1) lb_common_received(UART(UART_DATA));
  if (UART(UART_STATE) & 0x20) send_next();
  PLIC_CLAIM = source;
}

static void on_timer(void) {
  set_next_tick();
  lb_common_ticked();
  lb_common_watch();
}

__attribute__((interrupt("machine"), used)) static void on_interrupt(void) {
  uint32_t cause;
  __asm volatile("csrr %0, mcause" : "=r"(cause));
  if (cause == 0x80000007u) on_timer();
  else on_uart();
}

/* The stack itself may have failed, so it starts over for a fault; the cause is the reason. */
__attribute__((naked, aligned(4), used)) static void on_trap(void) {
  __asm volatile(
      "csrw mscratch, t0\n"
      "csrr t0, mcause\n"
      "bltz t0, 1f\n"
      "la sp, lb_stack_top\n"
      "mv a0, t0\n"
      "j lb_common_fault\n"
      "1: csrr t0, mscratch\n"
      "j on_interrupt\n");
}

/* Not even machine mode may access the 4 KiB below the stack: locked, no rights, naturally aligned power of two. */
static void guard_stack(void) {
  const uint32_t guard = (uint32_t)lb_stack_end - 4096;
  __asm volatile("csrw pmpaddr0, %0" : : "r"(guard >> 2 | 0x1ff));
  __asm volatile("csrw pmpcfg0, %0" : : "r"(0x98));
}

__attribute__((used)) static void start(void) {
  lb_common_start_memory();
  guard_stack();
  next_tick = (uint64_t)TIME_HIGH << 32 | TIME_LOW;
  set_next_tick();
  UART(UART_FIFO) = 1;
  lb_board_set_rate(0);
  UART(UART_INTERRUPTS) = RECEIVED;
  PLIC_PRIORITY(UART_SOURCE) = 1;
  PLIC_ENABLE = 1u << UART_SOURCE;
  __asm volatile("csrw mtvec, %0" : : "r"(on_trap));
  __asm volatile("csrs mie, %0" : : "r"(1u << 7 | 1u << 11));
  __asm volatile("csrs mstatus, %0" : : "r"(1u << 3));
  lb_firmware_run();
}

/* mstatus bit 13 enables the floating-point unit; fcsr 0 rounds to nearest. */
__attribute__((naked, section(".vectors"), used)) void lb_start(void) {
  __asm volatile(
      "la sp, lb_stack_top\n"
      "li t0, 1 << 13\n"
      "csrs mstatus, t0\n"
      "csrw fcsr, zero\n"
      "j start\n");
}

uint32_t lb_board_count(void) {
  uint32_t count;
  __asm volatile("csrr %0, minstret" : "=r"(count) : : "memory");
  return count;
}

void lb_board_mask_interrupts(bool is_masked) {
  if (is_masked) __asm volatile("csrc mstatus, %0" : : "r"(1u << 3) : "memory");
  else __asm volatile("csrs mstatus, %0" : : "r"(1u << 3) : "memory");
}

void lb_board_kick(void) { lb_common_kick(); }

void lb_board_reset(void) {
  TEST_DEVICE = RESET;
  for (;;) {}
}

static uint32_t divider_of(uint32_t baud) { return UART_CLOCK_HZ / 16 / baud; }

bool lb_board_supports_rate(uint32_t baud) { return baud >= 1200 && baud <= UART_CLOCK_HZ / 16 && UART_CLOCK_HZ / 16 % baud == 0; }

void lb_board_set_rate(uint32_t baud) {
  const uint32_t divider = divider_of(baud == 0 ? RATE : baud);
  UART(UART_LINE) = DIVIDER | EIGHT_BITS;
  UART(UART_DATA) = (uint8_t)divider;
  UART(UART_INTERRUPTS) = (uint8_t)(divider >> 8);
  UART(UART_LINE) = EIGHT_BITS;
}

/* A tick that begins in between shows in the count of ticks. */
uint32_t lb_board_clock(uint32_t* counts) {
  for (;;) {
    const uint32_t tick = lb_board_ticks();
    *counts = TIME_LOW - ((uint32_t)next_tick - TIME_HZ / TICK_HZ);
    if (lb_board_ticks() == tick) return tick;
  }
}
