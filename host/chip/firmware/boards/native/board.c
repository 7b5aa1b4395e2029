/* The same firmware as a program for this computer, in real time: the timer is the system's, and the link is carried by standard
 * input and output, or by one of
 *
 *   --tcp PORT   connections to 127.0.0.1; port 0: the system chooses one
 *   --udp PORT   datagrams of whole frames, each answered to where it came from
 *   --pty        a pseudo-terminal in place of a serial port
 *
 * whose name is then the first line of standard output. */
#define _GNU_SOURCE
#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include "../../frame.h"
#include "../../link.h"
#include "../example.h"

const LbBoardSettings lb_board_settings = EXAMPLE_SETTINGS("native", 1000000000, 1000000000);

enum { TICK_NS = 1000000000 / TICK_HZ };

/* Arguments after a restart: the same link, and why it was. */
static struct {
  char* program;
  char* transport; /* NULL: standard input and output */
  char address[16]; /* of a transport: port, or descriptor of the pseudo-terminal */
  uint32_t cause;
  uint32_t reason;
} start;

__attribute__((noreturn)) static void fail(const char* what) {
  perror(what);
  exit(2);
}

/* ---- Time ---- */

static uint64_t now_ns(void) {
  struct timespec time;
  clock_gettime(CLOCK_MONOTONIC, &time);
  return (uint64_t)time.tv_sec * 1000000000u + (uint64_t)time.tv_nsec;
}

uint32_t lb_board_ticks(void) { return (uint32_t)(now_ns() / TICK_NS); }

uint32_t lb_board_clock(uint32_t* counts) {
  const uint64_t now = now_ns();
  *counts = (uint32_t)(now % TICK_NS);
  return (uint32_t)(now / TICK_NS);
}

static uint32_t counter_start;
void lb_board_start_counter(void) { counter_start = (uint32_t)now_ns(); }
uint32_t lb_board_stop_counter(void) { return (uint32_t)now_ns() - counter_start; }
void lb_board_kick(void) {}
uint32_t lb_board_stack_used(void) { return 0; }

/* ---- The ends of the link ---- */

enum { PEERS = 4, IN_BYTES = 1 << 16, OUT_BYTES = 1 << 17, DATAGRAM_MAX = 1400 };

/* Another end. Standard input and output, and the pseudo-terminal, have one; a network may have several. */
typedef struct {
  bool is_open;
  int in, out;
  struct sockaddr_in address; /* of a sender of datagrams */
  uint32_t in_count, delivered, complete; /* bytes received; passed on; up to the end of the last whole frame */
  uint32_t out_count;
  uint8_t in_bytes[IN_BYTES];
  uint8_t out_bytes[OUT_BYTES];
} Peer;

enum { NOBODY = -1 };
static Peer peers[PEERS];
static int host = NOBODY, sender = NOBODY;
static int listening = -1; /* TCP: socket for connections. UDP: the only socket */
static bool is_udp, is_pty;

static bool is_network(void) { return listening >= 0; }

static void close_peer(int index) {
  if (!is_network()) exit(0); /* the host has closed the link */
  if (!is_udp) close(peers[index].in);
  peers[index].is_open = false;
  if (host == index) host = NOBODY;
}

static int open_peer(int in, int out) {
  for (int index = 0; index < PEERS; index++) {
    if (peers[index].is_open) continue;
    Peer* peer = &peers[index];
    peer->is_open = true;
    peer->in = in;
    peer->out = out;
    peer->in_count = peer->delivered = peer->complete = peer->out_count = 0;
    return index;
  }
  return NOBODY;
}

static void accept_connection(void) {
  const int connection = accept4(listening, 0, 0, SOCK_NONBLOCK | SOCK_CLOEXEC);
  if (connection < 0) return;
  setsockopt(connection, IPPROTO_TCP, TCP_NODELAY, &(int){1}, sizeof(int));
  if (open_peer(connection, connection) == NOBODY) close(connection);
}

static int peer_at(const struct sockaddr_in* address) {
  for (int index = 0; index < PEERS; index++) {
    const struct sockaddr_in* known = &peers[index].address;
    if (peers[index].is_open && known->sin_port == address->sin_port && known->sin_addr.s_addr == address->sin_addr.s_addr) return index;
  }
  int index = open_peer(listening, listening);
  /* Senders of datagrams do not say good-bye: the place of one that is not the host is taken. */
  if (index == NOBODY) close_peer(host == 0 ? 1 : 0);
  if (index == NOBODY) index = open_peer(listening, listening);
  peers[index].address = *address;
  return index;
}

/* ---- Speed of the pseudo-terminal: bytes sent or received at another speed than that of its other end are garbled ---- */

static const struct { uint32_t baud; speed_t speed; } RATES[] = {
    {115200, B115200}, {230400, B230400}, {460800, B460800}, {921600, B921600}, {1000000, B1000000}, {2000000, B2000000},
};
static speed_t rate = B115200;

static speed_t speed_of(uint32_t baud) {
  for (size_t index = 0; index < sizeof RATES / sizeof RATES[0]; index++) {
    if (RATES[index].baud == baud) return RATES[index].speed;
  }
  return B0;
}

bool lb_board_supports_rate(uint32_t baud) { return is_pty && speed_of(baud) != B0; }
void lb_board_set_rate(uint32_t baud) { rate = baud == 0 ? B115200 : speed_of(baud); }

static void garble(uint8_t* bytes, uint32_t count) {
  struct termios settings;
  if (!is_pty || tcgetattr(peers[0].in, &settings) != 0 || cfgetospeed(&settings) == rate) return;
  for (uint32_t index = 0; index < count; index++) bytes[index] ^= 0x55;
}

/* ---- Sending ---- */

/* Bytes at the start of `bytes` that are whole frames and fit into a datagram; at least one frame. */
static uint32_t datagram_bytes(const Peer* peer) {
  uint32_t end = 0;
  for (uint32_t index = 0; index < peer->out_count; index++) {
    if (peer->out_bytes[index] != 0) continue;
    if (end != 0 && index + 1 > DATAGRAM_MAX) break;
    end = index + 1;
  }
  return end;
}

static void flush_peer(int index) {
  Peer* peer = &peers[index];
  while (peer->is_open && peer->out_count > 0) {
    const uint32_t count = is_udp ? datagram_bytes(peer) : peer->out_count;
    if (count == 0) return;
    ssize_t sent;
    if (is_udp) sent = sendto(peer->out, peer->out_bytes, count, MSG_DONTWAIT, (struct sockaddr*)&peer->address, sizeof peer->address);
    else sent = write(peer->out, peer->out_bytes, count);
    if (sent < 0 && (errno == EAGAIN || errno == EINTR)) return;
    if (sent < 0 && is_udp) sent = count; /* nobody is there: the datagram is lost */
    if (sent <= 0) {
      close_peer(index);
      return;
    }
    peer->out_count -= (uint32_t)sent;
    memmove(peer->out_bytes, peer->out_bytes + sent, peer->out_count);
  }
}

static void flush_all(void) {
  for (int index = 0; index < PEERS; index++) flush_peer(index);
}

static int index_of(LbReceiver to) { return to == LB_TO_SENDER ? sender : host; }

/* Frames for nobody are as good as sent; the journal keeps its entries until there is somebody. */
uint32_t lb_board_send_room(LbReceiver to) { return index_of(to) == NOBODY ? 0 : OUT_BYTES - peers[index_of(to)].out_count; }

bool lb_board_is_sent(void) {
  flush_all();
  return host == NOBODY || peers[host].out_count == 0;
}

void lb_board_send(const uint8_t* bytes, uint32_t count, LbReceiver to) {
  const int index = index_of(to);
  if (index == NOBODY) return;
  Peer* peer = &peers[index];
  while (peer->is_open && peer->out_count + count > OUT_BYTES) {
    flush_peer(index);
    struct pollfd out = {.fd = peer->out, .events = POLLOUT};
    if (peer->out_count + count > OUT_BYTES) poll(&out, 1, 100);
  }
  memcpy(peer->out_bytes + peer->out_count, bytes, count);
  garble(peer->out_bytes + peer->out_count, count);
  peer->out_count += count;
}

/* ---- Receiving ---- */

static void note_received(Peer* peer, uint32_t count) {
  garble(peer->in_bytes + peer->in_count, count);
  peer->in_count += count;
  for (uint32_t index = peer->in_count; index > peer->complete; index--) {
    if (peer->in_bytes[index - 1] != 0) continue;
    peer->complete = index;
    break;
  }
  /* Whatever fills all of it without an end is noise. */
  if (peer->in_count == IN_BYTES && peer->complete == 0) peer->in_count = 0;
}

static void receive_datagrams(void) {
  uint8_t bytes[IN_BYTES];
  struct sockaddr_in address;
  for (;;) {
    socklen_t size = sizeof address;
    const ssize_t count = recvfrom(listening, bytes, sizeof bytes, MSG_DONTWAIT, (struct sockaddr*)&address, &size);
    if (count <= 0) return;
    Peer* peer = &peers[peer_at(&address)];
    if (peer->in_count + (uint32_t)count > IN_BYTES) continue;
    memcpy(peer->in_bytes + peer->in_count, bytes, (size_t)count);
    note_received(peer, (uint32_t)count);
  }
}

static void receive_stream(int index) {
  Peer* peer = &peers[index];
  const uint32_t room = IN_BYTES - peer->in_count;
  if (room == 0) return;
  const ssize_t count = read(peer->in, peer->in_bytes + peer->in_count, room);
  if (count < 0 && (errno == EAGAIN || errno == EINTR)) return;
  if (count < 0 && is_pty && errno == EIO) return; /* nobody has the terminal open */
  if (count <= 0) close_peer(index);
  else note_received(peer, (uint32_t)count);
}

/* Waits until something arrives, or for so long; takes what has arrived. */
static void take_received(uint64_t wait_ns) {
  struct pollfd polled[PEERS + 1];
  int who[PEERS + 1];
  nfds_t count = 0;
  if (is_network()) {
    who[count] = NOBODY;
    polled[count++] = (struct pollfd){.fd = listening, .events = POLLIN};
  }
  for (int index = 0; !is_udp && index < PEERS; index++) {
    if (!peers[index].is_open) continue;
    who[count] = index;
    polled[count++] = (struct pollfd){.fd = peers[index].in, .events = POLLIN};
  }
  const struct timespec wait = {.tv_nsec = (long)wait_ns};
  if (ppoll(polled, count, &wait, 0) <= 0) return;
  bool is_hung_up = false;
  for (nfds_t index = 0; index < count; index++) {
    if (polled[index].revents == 0) continue;
    if (is_pty && (polled[index].revents & POLLIN) == 0) is_hung_up = true;
    else if (who[index] != NOBODY) receive_stream(who[index]);
    else if (is_udp) receive_datagrams();
    else accept_connection();
  }
  /* A terminal that nobody has open is always ready. */
  if (is_hung_up && wait_ns > 0) nanosleep(&wait, 0);
}

/* Passes on whole frames of one sender after another, so that those of several do not mix. */
uint32_t lb_board_receive(uint8_t* bytes, uint32_t max) {
  take_received(0);
  for (int index = 0; index < PEERS; index++) {
    Peer* peer = &peers[index];
    const bool is_other_in_work = sender != NOBODY && sender != index && peers[sender].is_open && peers[sender].delivered < peers[sender].complete;
    if (!peer->is_open || peer->delivered >= peer->complete || is_other_in_work) continue;
    sender = index;
    uint32_t count = peer->complete - peer->delivered;
    if (count > max) count = max;
    memcpy(bytes, peer->in_bytes + peer->delivered, count);
    peer->delivered += count;
    if (peer->delivered == peer->complete) {
      peer->in_count -= peer->complete;
      memmove(peer->in_bytes, peer->in_bytes + peer->complete, peer->in_count);
      peer->delivered = peer->complete = 0;
    }
    return count;
  }
  return 0;
}

uint32_t lb_board_receive_room(void) { return IN_BYTES; }
void lb_board_take_host(void) { host = sender; }
bool lb_board_is_from_host(void) { return host == NOBODY || host == sender; }

void lb_board_idle(void) {
  flush_all();
  take_received(TICK_NS - now_ns() % TICK_NS);
}

/* ---- Start and restart ---- */

/* Starts over, as a chip does after a reset: connections are lost, the address remains. */
void lb_board_restart(uint32_t cause, uint32_t reason) {
  flush_all();
  char cause_text[12], reason_text[12];
  snprintf(cause_text, sizeof cause_text, "%u", cause);
  snprintf(reason_text, sizeof reason_text, "%u", reason);
  char* words[] = {start.program, "--started", cause_text, reason_text, start.transport, start.address, 0};
  execv(start.program, words);
  abort();
}

uint32_t lb_board_start_cause(uint32_t* reason) {
  *reason = start.reason;
  return start.cause;
}

/* The host at the other end of the link simulates the machine: it sends the inputs, and the journal reports the coils. */
void lb_board_read_inputs(LbBankInput* bank, LbRowInput* rows, uint32_t count) {}
void lb_board_drive_coils(uint32_t row, uint8_t supply_order, uint8_t return_order) {}
/* A program has no interrupt that could end a stroke for it. */
bool lb_board_take_capped(uint32_t* row, uint8_t* supply_order, uint8_t* return_order) { return false; }
bool lb_board_is_power_failing(void) { return lb_link_is_injected(LB_INJECT_POWER_FAILING); }

static void announce(const char* text) {
  if (start.cause != LB_START_POWER || start.reason != 0) return;
  printf("%s\n", text);
  fflush(stdout);
}

static void open_network(uint32_t port) {
  const int type = (is_udp ? SOCK_DGRAM : SOCK_STREAM) | SOCK_CLOEXEC | SOCK_NONBLOCK;
  struct sockaddr_in address = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
  socklen_t size = sizeof address;
  listening = socket(AF_INET, type, 0);
  if (listening < 0) fail("socket");
  setsockopt(listening, SOL_SOCKET, SO_REUSEADDR, &(int){1}, sizeof(int));
  if (bind(listening, (struct sockaddr*)&address, size) != 0 || (!is_udp && listen(listening, PEERS) != 0)) fail("127.0.0.1");
  getsockname(listening, (struct sockaddr*)&address, &size);
  snprintf(start.address, sizeof start.address, "%u", ntohs(address.sin_port));
  char text[32];
  snprintf(text, sizeof text, "127.0.0.1:%s", start.address);
  announce(text);
}

/* After a restart the terminal is still open. */
static void open_terminal(int master) {
  is_pty = true;
  if (master < 0) {
    master = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
    if (master < 0 || grantpt(master) != 0 || unlockpt(master) != 0) fail("pty");
    struct termios settings;
    tcgetattr(master, &settings);
    cfmakeraw(&settings);
    cfsetspeed(&settings, B115200);
    tcsetattr(master, TCSANOW, &settings);
    announce(ptsname(master));
  }
  snprintf(start.address, sizeof start.address, "%d", master);
  host = open_peer(master, master);
}

static void open_link(const char* address) {
  is_udp = start.transport != 0 && strcmp(start.transport, "--udp") == 0;
  if (start.transport == 0) {
    fcntl(STDOUT_FILENO, F_SETFL, fcntl(STDOUT_FILENO, F_GETFL) | O_NONBLOCK);
    host = open_peer(STDIN_FILENO, STDOUT_FILENO);
  } else if (strcmp(start.transport, "--pty") == 0) {
    open_terminal(address == 0 ? -1 : atoi(address));
  } else if ((is_udp || strcmp(start.transport, "--tcp") == 0) && address != 0) {
    open_network((uint32_t)atoi(address));
  } else {
    fprintf(stderr, "%s: only --tcp PORT, --udp PORT or --pty\n", start.program);
    exit(2);
  }
  if (!is_network()) sender = host;
}

int main(int count, char** words) {
  start.program = words[0];
  int word = 1;
  if (word + 3 <= count && strcmp(words[word], "--started") == 0) {
    start.cause = (uint32_t)atoi(words[word + 1]);
    start.reason = (uint32_t)atoi(words[word + 2]);
    word += 3;
  }
  start.transport = word < count ? words[word] : 0;
  open_link(word + 1 < count ? words[word + 1] : 0);
  prctl(PR_SET_TIMERSLACK, 1);
  lb_firmware_run();
}
