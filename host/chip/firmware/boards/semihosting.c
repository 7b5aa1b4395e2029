/* The link over two files of the host instead of the UART: the emulator takes about 40 microseconds for a byte of a UART, and next
 * to nothing for files. Arm semihosting specification 3.0, and RISC-V semihosting 0.3, which differs only in the call. The
 * emulator's arguments name the two files, to read and to write. Reading blocks, so this is for lockstep only. */
#ifdef LB_SEMIHOSTING

#include "common.h"

enum { SYS_OPEN = 0x01, SYS_WRITE = 0x05, SYS_READ = 0x06, SYS_GET_CMDLINE = 0x15, READ_BINARY = 1, WRITE_BINARY = 5 };

#if defined(__riscv)
/* The three instructions must be adjacent and uncompressed. */
static __attribute__((noinline, aligned(16))) uint32_t call(uint32_t operation, const void* words) {
  register uint32_t a0 __asm("a0") = operation;
  register const void* a1 __asm("a1") = words;
  __asm volatile(
      ".option push\n .option norvc\n slli x0, x0, 0x1f\n ebreak\n srai x0, x0, 7\n .option pop"
      : "+r"(a0) : "r"(a1) : "memory");
  return a0;
}
#else
static uint32_t call(uint32_t operation, const void* words) {
  register uint32_t r0 __asm("r0") = operation;
  register const void* r1 __asm("r1") = words;
  __asm volatile("bkpt 0xab" : "+r"(r0) : "r"(r1) : "memory");
  return r0;
}
#endif

static struct {
  bool is_open;
  uint32_t in, out;
  char names[192];
} files;

static uint32_t open_file(const char* name, uint32_t mode) {
  uint32_t length = 0;
  while (name[length] != 0) length++;
  const uint32_t words[3] = {(uint32_t)(uintptr_t)name, mode, length};
  return call(SYS_OPEN, words);
}

static void open_files(void) {
  const uint32_t words[2] = {(uint32_t)(uintptr_t)files.names, sizeof files.names};
  call(SYS_GET_CMDLINE, words);
  char* second = files.names;
  while (*second != ' ' && *second != 0) second++;
  *second++ = 0;
  files.in = open_file(files.names, READ_BINARY);
  files.out = open_file(second, WRITE_BINARY);
  files.is_open = true;
}

uint32_t lb_board_receive(uint8_t* bytes, uint32_t max) {
  if (!files.is_open) open_files();
  const uint32_t words[3] = {files.in, (uint32_t)(uintptr_t)bytes, max};
  return max - call(SYS_READ, words);
}

void lb_board_send(const uint8_t* bytes, uint32_t count, LbReceiver to) {
  if (!files.is_open) open_files();
  if (count == 0) return;
  const uint32_t words[3] = {files.out, (uint32_t)(uintptr_t)bytes, count};
  call(SYS_WRITE, words);
}

uint32_t lb_board_send_room(LbReceiver to) { return 0xffffffffu; }
bool lb_board_is_sent(void) { return true; }
/* The host's pipe holds what is not read yet. */
uint32_t lb_board_receive_room(void) { return 65536; }
bool lb_common_next_to_send(uint8_t* byte) { return false; }
void lb_board_idle(void) {}

#endif
