import { SIZE_OF } from '../contract/layout.js';
import { addressOf, isSame, readSignal, type SignalPair } from './signals.js';

/** Called for a signal the first time that its values differ. */
export type OnParting = (pair: SignalPair, oldValue: number, newValue: number) => void;

type Found = Parameters<OnParting>;

const WORD = 4;

/** Words one after another in both memories that should be equal. */
interface Run {
  readonly oldAt: number;
  readonly newAt: number;
  /** What lies in each word. */
  readonly words: SignalPair[][];
  /** 1 for words of which all has been told. */
  readonly isDone: Uint8Array;
  /** The same words as bytes, which are compared at once. */
  readonly oldBytes: Buffer;
  readonly newBytes: Buffer;
}

/** Puts signals that lie in their words alike into runs of words. */
function runsOf(pairs: readonly SignalPair[], oldMemory: ArrayBufferLike, newMemory: ArrayBufferLike): Run[] {
  const words = new Map<string, { oldAt: number; newAt: number; pairs: SignalPair[] }>();
  for (const pair of pairs) {
    for (let byte = 0; byte < SIZE_OF[pair.old.field.type]; byte += WORD) {
      const oldAt = (addressOf(pair.old) + byte) >> 2;
      const newAt = (addressOf(pair.new) + byte) >> 2;
      const key = `${oldAt} ${newAt}`;
      const word = words.get(key);
      if (word === undefined) words.set(key, { oldAt, newAt, pairs: [pair] });
      else word.pairs.push(pair);
    }
  }
  const runs: Pick<Run, 'oldAt' | 'newAt' | 'words'>[] = [];
  for (const { oldAt, newAt, pairs: inWord } of [...words.values()].sort((a, b) => a.oldAt - b.oldAt)) {
    const last = runs.at(-1);
    const length = last?.words.length ?? 0;
    if (last !== undefined && last.oldAt + length === oldAt && last.newAt + length === newAt) last.words.push(inWord);
    else runs.push({ oldAt, newAt, words: [inWord] });
  }
  return runs.map((run) => ({
    ...run,
    isDone: new Uint8Array(run.words.length),
    oldBytes: Buffer.from(oldMemory, run.oldAt * WORD, run.words.length * WORD),
    newBytes: Buffer.from(newMemory, run.newAt * WORD, run.words.length * WORD),
  }));
}

/** A signal that has to be read to be compared: its numbers mean something else, or it does not lie in its word alike. */
const isLoose = ({ old, new: fresh, isByMeaning }: SignalPair): boolean =>
  isByMeaning || old.field.type !== fresh.field.type || (addressOf(old) - addressOf(fresh)) % WORD !== 0;

/**
 * Finds the signals of two memories that differ. Each is told of once. Memories are compared word by word, which is quick
 * where nothing differs; only a word that does is looked at field by field.
 */
export class PairWatch {
  private readonly oldWords: Uint32Array;
  private readonly newWords: Uint32Array;
  private readonly oldView: DataView;
  private readonly newView: DataView;
  private readonly runs: readonly Run[];
  private readonly loose: readonly SignalPair[];
  private readonly told = new Set<SignalPair>();

  constructor(oldMemory: ArrayBufferLike, newMemory: ArrayBufferLike, pairs: readonly SignalPair[]) {
    this.oldWords = new Uint32Array(oldMemory);
    this.newWords = new Uint32Array(newMemory);
    this.oldView = new DataView(oldMemory);
    this.newView = new DataView(newMemory);
    this.loose = pairs.filter(isLoose);
    this.runs = runsOf(
      pairs.filter((pair) => !isLoose(pair)),
      oldMemory,
      newMemory,
    );
  }

  /** As if nothing had been told yet: for the next run over the same memories. */
  restart(): void {
    this.told.clear();
    for (const { isDone } of this.runs) isDone.fill(0);
  }

  /** Tells of signals that differ now and never did before, in the old memory's order. */
  scan(tell: OnParting): void {
    const { oldWords, newWords, loose } = this;
    const found: Found[] = [];
    for (const { oldAt, newAt, words, isDone, oldBytes, newBytes } of this.runs) {
      if (oldBytes.equals(newBytes)) continue;
      for (let index = 0; index < isDone.length; index++) {
        if (oldWords[oldAt + index] === newWords[newAt + index] || isDone[index] === 1) continue;
        const word = words[index] ?? [];
        this.look(word, found);
        if (word.every((pair) => this.told.has(pair))) isDone[index] = 1;
      }
    }
    if (loose.length > 0) {
      this.look(loose, found);
      // They stand among the others: what comes first in a tick must not hang on how it is compared.
      found.sort(([a], [b]) => addressOf(a.old) - addressOf(b.old));
    }
    for (const one of found) tell(...one);
  }

  private look(pairs: readonly SignalPair[], found: Found[]): void {
    for (const pair of pairs) {
      if (this.told.has(pair)) continue;
      const oldValue = readSignal(this.oldView, pair.old);
      const newValue = readSignal(this.newView, pair.new);
      if (isSame(pair, oldValue, newValue)) continue;
      this.told.add(pair);
      found.push([pair, oldValue, newValue]);
    }
  }
}
