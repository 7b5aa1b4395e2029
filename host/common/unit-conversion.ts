import { type Display, UNITS, type Unit, type UnitName } from '../../shared/units.js';
import { SPELLED_UNITS } from './unit-spellings.js';

/** value in the other unit = value · gain + bias. */
export interface Conversion {
  readonly gain: number;
  readonly bias: number;
}

/** value in the SI base unit = value · factor + offset. */
interface ToSi {
  readonly si: string;
  readonly factor: number;
  readonly offset: number;
}

const ALL: readonly (readonly [string, Unit])[] = Object.entries(UNITS);

/** Everything that a unit may be called in a file: its name, its symbol, the symbols that it is displayed with, and other spellings. */
const UNIT_WORDS: ReadonlyMap<string, ToSi> = new Map([
  ...SPELLED_UNITS.flatMap(({ si, factor, offset = 0, words }) => words.map((word): [string, ToSi] => [word, { si, factor, offset }])),
  ...ALL.flatMap(([name, { symbol, si, siFactor, siOffset = 0, metric, customary }]) => {
    const toSi = { si, factor: siFactor, offset: siOffset };
    const displays = [metric, customary].filter((display) => display !== undefined);
    const words: [string, ToSi][] = [[name, toSi]];
    if (symbol !== '') words.push([symbol, toSi]);
    for (const { symbol: displayed, factor, offset = 0 } of displays as Display[])
      words.push([displayed, { si, factor: siFactor / factor, offset: siOffset - (siFactor * offset) / factor }]);
    return words;
  }),
]);

/** Units in which m and M are different prefixes: milli and mega. */
const PREFIXED = /^m(pa|bar|v|a|n|s|w|j)$/i;

/**
 * A unit as logs spell it: without spaces and signs of multiplication, letters in lower case, exponents as digits. Only where the
 * first letter decides between milli and mega does its case stay.
 */
function plainSpelling(word: string): string {
  const text = word
    .normalize('NFKC')
    .replaceAll(/[\s·*^]/g, '')
    .replaceAll(/deg(rees?)?/gi, '°')
    .replaceAll('μ', 'u');
  return PREFIXED.test(text) ? text.charAt(0) + text.slice(1).toLowerCase() : text.toLowerCase();
}

const SPELLINGS = new Map<string, ToSi[]>();
for (const [word, toSi] of UNIT_WORDS) {
  const spelling = plainSpelling(word);
  SPELLINGS.set(spelling, [...(SPELLINGS.get(spelling) ?? []), toSi]);
}

/**
 * Returns the conversion from the unit called `word` to `unit`; undefined if there is no such unit or it is of another quantity. The
 * quantity decides between kN and kn, so the case of letters matters only where m and M are different prefixes.
 */
export function findConversion(word: string, unit: UnitName): Conversion | undefined {
  const to = UNIT_WORDS.get(unit);
  const exact = UNIT_WORDS.get(word);
  const from = exact?.si === to?.si ? exact : SPELLINGS.get(plainSpelling(word))?.find(({ si }) => si === to?.si);
  if (from === undefined || to === undefined) return undefined;
  return { gain: from.factor / to.factor, bias: (from.offset - to.offset) / to.factor };
}

/** Tells whether some unit is called so. */
export const isUnit = (word: string): boolean => SPELLINGS.has(plainSpelling(word));

/** Returns what all units that convert to `unit` may be called. */
export function convertibleUnits(unit: UnitName): string[] {
  const si = UNIT_WORDS.get(unit)?.si;
  return [...UNIT_WORDS].filter(([, one]) => one.si === si).map(([word]) => word);
}

/** Returns one symbol for each of them, for errors: "m/s", not "metrePerSecond" or "mps". */
export function convertibleSymbols(unit: UnitName): string[] {
  const si = UNIT_WORDS.get(unit)?.si;
  const ours = ALL.filter(([, one]) => one.si === si).flatMap(([, { symbol, metric, customary }]) => [
    symbol,
    ...[metric, customary].filter((display) => display !== undefined).map((display) => display.symbol),
  ]);
  const others = SPELLED_UNITS.filter((one) => one.si === si).map(({ words }) => words[0]);
  return [...new Set([...ours, ...others])].filter((symbol) => symbol !== '');
}

/** Returns the conversion that does `first`, then `second`. */
export const combine = (first: Conversion, second: Conversion): Conversion => ({
  gain: first.gain * second.gain,
  bias: first.bias * second.gain + second.bias,
});
