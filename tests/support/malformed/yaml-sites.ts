import { isMap, isScalar, LineCounter, type Pair, parseDocument, visit } from 'yaml';

/** A key with a single value in a valid YAML file, where it may be edited. */
export interface Site {
  readonly file: string;
  readonly text: string;
  /** Key before, with its parents; positions in lists are `[]`. */
  readonly path: readonly string[];
  readonly key: string;
  readonly value: unknown;
  readonly keyStart: number;
  readonly valueStart: number;
  readonly valueEnd: number;
  /** Start of the next pair of the mapping, or the end of this value's line. */
  readonly pairEnd: number;
  /** Column of the key, from 0. */
  readonly indent: number;
  /** Whether the mapping is in braces. */
  readonly isInline: boolean;
  /** Whether nothing but spaces stands before the key in its line. */
  readonly startsLine: boolean;
  /** Whether the mapping begins with this pair. */
  readonly isFirst: boolean;
  /** Start of the mapping. */
  readonly mapStart: number;
  /** Whether the pair above has its value in one line. */
  readonly isAfterOneLine: boolean;
}

const endOfLine = (text: string, from: number): number => {
  const at = text.indexOf('\n', from);
  return at < 0 ? text.length : at + 1;
};

/** Returns all keys whose value is one text, number or switch in a single line. */
export function sitesIn(file: string, text: string): Site[] {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines });
  const sites: Site[] = [];
  visit(document, {
    Pair(_, pair, ancestors) {
      const map = ancestors.at(-1);
      const { key, value } = pair as Pair;
      if (!isMap(map) || !isScalar(key) || !isScalar(value) || !key.range || !value.range) return;
      const [keyStart] = key.range;
      const [valueStart, valueEnd] = value.range;
      if (text.slice(keyStart, valueEnd).includes('\n')) return;
      const index = map.items.indexOf(pair as never);
      const [before, next] = [map.items[index - 1], map.items[index + 1]] as (Pair | undefined)[];
      const lineStart = text.lastIndexOf('\n', keyStart - 1) + 1;
      const valueBefore = before?.value as { range?: [number, number, number] } | undefined;
      sites.push({
        file,
        text,
        path: ancestors.flatMap((one) => ('key' in Object(one) ? [String((one as Pair).key)] : [])),
        key: String(key.value),
        value: value.value,
        keyStart,
        valueStart,
        valueEnd,
        pairEnd: (next?.key as { range?: [number] } | undefined)?.range?.[0] ?? endOfLine(text, valueEnd),
        indent: keyStart - lineStart,
        isInline: map.flow === true,
        startsLine: text.slice(lineStart, keyStart).trim() === '',
        isFirst: index === 0,
        mapStart: map.range?.[0] ?? 0,
        isAfterOneLine: isScalar(before?.value) && !text.slice(valueBefore?.range?.[0], valueBefore?.range?.[1]).includes('\n'),
      });
    },
  });
  return sites;
}
