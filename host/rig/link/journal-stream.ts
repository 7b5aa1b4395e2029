/** Offsets wrap at 2^32: how far one is ahead of another, negative if behind. */
const ahead = (from: number, to: number): number => (to - from) | 0;
const moved = (offset: number, bytes: number): number => (offset + bytes) >>> 0;

/** Frames kept while one before them is missing. */
const KEPT_MAX = 256;

/**
 * Puts the frames of the journal in order: whatever the line did to them, each byte is handed on once, in order, or counted as lost.
 * A gap is asked for; frames behind it wait.
 */
export class JournalStream {
  bytesLost = 0;
  private readonly kept = new Map<number, Uint8Array>();
  private isAsking = false;

  /**
   * @param offset of the first byte to hand on
   * @param take gets bytes that begin and end between entries, and whether bytes before them are lost
   * @param ask has the board send again from an offset; resolves to the offset from which it still can
   */
  constructor(
    public offset: number,
    private readonly take: (bytes: Uint8Array, isAfterLoss: boolean) => void,
    private readonly ask: (offset: number) => Promise<number>,
  ) {}

  /** Takes the part of the journal in a frame. */
  add(offset: number, bytes: Uint8Array): void {
    if (ahead(this.offset, offset) > 0) {
      if (this.kept.size < KEPT_MAX) this.kept.set(offset, Uint8Array.from(bytes));
      void this.askForGap();
      return;
    }
    this.handOn(offset, bytes, false);
    this.handOnKept();
  }

  /** Has the board send everything after what has arrived. Does nothing while that is under way. */
  async askForGap(): Promise<void> {
    if (this.isAsking) return;
    this.isAsking = true;
    try {
      this.skipTo(await this.ask(this.offset));
    } catch {
      // The link is lost or the board has restarted; whoever waits for the run learns it.
    } finally {
      this.isAsking = false;
    }
  }

  /** The board no longer has what is before this offset. */
  private skipTo(from: number): void {
    const lost = ahead(this.offset, from);
    if (lost <= 0) return;
    // Later parts may have arrived meanwhile, and some of what is skipped too.
    this.bytesLost += lost;
    this.offset = from;
    this.isAfterLoss = true;
    this.handOnKept();
  }

  private isAfterLoss = false;

  private handOn(offset: number, bytes: Uint8Array, isCopy: boolean): void {
    const done = -ahead(this.offset, offset);
    if (done >= bytes.length) return;
    const fresh = bytes.subarray(done);
    this.offset = moved(this.offset, fresh.length);
    const isAfterLoss = this.isAfterLoss;
    this.isAfterLoss = false;
    this.take(isCopy ? fresh : Uint8Array.from(fresh), isAfterLoss);
  }

  private handOnKept(): void {
    for (let isFound = true; isFound; ) {
      isFound = false;
      for (const [offset, bytes] of this.kept) {
        if (ahead(this.offset, offset) > 0) continue;
        this.kept.delete(offset);
        this.handOn(offset, bytes, true);
        isFound = true;
      }
    }
  }
}
