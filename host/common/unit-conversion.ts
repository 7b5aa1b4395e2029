import { type Display, UNITS, type Unit, type UnitName } from '../../shared/units.js';

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

/** Everything that a unit may be called in a file: its name, its symbol, and the symbols that it is displayed with. */
const UNIT_WORDS: ReadonlyMap<string, ToSi> = new Map(
  ALL.flatMap(([name, { symbol, si, siFactor, siOffset = 0, metric, customary }]) => {
    const toSi = { si, factor: siFactor, offset: siOffset };
    const displays = [metric, customary].filter((display) => display !== undefined);
    const words: [string, ToSi][] = [[name, toSi]];
    if (symbol !== '') words.push([symbol, toSi]);
    for (const { symbol: displayed, factor, offset = 0 } of displays as Display[])
      words.push([displayed, { si, factor: siFactor / factor, offset: siOffset - (siFactor * offset) / factor }]);
    return words;
  }),
);

/** Returns the conversion from the unit called `word` to `unit`; undefined if there is no such unit or it is of another quantity. */
export function findConversion(word: string, unit: UnitName): Conversion | undefined {
  const from = UNIT_WORDS.get(word);
  const to = UNIT_WORDS.get(unit);
  if (from === undefined || to === undefined || from.si !== to.si) return undefined;
  return { gain: from.factor / to.factor, bias: (from.offset - to.offset) / to.factor };
}

/** Returns what all units that convert to `unit` may be called. */
export function convertibleUnits(unit: UnitName): string[] {
  const si = UNIT_WORDS.get(unit)?.si;
  return [...UNIT_WORDS].filter(([, one]) => one.si === si).map(([word]) => word);
}

/** Returns their symbols alone, for errors: "m/s", not "metrePerSecond". */
export const convertibleSymbols = (unit: UnitName): string[] =>
  convertibleUnits(unit).filter((word) => !(word in UNITS) || UNITS[word as UnitName].symbol === word);

/** Returns the conversion that does `first`, then `second`. */
export const combine = (first: Conversion, second: Conversion): Conversion => ({
  gain: first.gain * second.gain,
  bias: first.bias * second.gain + second.bias,
});
