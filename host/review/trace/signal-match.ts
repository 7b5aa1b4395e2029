/** Signals in the memories of two builds. */
export interface SignalMatch {
  /** Name of the signal at an address, the same for both sides; undefined for a signal that only one of them has. */
  readonly baseName: (address: number) => string | undefined;
  readonly headName: (address: number) => string | undefined;
  /** Whether two values of a signal are the same. */
  readonly same: (name: string, base: number, head: number) => boolean;
  /** Values before the call. */
  readonly before: (name: string) => readonly [base: number, head: number];
  /** Signals whose values differ after the call. */
  readonly differing: ReadonlySet<string>;
  /** Whether two numbers are addresses of the same record. */
  readonly sameRecord: (base: number, head: number) => boolean;
}

/** Signals and sources of two builds. */
export interface TraceMatch extends SignalMatch {
  /** Whether two sites are in the same line of both sources, changed or not. */
  readonly sameLine: (baseSite: number, headSite: number) => boolean;
}
