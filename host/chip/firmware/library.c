/* What the library adds to the translated controller: defaults, hashes, and a check of the arithmetic. */
#include "latchbench-chip.h"

#include <stdbool.h>

void lb_default_parameters(void) {
  LbParameters* p = lb_parameters();
#define SET_DEFAULT(number, name, type, min, max, value) p->name = (type)value;
  LB_PARAMETERS(SET_DEFAULT)
#undef SET_DEFAULT
}

/* No C library: this is the only use of strings. */
static bool is_same(const char* one, const char* other) {
  while (*one == *other && *one != 0) one++, other++;
  return *one == *other;
}

static const LbStoredParameter* find_stored(const char* name, uint32_t is_float, const LbStoredParameter* stored, uint32_t count) {
  for (uint32_t index = 0; index < count; index++)
    if (stored[index].isFloat == is_float && is_same(stored[index].name, name)) return &stored[index];
  return 0;
}

/* Whether the word, as what it is, is inside the limits. The comparison fails for NaN. */
static bool is_inside(uint32_t word, uint32_t is_float, float min, float max) {
  float value = (float)word;
  if (is_float) __builtin_memcpy(&value, &word, sizeof value);
  return value >= min && value <= max;
}

uint32_t lb_move_parameters(const LbStoredParameter* stored, uint32_t count) {
  static const struct {
    const char* name;
    uint32_t is_float;
    float min, max;
  } PRESENT[] = {
#define PRESENT_PARAMETER(number, name, type, min, max, value) {#name, (type)0.5f != 0, (float)min, (float)max},
      LB_PARAMETERS(PRESENT_PARAMETER)
#undef PRESENT_PARAMETER
  };
  uint32_t taken = 0;
  lb_default_parameters();
  /* Every parameter is a word, in the order of its number. */
  for (uint32_t index = 0; index < sizeof PRESENT / sizeof PRESENT[0]; index++) {
    const LbStoredParameter* found = find_stored(PRESENT[index].name, PRESENT[index].is_float, stored, count);
    if (found == 0 || !is_inside(found->word, found->isFloat, PRESENT[index].min, PRESENT[index].max)) continue;
    __builtin_memcpy(lb_memory + LB_PARAMETERS_AT + 4 * index, &found->word, 4);
    taken++;
  }
  return count - taken;
}

/* Works on four bits at a time: a table of 64 bytes, about ten instructions per byte. */
uint32_t lb_crc32(const uint8_t* bytes, uint32_t count, uint32_t before) {
  static const uint32_t TABLE[16] = {
      0x00000000, 0x1db71064, 0x3b6e20c8, 0x26d930ac, 0x76dc4190, 0x6b6b51f4, 0x4db26158, 0x5005713c,
      0xedb88320, 0xf00f9344, 0xd6d6a3e8, 0xcb61b38c, 0x9b64c2b0, 0x86d3d2d4, 0xa00ae278, 0xbdbdf21c,
  };
  uint32_t crc = ~before;
  for (uint32_t index = 0; index < count; index++) {
    crc ^= bytes[index];
    crc = (crc >> 4) ^ TABLE[crc & 15];
    crc = (crc >> 4) ^ TABLE[crc & 15];
  }
  return ~crc;
}

uint32_t lb_state_hash(uint32_t rows) {
  uint32_t hash = 0;
#define ADD_PIECE(at, fixed, each) hash = lb_crc32(lb_memory + (at), (fixed) + (each) * rows, hash);
  LB_HASHED_PIECES(ADD_PIECE)
#undef ADD_PIECE
  return hash;
}

/* Pieces start at word boundaries; the padding of the last word is 0. */
static uint32_t chain_words(uint32_t at, uint32_t bytes, uint32_t chain) {
  typedef uint32_t __attribute__((may_alias)) aliased;
  const aliased* word = (const aliased*)(const void*)(lb_memory + at);
  for (const aliased* const end = word + (bytes + 3) / 4; word < end; word++) chain = ((chain << 5 | chain >> 27) ^ *word) * 0x9e3779b1u;
  return chain;
}

uint32_t lb_state_chain(uint32_t rows, uint32_t before) {
  uint32_t chain = before;
#define ADD_PIECE(at, fixed, each) chain = chain_words(at, (fixed) + (each) * rows, chain);
  LB_HASHED_PIECES(ADD_PIECE)
#undef ADD_PIECE
  return chain;
}

/* Operands are volatile, so that this processor does the arithmetic and not the compiler. Values: 1 + 2^-12 squared is
 * 1 + 2^-11 + 2^-24, which f32 rounds to 1 + 2^-11, so the difference is 0 unless the product was kept exact. */
uint32_t lb_check_arithmetic(void) {
  volatile float a = 1.000244140625f, c = 1.00048828125f, smallest = 1.1754943508e-38f, half = 0.5f, zero = 0.0f, one = 1.0f;
  volatile float tie = 16777216.0f, large = 3.0e38f;
  float x = a, y = c;
  if (x * x - y != 0.0f) return LB_ARITHMETIC_FUSED;
  volatile float subnormal = smallest * half;
  if (subnormal == 0.0f || subnormal / half != smallest) return LB_ARITHMETIC_FLUSHED;
  volatile float nan = zero / zero;
  volatile float propagated = nan + one;
  if (nan == nan || nan < one || nan > one || propagated == propagated) return LB_ARITHMETIC_NAN;
  volatile float even = tie + one, up = tie + 3.0f * one;
  if (even != 16777216.0f || up != 16777220.0f) return LB_ARITHMETIC_ROUNDING;
  float wide = large;
  volatile float restored = wide * 2.0f * half;
  return restored == large ? LB_ARITHMETIC_WIDER : 0;
}
