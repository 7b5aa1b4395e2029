import { SIZE_OF } from '../contract/layout.js';
import { addressOf, isSame, readSignal, type SignalPair } from './signals.js';

/** Called for a signal whose values differ for the first time. */
export type OnDifference = (pair: SignalPair, baseValue: number, headValue: number) => void;

type Found = Parameters<OnDifference>;

const WORD = 4;

/** Consecutive words of both memories that should be equal. */
interface Run {
  readonly baseAt: number;
  readonly headAt: number;
  /** Signals in each word, none of which has been reported. */
  readonly words: readonly (readonly SignalPair[])[];
  /** Runs of at least this number of words are compared as bytes: one call takes as long as a loop over them. */
  readonly bytes: { readonly base: Buffer; readonly head: Buffer } | undefined;
}

/** A call to compare bytes takes as long as a loop over this many words. */
const BYTES_WORDS_MIN = 256;

/** Part of a signal that shares its word with one that has been reported. */
interface Part {
  readonly pair: SignalPair;
  readonly baseAt: number;
  readonly headAt: number;
  readonly size: number;
}

/** Collects signals at the same place within their words into runs of words. */
function runsOf(pairs: readonly SignalPair[], memories: { readonly base: ArrayBufferLike; readonly head: ArrayBufferLike }): Run[] {
  const words = new Map<string, { baseAt: number; headAt: number; pairs: SignalPair[] }>();
  for (const pair of pairs) {
    for (let byte = 0; byte < SIZE_OF[pair.base.field.type]; byte += WORD) {
      const baseAt = (addressOf(pair.base) + byte) >> 2;
      const headAt = (addressOf(pair.head) + byte) >> 2;
      const key = `${baseAt} ${headAt}`;
      const word = words.get(key);
      if (word === undefined) words.set(key, { baseAt, headAt, pairs: [pair] });
      else word.pairs.push(pair);
    }
  }
  const runs: { baseAt: number; headAt: number; words: SignalPair[][] }[] = [];
  for (const { baseAt, headAt, pairs: inWord } of [...words.values()].sort((a, b) => a.baseAt - b.baseAt)) {
    const last = runs.at(-1);
    const length = last?.words.length ?? 0;
    if (last !== undefined && last.baseAt + length === baseAt && last.headAt + length === headAt) last.words.push(inWord);
    else runs.push({ baseAt, headAt, words: [inWord] });
  }
  return runs.map(({ baseAt, headAt, words: all }) => runAt(baseAt, headAt, all, memories));
}

function runAt(baseAt: number, headAt: number, words: Run['words'], memories: Parameters<typeof runsOf>[1]): Run {
  const bytesAt = (memory: ArrayBufferLike, at: number): Buffer => Buffer.from(memory, at * WORD, words.length * WORD);
  const isLong = words.length >= BYTES_WORDS_MIN;
  return {
    baseAt,
    headAt,
    words,
    bytes: isLong ? { base: bytesAt(memories.base, baseAt), head: bytesAt(memories.head, headAt) } : undefined,
  };
}

/** Whether a signal must be read to be compared: by its text, or because it has another type or place within its word. */
const mustBeRead = ({ base, head, isComparedByText }: SignalPair): boolean =>
  isComparedByText || base.field.type !== head.field.type || (addressOf(base) - addressOf(head)) % WORD !== 0;

const partOf = (pair: SignalPair): Part => ({
  pair,
  baseAt: addressOf(pair.base),
  headAt: addressOf(pair.head),
  size: SIZE_OF[pair.base.field.type],
});

/**
 * Finds the signals of two memories that differ, and reports each once. Memories are compared word by word; only words that differ are
 * compared signal by signal, and what has been reported is not compared again.
 */
export class MemoryDiff {
  private readonly baseWords: Int32Array;
  private readonly headWords: Int32Array;
  private readonly baseBytes: Uint8Array;
  private readonly headBytes: Uint8Array;
  private readonly baseView: DataView;
  private readonly headView: DataView;
  private readonly allRuns: readonly Run[];
  private readonly separate: readonly SignalPair[];
  private readonly reported = new Set<SignalPair>();
  private runs: readonly Run[];
  private parts: Part[] = [];

  constructor(
    private readonly baseMemory: ArrayBufferLike,
    private readonly headMemory: ArrayBufferLike,
    pairs: readonly SignalPair[],
  ) {
    this.baseWords = new Int32Array(baseMemory);
    this.headWords = new Int32Array(headMemory);
    this.baseBytes = new Uint8Array(baseMemory);
    this.headBytes = new Uint8Array(headMemory);
    this.baseView = new DataView(baseMemory);
    this.headView = new DataView(headMemory);
    this.separate = pairs.filter(mustBeRead);
    this.allRuns = runsOf(
      pairs.filter((pair) => !mustBeRead(pair)),
      { base: baseMemory, head: headMemory },
    );
    this.runs = this.allRuns;
  }

  /** Forgets what was reported, for the next run over the same memories. */
  restart(): void {
    this.reported.clear();
    this.runs = this.allRuns;
    this.parts = [];
  }

  /** Reports signals that differ now and never did before, in the order of the base memory. */
  scan(onDifference: OnDifference): void {
    const found: Found[] = [];
    this.scanParts(found);
    this.scanRuns(found);
    if (this.separate.length > 0) this.collect(this.separate, found);
    // The order within a tick must not depend on how a signal is compared.
    if (found.length > 1) found.sort(([a], [b]) => addressOf(a.base) - addressOf(b.base));
    for (const one of found) onDifference(...one);
  }

  private scanRuns(found: Found[]): void {
    const { baseWords, headWords, runs } = this;
    let divided: Run[] | undefined;
    for (let at = 0; at < runs.length; at++) {
      const run = runs[at] as Run;
      const { baseAt, headAt, words, bytes } = run;
      let index = 0;
      if (bytes?.base.equals(bytes.head) === true) index = words.length;
      while (index < words.length && baseWords[baseAt + index] === headWords[headAt + index]) index += 1;
      if (index < words.length) divided ??= runs.slice(0, at);
      divided?.push(...(index < words.length ? this.divide(run, found) : [run]));
    }
    if (divided !== undefined) this.runs = divided;
  }

  /** Collects the signals of a run that differ. Returns the runs between the words that have been reported. */
  private divide({ baseAt, headAt, words }: Run, found: Found[]): Run[] {
    const left: Run[] = [];
    let from = 0;
    const keep = (to: number): void => {
      const memories = { base: this.baseMemory, head: this.headMemory };
      if (to > from) left.push(runAt(baseAt + from, headAt + from, words.slice(from, to), memories));
      from = to + 1;
    };
    for (const [index, word] of words.entries()) {
      if (this.baseWords[baseAt + index] === this.headWords[headAt + index] || !this.collect(word, found)) continue;
      keep(index);
      this.parts.push(...word.flatMap((pair) => (this.reported.has(pair) ? [] : partOf(pair))));
    }
    keep(words.length);
    return left;
  }

  private scanParts(found: Found[]): void {
    const { baseBytes, headBytes, parts } = this;
    let left = 0;
    for (let at = 0; at < parts.length; at++) {
      const part = parts[at] as Part;
      let byte = 0;
      while (byte < part.size && baseBytes[part.baseAt + byte] === headBytes[part.headAt + byte]) byte += 1;
      if (byte < part.size && this.collect([part.pair], found)) continue;
      parts[left++] = part;
    }
    parts.length = left;
  }

  /** Notes those signals that differ and have not been reported. Returns whether there are any. */
  private collect(pairs: readonly SignalPair[], found: Found[]): boolean {
    const before = found.length;
    for (const pair of pairs) {
      if (this.reported.has(pair)) continue;
      const baseValue = readSignal(this.baseView, pair.base);
      const headValue = readSignal(this.headView, pair.head);
      if (isSame(pair, baseValue, headValue)) continue;
      this.reported.add(pair);
      found.push([pair, baseValue, headValue]);
    }
    return found.length > before;
  }
}
