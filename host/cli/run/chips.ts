import { requireTools } from '../../chip/build.js';
import { CHIP_NAMES, CHIPS, type Chip, chipOf, installCommand, missingTools } from '../../chip/chips.js';
import { InputError } from '../../common/input-error.js';
import type { Job } from '../context.js';

/** Splits compiler flags that are given as one text. */
export const splitFlags = (flags: string | undefined): string[] => (flags ?? '').split(/\s+/).filter((word) => word !== '');

/** Returns the chips named in a list with commas, or all. @throws InputError for an unknown name */
export function requestedChips(names: string | undefined): readonly Chip[] {
  if (names === undefined) return CHIPS;
  return names.split(',').map((name) => {
    if (!CHIP_NAMES.some((one) => one === name))
      throw new InputError({ file: '--chip', problem: `${JSON.stringify(name)} is not a chip`, value: name, allowed: CHIP_NAMES });
    return chipOf(name);
  });
}

/**
 * Returns the requested chips; without names, those whose tools are installed, with a note on each of the others.
 * @throws InputError when a tool of a named chip is missing, or of all chips
 */
export function availableChips({ note }: Job, names: string | undefined): readonly Chip[] {
  const chips = requestedChips(names);
  if (names !== undefined) for (const chip of chips) requireTools(chip);
  const missing = chips.filter((chip) => missingTools(chip).length > 0);
  for (const chip of missing) note(`NOT RUN: ${chip.name}: ${missingTools(chip).join(' and ')} not installed (${installCommand([chip])})`);
  const available = chips.filter((chip) => !missing.includes(chip));
  const [first] = chips;
  if (available.length === 0 && first !== undefined) requireTools(first);
  return available;
}
