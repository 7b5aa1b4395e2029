// The library in C++, with parameters that an older build has stored: they are moved by name.
#include "bank.h"

#include <cstdio>
#include <cstdlib>
#include <cstring>

void lb_trap(uint32_t reason) { std::exit(static_cast<int>(reason)); }

namespace {

// The older build's table and the bytes that it stored. Three of its parameters stand for all: one of today, one that no longer
// exists, one with a value that is no longer allowed.
#define OLDER_PARAMETERS(X)                \
  X(1, deadbandMinN, float, 0, 1000, 18)   \
  X(2, removedMs, float, 0, 1000, 5)       \
  X(3, tickHz, uint32_t, 1, 100000, 1000)

LbStoredParameter stored[] = {OLDER_PARAMETERS(LB_STORED_PARAMETER)};

uint32_t word_of(float value) {
  uint32_t word = 0;
  std::memcpy(&word, &value, sizeof word);
  return word;
}

}  // namespace

int main() {
  stored[0].word = word_of(44.0f);
  stored[1].word = word_of(7.0f);
  stored[2].word = 50000;
  const uint32_t lost = lb_move_parameters(stored, sizeof stored / sizeof stored[0]);
  if (lb_check_arithmetic() != 0 || lb_configure(EXAMPLE_ROWS) != 0) return 1;
  std::printf("lost %u deadbandMinN %.0f tickHz %u\n", static_cast<unsigned>(lost), static_cast<double>(lb_parameters()->deadbandMinN),
              static_cast<unsigned>(lb_parameters()->tickHz));
  return 0;
}
