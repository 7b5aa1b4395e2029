/** Time for the link, so that tests can run it in virtual time. */
export interface Clock {
  /** Milliseconds from an arbitrary start, never backwards, with fractions. */
  nowMs(): number;
  /** Calls once after a time. Returns a function that cancels it. */
  after(ms: number, run: () => void): () => void;
}

export const SYSTEM_CLOCK: Clock = {
  nowMs: () => performance.now(),
  after: (ms, run) => {
    const timer = setTimeout(run, ms);
    return () => clearTimeout(timer);
  },
};
