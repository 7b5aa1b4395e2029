import { SIZE_OF } from '../contract/layout.js';
import { addressOf, isSame, readSignal, type SignalPair } from './signals.js';

/** Called for a signal the first time that its values differ. */
export type OnParting = (pair: SignalPair, oldValue: number, newValue: number) => void;

const WORD = 4;

/**
 * Finds the signals of two memories that differ. Each is told of once. Memories are compared word by word, which is quick
 * where nothing differs; only a word that does is looked at field by field.
 */
export class PairWatch {
  private readonly oldWords: Uint32Array;
  private readonly newWords: Uint32Array;
  private readonly oldView: DataView;
  private readonly newView: DataView;
  /** Words that should be equal: index of each in its memory, and what lies in it. */
  private readonly oldAt: Uint32Array;
  private readonly newAt: Uint32Array;
  private readonly inWord: readonly SignalPair[][];
  private readonly isDone: Uint8Array;
  /** Signals that don't lie in their words alike. */
  private readonly loose: readonly SignalPair[];
  private readonly told = new Set<SignalPair>();

  constructor(oldMemory: ArrayBufferLike, newMemory: ArrayBufferLike, pairs: readonly SignalPair[]) {
    this.oldWords = new Uint32Array(oldMemory);
    this.newWords = new Uint32Array(newMemory);
    this.oldView = new DataView(oldMemory);
    this.newView = new DataView(newMemory);
    const words = new Map<string, SignalPair[]>();
    const isLoose = ({ old, new: fresh, isByMeaning }: SignalPair): boolean =>
      isByMeaning || old.field.type !== fresh.field.type || (addressOf(old) - addressOf(fresh)) % WORD !== 0;
    this.loose = pairs.filter(isLoose);
    for (const pair of pairs) {
      if (isLoose(pair)) continue;
      for (let byte = 0; byte < SIZE_OF[pair.old.field.type]; byte += WORD) {
        const key = `${(addressOf(pair.old) + byte) >> 2} ${(addressOf(pair.new) + byte) >> 2}`;
        const word = words.get(key);
        if (word === undefined) words.set(key, [pair]);
        else word.push(pair);
      }
    }
    const places = [...words.keys()].map((key) => key.split(' ').map(Number));
    this.oldAt = Uint32Array.from(places, ([at = 0]) => at);
    this.newAt = Uint32Array.from(places, ([, at = 0]) => at);
    this.inWord = [...words.values()];
    this.isDone = new Uint8Array(this.inWord.length);
  }

  /** As if nothing had been told yet: for the next run over the same memories. */
  restart(): void {
    this.told.clear();
    this.isDone.fill(0);
  }

  /** Tells of signals that differ now and never did before, in memory's order. */
  scan(tell: OnParting): void {
    const { oldWords, newWords, oldAt, newAt, isDone } = this;
    for (let index = 0; index < oldAt.length; index++) {
      if (oldWords[oldAt[index] as number] === newWords[newAt[index] as number] || isDone[index] === 1) continue;
      const word = this.inWord[index] ?? [];
      this.look(word, tell);
      if (word.every((pair) => this.told.has(pair))) isDone[index] = 1;
    }
    this.look(this.loose, tell);
  }

  private look(pairs: readonly SignalPair[], tell: OnParting): void {
    for (const pair of pairs) {
      if (this.told.has(pair)) continue;
      const oldValue = readSignal(this.oldView, pair.old);
      const newValue = readSignal(this.newView, pair.new);
      if (isSame(pair, oldValue, newValue)) continue;
      this.told.add(pair);
      tell(pair, oldValue, newValue);
    }
  }
}
