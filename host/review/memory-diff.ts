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
  /** Signals in each word. */
  readonly words: SignalPair[][];
  /** Indices of the words of which some signals have not been reported, in order; `openCount` of them are valid. */
  readonly open: Int32Array;
  openCount: number;
  /** The same words as bytes, to compare them all at once. */
  readonly baseBytes: Buffer;
  readonly headBytes: Buffer;
}

/** Collects signals at the same place within their words into runs of words. */
function runsOf(pairs: readonly SignalPair[], baseMemory: ArrayBufferLike, headMemory: ArrayBufferLike): Run[] {
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
  const runs: Pick<Run, 'baseAt' | 'headAt' | 'words'>[] = [];
  for (const { baseAt, headAt, pairs: inWord } of [...words.values()].sort((a, b) => a.baseAt - b.baseAt)) {
    const last = runs.at(-1);
    const length = last?.words.length ?? 0;
    if (last !== undefined && last.baseAt + length === baseAt && last.headAt + length === headAt) last.words.push(inWord);
    else runs.push({ baseAt, headAt, words: [inWord] });
  }
  return runs.map((run) => ({
    ...run,
    open: Int32Array.from(run.words.keys()),
    openCount: run.words.length,
    baseBytes: Buffer.from(baseMemory, run.baseAt * WORD, run.words.length * WORD),
    headBytes: Buffer.from(headMemory, run.headAt * WORD, run.words.length * WORD),
  }));
}

/** Whether a signal must be read to be compared: by its text, or because it has another type or place within its word. */
const mustBeRead = ({ base, head, isComparedByText }: SignalPair): boolean =>
  isComparedByText || base.field.type !== head.field.type || (addressOf(base) - addressOf(head)) % WORD !== 0;

/**
 * Finds the signals of two memories that differ, and reports each once. Memories are compared as bytes, which is fast if nothing
 * differs; only words that differ are compared signal by signal.
 */
export class MemoryDiff {
  private readonly baseWords: Uint32Array;
  private readonly headWords: Uint32Array;
  private readonly baseView: DataView;
  private readonly headView: DataView;
  private readonly runs: readonly Run[];
  private readonly separate: readonly SignalPair[];
  private readonly reported = new Set<SignalPair>();

  constructor(baseMemory: ArrayBufferLike, headMemory: ArrayBufferLike, pairs: readonly SignalPair[]) {
    this.baseWords = new Uint32Array(baseMemory);
    this.headWords = new Uint32Array(headMemory);
    this.baseView = new DataView(baseMemory);
    this.headView = new DataView(headMemory);
    this.separate = pairs.filter(mustBeRead);
    this.runs = runsOf(
      pairs.filter((pair) => !mustBeRead(pair)),
      baseMemory,
      headMemory,
    );
  }

  /** Forgets what was reported, for the next run over the same memories. */
  restart(): void {
    this.reported.clear();
    for (const run of this.runs) {
      run.openCount = run.words.length;
      for (let index = 0; index < run.openCount; index++) run.open[index] = index;
    }
  }

  /** Reports signals that differ now and never did before, in the order of the base memory. */
  scan(onDifference: OnDifference): void {
    const { separate } = this;
    const found: Found[] = [];
    for (const run of this.runs) if (run.openCount > 0 && !run.baseBytes.equals(run.headBytes)) this.scanRun(run, found);
    if (separate.length > 0) {
      this.collect(separate, found);
      // The order within a tick must not depend on how a signal is compared.
      found.sort(([a], [b]) => addressOf(a.base) - addressOf(b.base));
    }
    for (const one of found) onDifference(...one);
  }

  private scanRun(run: Run, found: Found[]): void {
    const { baseWords, headWords } = this;
    const { baseAt, headAt, words, open, openCount } = run;
    let left = 0;
    for (let at = 0; at < openCount; at++) {
      const index = open[at] as number;
      if (baseWords[baseAt + index] !== headWords[headAt + index]) {
        const word = words[index] ?? [];
        this.collect(word, found);
        if (word.every((pair) => this.reported.has(pair))) continue;
      }
      open[left++] = index;
    }
    run.openCount = left;
  }

  private collect(pairs: readonly SignalPair[], found: Found[]): void {
    for (const pair of pairs) {
      if (this.reported.has(pair)) continue;
      const baseValue = readSignal(this.baseView, pair.base);
      const headValue = readSignal(this.headView, pair.head);
      if (isSame(pair, baseValue, headValue)) continue;
      this.reported.add(pair);
      found.push([pair, baseValue, headValue]);
    }
  }
}
