import { type Display, UNITS, type Unit, type UnitName } from '../../shared/units.js';

/** A straight line from a value in a unit to the SI base unit: si = value · factor + offset. */
interface ToSi {
  readonly si: string;
  readonly factor: number;
  readonly offset: number;
}

/** value in the other unit = value · gain + bias. */
export interface Line {
  readonly gain: number;
  readonly bias: number;
}

const ALL: readonly (readonly [string, Unit])[] = Object.entries(UNITS);

/** Every word for a unit that a person may write: its name, its symbol, and the symbols it is shown with. */
const WORDS: ReadonlyMap<string, ToSi> = new Map(
  ALL.flatMap(([name, { symbol, si, siFactor, siOffset = 0, metric, customary }]) => {
    const own = { si, factor: siFactor, offset: siOffset };
    const shown = [metric, customary].filter((display) => display !== undefined);
    const words: [string, ToSi][] = [[name, own]];
    if (symbol !== '') words.push([symbol, own]);
    for (const { symbol: shownAs, factor, offset = 0 } of shown as Display[])
      words.push([shownAs, { si, factor: siFactor / factor, offset: siOffset - (siFactor * offset) / factor }]);
    return words;
  }),
);

/** The line from `word` to `unit`; undefined when there is no such unit or it measures something else. */
export function lineBetween(word: string, unit: UnitName): Line | undefined {
  const from = WORDS.get(word);
  const to = WORDS.get(unit);
  if (from === undefined || to === undefined || from.si !== to.si) return undefined;
  return { gain: from.factor / to.factor, bias: (from.offset - to.offset) / to.factor };
}

/** Words for all units that convert to `unit`. */
export function wordsFor(unit: UnitName): string[] {
  const si = WORDS.get(unit)?.si;
  return [...WORDS].filter(([, one]) => one.si === si).map(([word]) => word);
}

/** First `inner`, then `outer`. */
export const chain = (inner: Line, outer: Line): Line => ({ gain: inner.gain * outer.gain, bias: inner.bias * outer.gain + outer.bias });
