/** The value of a flag, an integer. @throws Error that names the flag and what it may be */
export function integerFlag(flag: string, text: string, min: number, max: number): number {
  const value = Number(text);
  if (/^\d+$/.test(text) && value >= min && value <= max) return value;
  throw new Error(`--${flag} is "${text}"; it must be an integer between ${min} and ${max}`);
}
