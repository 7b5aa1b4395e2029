/** What arrives on a line. */
export interface LineEvents {
  /** @param bytes valid until it returns */
  onBytes(bytes: Uint8Array): void;
  /** The line no longer carries anything. @param reason a clause that continues "the board", such as `has ended: …` */
  onGone(reason: string): void;
}

/** An open way to a board. */
export interface Line {
  /** Sends whole frames. Never waits; returns false if the bytes were dropped because too many wait already. */
  write(bytes: Uint8Array): boolean;
  /** Switches a serial port to another rate; absent where there is none. */
  setBaud?(baud: number): void;
  close(): Promise<void>;
}

/** How to get to a board. */
export interface Transport {
  /** For messages. */
  readonly name: string;
  /** The default for how long a board may be silent before it counts as lost: where a busy computer runs it too, silence means little. */
  readonly silenceMs: number;
  /** Rate to negotiate once greeted, and the one to begin with; absent where there is none. */
  readonly baud?: { readonly first: number; readonly max: number } | undefined;
  /** Whether opening again may help after the line has gone: not for a program, which has ended. */
  readonly isReopenable: boolean;
  /** @throws InputError when it cannot be opened */
  open(events: LineEvents): Promise<Line>;
}
