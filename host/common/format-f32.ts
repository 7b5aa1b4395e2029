const SMALLEST_NORMAL = 2 ** -126;

/**
 * Returns the shortest decimal number that reads back as the same 32-bit value. Six digits include all shorter forms, and
 * nine are always enough (IEEE 754-2019, §5.12.2); subnormal numbers have fewer significant digits.
 */
export function formatF32(value: number): string {
  if (Object.is(value, -0)) return '-0';
  if (!Number.isFinite(value)) return String(value);
  for (let digits = Math.abs(value) < SMALLEST_NORMAL ? 1 : 6; digits < 9; digits++) {
    const short = Number(value.toPrecision(digits));
    if (Math.fround(short) === value) return String(short);
  }
  return String(Number(value.toPrecision(9)));
}
