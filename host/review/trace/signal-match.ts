/** What is known of the memories of two builds, and of their sources. */
export interface SignalMatch {
  /** Name of the signal at an address, the same for both sides; undefined for what only one of them has. */
  readonly oldName: (address: number) => string | undefined;
  readonly newName: (address: number) => string | undefined;
  /** Whether two values of a signal are the same. */
  readonly same: (name: string, old: number, fresh: number) => boolean;
  /** Values before the call. */
  readonly before: (name: string) => readonly [old: number, fresh: number];
  /** Signals whose values differ after the call. */
  readonly differing: ReadonlySet<string>;
  /** Whether two numbers are addresses of the same record. */
  readonly sameRecord: (old: number, fresh: number) => boolean;
}

/** The same, and what the sources tell. */
export interface TraceMatch extends SignalMatch {
  /** Whether two sites stand in the same line of both sources, changed or not. */
  readonly sameLine: (oldSite: number, newSite: number) => boolean;
}
