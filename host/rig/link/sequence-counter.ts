/** Numbers before the newest for which it is known whether they have arrived. */
const WINDOW = 64;
const NUMBERS = 1 << 16;

/** Counts received frames by their 16-bit sequence numbers: a number that is skipped is a lost frame, unless it still arrives. */
export class SequenceCounter {
  lost = 0;
  doubled = 0;
  reordered = 0;
  private newest: number | undefined;
  /** Those of the last `WINDOW` numbers that have not arrived. */
  private readonly missing = new Set<number>();

  /** The next frame begins a new count; totals stay. */
  restart(): void {
    this.newest = undefined;
    this.missing.clear();
  }

  take(sequence: number): void {
    if (this.newest === undefined) {
      this.newest = sequence;
      return;
    }
    const ahead = (sequence - this.newest + NUMBERS) % NUMBERS;
    if (ahead !== 0 && ahead < NUMBERS / 2) this.advance(sequence, ahead);
    else if (this.missing.delete(sequence)) {
      this.lost -= 1;
      this.reordered += 1;
    } else this.doubled += 1;
  }

  private advance(sequence: number, ahead: number): void {
    this.lost += ahead - 1;
    this.newest = sequence;
    for (let back = Math.min(ahead - 1, WINDOW - 1); back > 0; back--) this.missing.add((sequence - back + NUMBERS) % NUMBERS);
    for (const one of this.missing) if ((sequence - one + NUMBERS) % NUMBERS >= WINDOW) this.missing.delete(one);
  }
}
