/* The operations of WebAssembly 1.0 that the translated controller uses, on a memory of fixed size.
 *
 * wasm2c writes each instruction as a call of one of these. They replace the ones at the head of its output, whose memory is
 * mapped and grown by an operating system. Here memory is one static array that holds the records and nothing else; each access
 * is checked against its end. Source: WebAssembly Core Specification 1.0, section 4.3 (numerics), 4.4.7 (memory).
 *
 * An address that is not a multiple of the access's size is legal in WebAssembly, but the controller's compiler never emits one.
 * On the chip such an access works or raises a hardware fault.
 */
#ifndef LB_WASM_OPS_H
#define LB_WASM_OPS_H

#include <stdint.h>

#include "latchbench-chip.h"

typedef uint8_t u8;
typedef uint16_t u16;
typedef uint32_t u32;
typedef int32_t s32;
typedef uint64_t u64;
typedef float f32;

#define LIKELY(x) __builtin_expect(!!(x), 1)
#define UNLIKELY(x) __builtin_expect(!!(x), 0)
#define TRAP(reason) (lb_trap(LB_TRAP_##reason), 0)
#define UNREACHABLE lb_trap(LB_TRAP_UNREACHABLE)

/* The stack depth is proven from the machine code before an image is accepted, so it need not be counted at run time. */
#define FUNC_PROLOGUE
#define FUNC_EPILOGUE

/* `at` is the address operand, `offset` the constant in the instruction. They are not added, since the sum may wrap; the
 * difference may not wrap either, which costs nothing to check for a constant.
 *
 * Offsets are rounded up to steps of LB_GUARD_BYTES, and as many bytes after the records stay unused. So everything that passes
 * the check lies inside the array, everything inside the records passes, and all fields of a record share one check, of which
 * the compiler keeps a single copy. WebAssembly itself would trap only at the end of its page. The element is accessed through an
 * array of its type so that the constant ends up in the instruction's own offset. */
#define LB_ROUNDED(bytes) (((bytes) + LB_GUARD_BYTES - 1) / LB_GUARD_BYTES * LB_GUARD_BYTES)
#define CHECK_ACCESS(type)                                                                    \
  if (offset > LB_RECORDS_END - sizeof(type) ||                                               \
      UNLIKELY(at > LB_RECORDS_END + LB_GUARD_BYTES - 1 - LB_ROUNDED(offset + sizeof(type)))) \
    lb_trap(LB_TRAP_OUT_OF_BOUNDS)
#define INLINE static inline __attribute__((always_inline))
#define DEFINE_LOAD(name, type, result)                                                       \
  INLINE result name(u32 at, u32 offset) {                                                    \
    typedef type __attribute__((may_alias)) aliased;                                          \
    typedef aliased elements[];                                                               \
    CHECK_ACCESS(type);                                                                       \
    return (result)(*(const elements*)(lb_memory + at))[offset / sizeof(type)];               \
  }
#define DEFINE_STORE(name, type, argument)                                                    \
  INLINE void name(u32 at, u32 offset, argument value) {                                      \
    typedef type __attribute__((may_alias)) aliased;                                          \
    typedef aliased elements[];                                                               \
    CHECK_ACCESS(type);                                                                       \
    (*(elements*)(lb_memory + at))[offset / sizeof(type)] = (type)value;                      \
  }
DEFINE_LOAD(i32_load, u32, u32)
DEFINE_LOAD(f32_load, f32, f32)
DEFINE_LOAD(i32_load8_u, u8, u32)
DEFINE_LOAD(i32_load16_u, u16, u32)
DEFINE_STORE(i32_store, u32, u32)
DEFINE_STORE(f32_store, f32, f32)
DEFINE_STORE(i32_store8, u8, u32)
DEFINE_STORE(i32_store16, u16, u32)

#define I32_CLZ(x) ((x) ? (u32)__builtin_clz(x) : 32u)
#define I32_CTZ(x) ((x) ? (u32)__builtin_ctz(x) : 32u)
#define DIV_U(x, y) (UNLIKELY((y) == 0) ? (u32)TRAP(DIVIDE_BY_ZERO) : (x) / (y))
#define REM_U(x, y) (UNLIKELY((y) == 0) ? (u32)TRAP(DIVIDE_BY_ZERO) : (x) % (y))

/* NaN and values out of range trap. The limits are the nearest f32 values outside the range. */
static inline u32 lb_truncate_unsigned(f32 x) {
  if (UNLIKELY(!(x > -1.0f && x < 4294967296.0f))) return (u32)TRAP(CONVERSION);
  return (u32)x;
}
static inline u32 lb_truncate_signed(f32 x) {
  if (UNLIKELY(!(x >= -2147483648.0f && x < 2147483648.0f))) return (u32)TRAP(CONVERSION);
  return (u32)(s32)x;
}
#define I32_TRUNC_U_F32(x) lb_truncate_unsigned(x)
#define I32_TRUNC_S_F32(x) lb_truncate_signed(x)

/* min and max return NaN if either operand is NaN, and order -0 below 0. Both cases are rare and kept out of line. */
static LB_CODE_SECTION __attribute__((noinline)) f32 lb_min_rare(f32 x, f32 y) {
  if (x != x || y != y) return x + y;
  return __builtin_signbit(x) ? x : y;
}
static LB_CODE_SECTION __attribute__((noinline)) f32 lb_max_rare(f32 x, f32 y) {
  if (x != x || y != y) return x + y;
  return __builtin_signbit(x) ? y : x;
}
static LB_CODE_SECTION inline f32 lb_min(f32 x, f32 y) {
  if (LIKELY(x < y)) return x;
  return LIKELY(y < x) ? y : lb_min_rare(x, y);
}
static LB_CODE_SECTION inline f32 lb_max(f32 x, f32 y) {
  if (LIKELY(x > y)) return x;
  return LIKELY(y > x) ? y : lb_max_rare(x, y);
}
#define FMIN(x, y) lb_min(x, y)
#define FMAX(x, y) lb_max(x, y)

/* Rounds ties to even, in f32: below 2^23 a sum with 2^23 has no bits left for a fraction, and larger values have none. */
static inline f32 wasm_nearbyintf(f32 x) {
  const f32 no_fraction = 8388608.0f;
  const f32 size = __builtin_fabsf(x);
  if (!(size < no_fraction)) return x + 0.0f;
  const f32 rounded = size + no_fraction;
  return __builtin_copysignf(rounded - no_fraction, x);
}
static inline f32 wasm_ceilf(f32 x) {
  const f32 near = wasm_nearbyintf(x);
  return near < x ? __builtin_copysignf(near + 1.0f, x) : near;
}
static inline f32 wasm_floorf(f32 x) {
  const f32 near = wasm_nearbyintf(x);
  return near > x ? near - 1.0f : near;
}
#define wasm_fabsf(x) __builtin_fabsf(x)
/* Correctly rounded on every chip, as an instruction or by the C library. */
#define wasm_sqrtf(x) __builtin_sqrtf(x)

static inline f32 f32_reinterpret_i32(u32 bits) {
  f32 value;
  __builtin_memcpy(&value, &bits, sizeof value);
  return value;
}
static inline u32 i32_reinterpret_f32(f32 value) {
  u32 bits;
  __builtin_memcpy(&bits, &value, sizeof bits);
  return bits;
}

#endif
