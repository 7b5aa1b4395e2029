/* The same firmware as a program for this computer: the link is standard input and output, the timer is the system's. */
#define _POSIX_C_SOURCE 200809L
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "../example.h"
#include "../../link.h"

const LbBoardSettings lb_board_settings = EXAMPLE_SETTINGS("native", 1000000000);

static const char* program;
static uint32_t start_cause, start_reason;

static uint64_t now_ns(void) {
  struct timespec time;
  clock_gettime(CLOCK_MONOTONIC, &time);
  return (uint64_t)time.tv_sec * 1000000000u + (uint64_t)time.tv_nsec;
}

uint32_t lb_board_ticks(void) { return (uint32_t)(now_ns() / (1000000000u / TICK_HZ)); }
static uint32_t counter_start;
void lb_board_start_counter(void) { counter_start = (uint32_t)now_ns(); }
uint32_t lb_board_stop_counter(void) { return (uint32_t)now_ns() - counter_start; }
void lb_board_kick(void) {}
uint32_t lb_board_stack_used(void) { return 0; }

/* Starts over, as a chip does after a reset. */
void lb_board_restart(uint32_t cause, uint32_t reason) {
  char cause_text[2] = {(char)('0' + cause), 0}, reason_text[2] = {(char)('0' + reason % 10), 0};
  execl(program, program, cause_text, reason_text, (char*)0);
  abort();
}

uint32_t lb_board_start_cause(uint32_t* reason) {
  *reason = start_reason;
  return start_cause;
}

static bool is_readable(int milliseconds) {
  struct pollfd in = {.fd = STDIN_FILENO, .events = POLLIN};
  return poll(&in, 1, milliseconds) > 0;
}

uint32_t lb_board_receive(uint8_t* bytes, uint32_t max) {
  if (!is_readable(0)) return 0;
  const ssize_t count = read(STDIN_FILENO, bytes, max);
  if (count <= 0) exit(0); /* the host has closed the link */
  return (uint32_t)count;
}

void lb_board_send(const uint8_t* bytes, uint32_t count) {
  while (count > 0) {
    const ssize_t sent = write(STDOUT_FILENO, bytes, count);
    if (sent <= 0) exit(0);
    bytes += sent;
    count -= (uint32_t)sent;
  }
}

void lb_board_idle(void) { is_readable(1); }

void lb_board_read_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count) { lb_link_inputs(bank, rows, count); }
void lb_board_drive_coils(uint32_t row, uint8_t supply_order, uint8_t return_order) { lb_link_notify_coils(row, supply_order, return_order); }
bool lb_board_is_power_failing(void) { return lb_link_is_injected(LB_INJECT_POWER_FAILING); }

int main(int count, char** words) {
  program = words[0];
  if (count == 3) {
    start_cause = (uint32_t)(words[1][0] - '0');
    start_reason = (uint32_t)(words[2][0] - '0');
  }
  lb_firmware_run();
}
