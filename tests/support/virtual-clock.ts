import type { Clock } from '../../host/rig/link/clock.js';

interface Timer {
  readonly atMs: number;
  readonly run: () => void;
}

/** A clock that jumps from one timer to the next, so that hours of waiting take no time and every run is the same. */
export class VirtualClock implements Clock {
  private now = 0;
  /** In the order of their times, and of being set. */
  private readonly timers: Timer[] = [];

  nowMs(): number {
    return this.now;
  }

  after(ms: number, run: () => void): () => void {
    const timer = { atMs: this.now + ms, run };
    let [from, to] = [0, this.timers.length];
    while (from < to) {
      const middle = (from + to) >> 1;
      if ((this.timers[middle]?.atMs ?? 0) <= timer.atMs) from = middle + 1;
      else to = middle;
    }
    this.timers.splice(from, 0, timer);
    return () => {
      const index = this.timers.indexOf(timer);
      if (index !== -1) this.timers.splice(index, 1);
    };
  }

  /** Lets time pass until the promise is settled. @throws Error when it never will be, or takes longer than this */
  async settle<T>(promise: Promise<T>, withinMs = 3_600_000): Promise<T> {
    let isSettled = false;
    const done = (): void => {
      isSettled = true;
    };
    promise.then(done, done);
    const end = this.now + withinMs;
    for (;;) {
      // Everything that follows from the last timer without waiting.
      await new Promise((resolve) => setImmediate(resolve));
      if (isSettled) return promise;
      const [timer] = this.timers;
      if (timer === undefined) throw new Error('nothing is left that could settle it');
      if (timer.atMs > end) throw new Error(`it is not settled within ${withinMs} ms`);
      this.fire(timer);
    }
  }

  /** Lets a time pass. */
  pass(ms: number): Promise<void> {
    return this.settle(new Promise((resolve) => this.after(ms, resolve)));
  }

  private fire(timer: Timer): void {
    this.timers.shift();
    this.now = Math.max(this.now, timer.atMs);
    timer.run();
  }
}
