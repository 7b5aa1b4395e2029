import { InputError } from '../common/input-error.js';

/** What a flag needs, or excludes: otherwise it would have no effect. */
export interface FlagRule<Flags> {
  readonly flag: keyof Flags & string;
  readonly needs?: keyof Flags & string;
  readonly excludes?: keyof Flags & string;
  /** The reason, as it follows a colon, if it is not obvious. */
  readonly why?: string;
  readonly hint?: string;
}

/** Of commands that write no pictures. */
export const UNITS_RULE = { flag: 'units', excludes: 'json', why: 'the names in the document end in their units' } as const;
export const METRIC_RULE = { flag: 'metric', excludes: 'json', why: 'the document has all metrics' } as const;

/** `baseParameters` → `--base-parameters`. */
export const flagName = (flag: string): string => `--${flag.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;

/** @throws InputError at the first flag that is given without what it needs, or with what it excludes */
export function checkFlags<Flags extends object>(flags: Flags, rules: readonly FlagRule<Flags>[]): void {
  const isGiven = (flag: keyof Flags): boolean => flags[flag] !== undefined && flags[flag] !== false;
  for (const { flag, needs, excludes, why, hint } of rules) {
    if (!isGiven(flag)) continue;
    const because = why === undefined ? '' : `: ${why}`;
    const file = flagName(flag);
    if (needs !== undefined && !isGiven(needs)) throw new InputError({ file, problem: `needs ${flagName(needs)}${because}`, hint });
    if (excludes !== undefined && isGiven(excludes))
      throw new InputError({ file, problem: `cannot be combined with ${flagName(excludes)}${because}`, hint });
  }
}
