import { type Context, text } from './answer.js';

/** Row counts for which a build is of use. */
export function rowCount(value: string): number {
  const rows = Number(value);
  if (!/^\d{1,2}$/.test(value) || rows < 1 || rows > 48) throw new Error(`${value} is no number of rows from 1 to 48`);
  return rows;
}

export const chipsFlag = {
  kind: 'parsed',
  parse: text,
  brief: 'native, cortex-m4f, cortex-m0plus, rv32imafc; several with commas between',
  optional: true,
  placeholder: 'names',
} as const;

/** Words for the compiler, as one text with blanks between them. */
export const compilerFlag = {
  kind: 'parsed',
  parse: text,
  brief: 'More flags for the compiler, such as "-ffp-contract=fast"',
  optional: true,
  placeholder: 'flags',
} as const;

export const wordsOf = (flags: string | undefined): string[] => (flags ?? '').split(/\s+/).filter((word) => word !== '');

/** The chips that are asked for. @throws InputError for a name that is none */
export async function askedChips(names: string | undefined) {
  const [{ CHIPS, CHIP_NAMES, chipOf }, { InputError }] = await Promise.all([
    import('../chip/chips.js'),
    import('../common/input-error.js'),
  ]);
  if (names === undefined) return CHIPS;
  return names.split(',').map((name) => {
    if (!CHIP_NAMES.some((one) => one === name)) {
      throw new InputError({ file: '--chip', what: 'no chip', value: name, allowed: CHIP_NAMES.join(', ') });
    }
    return chipOf(name);
  });
}

/**
 * Those of the chips whose tools are installed, where none was asked for by name; says what is left out.
 * @throws InputError when one that was asked for is missing, or all are
 */
export async function availableChips(context: Context, names: string | undefined) {
  const [{ installCommand, missingTools }, { requireTools }] = await Promise.all([import('../chip/chips.js'), import('../chip/build.js')]);
  const chips = await askedChips(names);
  if (names !== undefined) for (const chip of chips) requireTools(chip);
  const missing = chips.filter((chip) => missingTools(chip).length > 0);
  for (const chip of missing) {
    context.process.stderr.write(`NOT RUN: ${chip.name}: ${missingTools(chip).join(' and ')} not installed (${installCommand([chip])})\n`);
  }
  const available = chips.filter((chip) => !missing.includes(chip));
  const [first] = chips;
  if (available.length === 0 && first !== undefined) requireTools(first);
  return available;
}
