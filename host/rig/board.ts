import type { Firmware } from '../chip/build.js';
import type { COUNTERS, ENDS, EVENTS, START_CAUSES, STATES } from '../chip/protocol.js';
import type { ParameterValues } from '../contract/contract.js';
import type { BuildDescription } from '../contract/embed.js';

/*
 * A board on a rig, as the rest of the program uses it: what is at the other end (a chip on a serial port, a program, an emulator) and
 * how bytes get there is the link's business.
 *
 * A *step* is one controller tick on the board, counted from 0 since the run was configured. A *timer tick* is one of the board's own
 * timer, counted since the board started; it wraps at 2^32. Steps that the board misses are skipped, so steps and timer ticks differ.
 */

/** What a board reports about itself when it is greeted. */
export interface Greeting {
  /** Name of the board, not of the port. */
  readonly board: string;
  readonly contractHash: string;
  readonly state: (typeof STATES)[number];
  readonly startCause: (typeof START_CAUSES)[number];
  readonly startReason: number;
  /** 0, or the first deviation of its arithmetic from WebAssembly's: index in ARITHMETIC_FINDINGS. */
  readonly arithmetic: number;
  /** Rows that the build has room for, and rows whose valves are wired. */
  readonly rowsMax: number;
  readonly valveRows: number;
  /** Rate of the counter behind `TicksResult.counts`, Hz; 0 if it counts instructions. */
  readonly countHz: number;
  /** Counts of an empty measurement. */
  readonly countCost: number;
  /** Rate of the board's timer, Hz. */
  readonly tickHz: number;
  readonly memoryBytes: number;
  /** Longest body of a request. */
  readonly requestBytes: number;
  /** Requests that may be under way at once. */
  readonly window: number;
  /** Steps whose inputs the board can keep ahead. */
  readonly inputSlots: number;
  /** Bytes of reports that the board keeps for a host that missed them. */
  readonly journalBytes: number;
  /** Whether this session was in force before: false if the board has started since, or another host used it meanwhile. */
  readonly isResumed: boolean;
}

/** Round trips of requests, ms. All 0 before the first. */
export interface RoundTrips {
  readonly count: number;
  readonly min: number;
  readonly median: number;
  readonly p99: number;
  readonly max: number;
}

/** Frames of one direction, counted by their sequence numbers since the board was greeted, added up over greetings. */
export interface DirectionCounts {
  readonly frames: number;
  readonly bytes: number;
  /** Frames that were sent and did not arrive, damaged ones included. */
  readonly lost: number;
  /** Frames that arrived more than once. */
  readonly doubled: number;
  /** Frames that arrived after a later one. */
  readonly reordered: number;
  /** Pieces that were not intact frames. */
  readonly damaged: number;
}

/** What the link did so far, as counted on this side, and on the board's as far as it has been reported. */
export interface LinkStatistics {
  readonly sent: { readonly frames: number; readonly bytes: number };
  readonly received: DirectionCounts;
  /** What the board counted, by its last report; undefined before the first. */
  readonly board: BoardCounters | undefined;
  /** Requests that were sent again. */
  readonly repeatedRequests: number;
  /** Bytes of the board's reports that it no longer had when they were asked for again. */
  readonly journalBytesLost: number;
  /** Connections after the first. */
  readonly reconnections: number;
  readonly roundTripMs: RoundTrips;
  /** What a relay of ours has done to the link; undefined without one. */
  readonly relay: RelayHarm | undefined;
}

/** Pieces that a relay has passed in one direction, and what it has done to them. */
export interface HarmDone {
  readonly passed: number;
  readonly lost: number;
  readonly doubled: number;
  readonly damaged: number;
  readonly reordered: number;
}

export interface RelayHarm {
  readonly toBoard: HarmDone;
  readonly fromBoard: HarmDone;
}

/** What a board answers to `status`. */
export interface BoardStatus {
  readonly state: (typeof STATES)[number];
  /** Why the last free run ended. */
  readonly end: (typeof ENDS)[number];
  /** Valves that are not known to be closed. */
  readonly notClosed: number;
  /** Steps of the free run so far. */
  readonly steps: number;
  /** Bytes of the stack that have been in use since start, at most; 0 where it is unknown. */
  readonly stackBytes: number;
  readonly counters: BoardCounters;
}

/**
 * What a board counts: frames from the host by their sequence numbers, frames it sent, frames it dropped because its transmitter had no
 * room; and since the run was configured: inputs that came after their step, steps without the inputs they should have had, inputs too
 * far ahead, steps that came late or did not finish within their timer tick, and the longest step by the board's counter.
 */
export type BoardCounters = Readonly<Record<(typeof COUNTERS)[number], number>>;

/** A value and the range that it is known to be in. */
export interface Bounded {
  readonly value: number;
  readonly min: number;
  readonly max: number;
}

/** The board's timer against this computer's clock, from requests: each was received after it was sent and before its answer arrived. */
export interface ClockAlignment {
  /** Host time at which the board's timer was at tick 0, extrapolated, ms of the link's clock. */
  readonly offsetMs: Bounded;
  /** How much faster the board's timer runs than its nominal rate by this computer's clock, parts per million. */
  readonly driftPpm: Bounded;
  /** Exchanges it is made from. */
  readonly exchanges: number;
}

/** Result of one request with one or more ticks. */
export interface TicksResult {
  /** After the last tick. A copy, valid for good. */
  readonly output: Uint8Array;
  /** Chain of state hashes since the start, see `StateChain`. */
  readonly chain: number;
  /** By the board's counter over these ticks, without the cost of counting: in all, and in one tick at most. */
  readonly counts: { readonly total: number; readonly max: number };
}

/** A board that runs ticks as it is given their inputs. Its coils stay off. */
export interface LockstepRun {
  readonly rows: number;
  /** Ticks that fit into one request. */
  readonly ticksMax: number;
  /** Calls worth having under way at once so that the board never waits. */
  readonly window: number;
  /**
   * Runs one tick after another. Calls may overlap; they run in their order, each exactly once.
   * @param inputs of each tick, at most `ticksMax`; may be reused after the call
   * @throws LinkLost when the board no longer answers or has restarted
   */
  runTicks(inputs: Uint8Array): Promise<TicksResult>;
  /** CRC-32 of outputs, probes and state after the last tick. */
  stateHash(): Promise<number>;
  /** Puts parameters into force after the ticks before it. @throws ParameterRefused, RestartNeeded */
  reconfigure(values: ParameterValues): Promise<void>;
  /** Back to ready. */
  end(): Promise<void>;
}

/** A step as the board reports it. */
export interface StepReport {
  readonly step: number;
  /** Of the board's timer, when the step began. */
  readonly timerTick: number;
  /** Step that the inputs it used were stamped with; -1 before the first have arrived. */
  readonly inputStep: number;
  /** The run is ending: the controller got these inputs with shutDown set. */
  readonly isEnding: boolean;
  /** After the step; valid until `onStep` returns. */
  readonly output: Uint8Array;
}

/** Coils of a row as they were really driven from a timer tick on, also while the board closes valves without the controller. */
export interface CoilEdge {
  readonly timerTick: number;
  readonly row: number;
  readonly supplyOrder: number;
  readonly returnOrder: number;
}

/** A free run has started, begins to end, or has ended. */
export interface BoardEvent {
  readonly what: (typeof EVENTS)[number];
  /** The step that comes next. From that of `run ending` on the controller gets the last inputs with shutDown set. */
  readonly step: number;
  /** Why the run ends; `none` for its start. */
  readonly end: (typeof ENDS)[number];
}

/** What happened to the link during a free run. */
export type LinkEvent =
  /** The board has been silent for a while or the cable is out; the link tries to come back. */
  | { readonly kind: 'gone'; readonly reason: string }
  /** It is back, in the same run. */
  | { readonly kind: 'back'; readonly goneMs: number }
  /** The board has restarted: the run is over. */
  | { readonly kind: 'restarted'; readonly reason: string }
  /** The link is given up: the board ends the run alone. */
  | { readonly kind: 'lost'; readonly reason: string };

/**
 * What a free run reports, in the board's order; a report that got lost on the way is asked for again, and everything after it waits.
 * Every step is reported once: by onStep or in onLost.
 */
export interface FreeRunListener {
  onStep?(report: StepReport): void;
  /** The reports of these steps are lost for good, first and last included. */
  onLost?(fromStep: number, toStep: number): void;
  onCoils?(edge: CoilEdge): void;
  /** Once a second: hash of outputs, probes and state after a step, as `StateChain` started at 0 has it after one update. */
  onHash?(step: number, hash: number): void;
  /** Bytes of a watch after a step; valid until it returns. */
  onSample?(watch: number, step: number, bytes: Uint8Array): void;
  /** New parameters were tried before this step. `result` 0: in force; `crc` is the CRC-32 of the record in force. */
  onParameters?(step: number, result: number, crc: number): void;
  /** Once a second, after a step. */
  onStatistics?(step: number, counters: BoardCounters): void;
  onEvent?(event: BoardEvent): void;
  onLink?(event: LinkEvent): void;
}

/** A piece of the board's memory, by the addresses of its contract. */
export interface MemoryPiece {
  readonly at: number;
  readonly bytes: number;
}

export interface FreeRunOptions {
  /** Steps between stamped inputs; 1: each step has its own. */
  readonly inputPeriod?: number;
}

/** Where an earlier host was in a free run. */
export interface ResumeOptions extends FreeRunOptions {
  /** `Board.journalOffset` after the last report that it stored; reports continue there, or at the oldest that the board has. */
  readonly journalOffset: number;
  /** The step after the last that it stored. */
  readonly nextStep: number;
  /** Outputs before that step; without them steps count as lost until the board has reported all outputs again, within a second. */
  readonly output?: Uint8Array;
  readonly startTimerTick: number;
}

/** How a free run ended. */
export interface FreeRunEnd {
  readonly end: (typeof ENDS)[number];
  readonly steps: number;
  /** Whether every report up to the end has arrived, or been counted as lost. */
  readonly isComplete: boolean;
}

/** A board that runs by its own timer. */
export interface FreeRun {
  readonly rows: number;
  /** The board's timer tick of step 0. */
  readonly startTimerTick: number;
  /**
   * Sends inputs stamped for `firstStep`, `firstStep` + inputPeriod, … Nothing waits and nothing is sent again: what does not arrive in
   * time is held and counted by the board.
   * @param inputs of `count` stamps, one after another
   */
  sendInputs(firstStep: number, inputs: Uint8Array, count: number): void;
  /** Puts parameters into force between two steps. Returns the first step with them. @throws ParameterRefused, RestartNeeded */
  reconfigure(values: ParameterValues): Promise<number>;
  /** Asks for samples of memory each `periodSteps` steps; 0 ends the watch. @param id 0 to 255 */
  watch(id: number, pieces: readonly MemoryPiece[], periodSteps: number): Promise<void>;
  /** Step in progress on the board at a time of the link's clock, estimated from the clock alignment and the last report. */
  stepAt(hostTimeMs: number): { readonly step: number; readonly boundSteps: number };
  /** Ends the run as its parameters say, and waits until the board is ready again and every report has arrived. */
  end(): Promise<FreeRunEnd>;
}

/** Host's end of the link to one board. Everything that waits rejects with LinkLost once the board is silent for too long. */
export interface Board {
  /** Where it is: a port, an address, a program. For messages. */
  readonly name: string;
  readonly description: BuildDescription;
  readonly greeting: Greeting;
  /** Names this host's session; a host that starts again with it can resume a free run. */
  readonly session: number;
  statistics(): LinkStatistics;
  /** Undefined until two exchanges have been made; aligning goes on in the background. */
  clock(): ClockAlignment | undefined;
  status(): Promise<BoardStatus>;
  /**
   * Waits until the board has closed its valves, and configures it.
   * @throws ParameterRefused for a value out of range
   * @throws InputError when the board cannot run this
   * @throws LinkLost when it has stopped and needs a restart
   */
  lockstep(rows: number, values: ParameterValues): Promise<LockstepRun>;
  /** As `lockstep`; the controller drives the coils from now on, and the run ends when inputs stop coming. */
  freeRun(rows: number, values: ParameterValues, options: FreeRunOptions, listener: FreeRunListener): Promise<FreeRun>;
  /**
   * Takes up a free run that an earlier host with the same session started.
   * @throws InputError when the board is in no such run
   */
  resumeFreeRun(rows: number, options: ResumeOptions, listener: FreeRunListener): Promise<FreeRun>;
  /** Offset after the last report that was handed to a listener. */
  readonly journalOffset: number;
  /** Parameters in force, as the board's memory has them. */
  readParameters(): Promise<ParameterValues>;
  readMemory(at: number, count: number): Promise<Uint8Array>;
  /** Lockstep only. */
  writeMemory(at: number, bytes: Uint8Array): Promise<void>;
  /** Plays a fault; only in firmware built for tests. */
  inject(fault: number): Promise<void>;
  /** Emergency stop: ends the run at once, and valves close or vent as the parameters say. Repeated until the board confirms. */
  stop(): Promise<void>;
  /** Restarts the board and waits until it has closed its valves. */
  restart(): Promise<Greeting>;
  close(): Promise<void>;
}

/** Where a board is. */
export type BoardAddress =
  /** A serial port, raw, eight bits, no parity. `maxBaud`: the rate to negotiate once the board has been greeted at `baud`. */
  | { readonly kind: 'serial'; readonly path: string; readonly baud: number; readonly maxBaud?: number }
  /** `port` of a board that listens for a connection, or for datagrams of whole frames. */
  | { readonly kind: 'tcp' | 'udp'; readonly host: string; readonly port: number }
  /** A program with its link on standard input and output. */
  | { readonly kind: 'process'; readonly program: string; readonly words: readonly string[] }
  /** Built firmware, as a program of this computer or on its emulator. */
  | { readonly kind: 'firmware'; readonly firmware: Firmware };

/** Harm that a relay does to one direction of a link. Shares are of pieces, 0 to 1; see `RelayOptions.unit`. */
export interface Harm {
  readonly lose?: number;
  readonly double?: number;
  /** Changes a bit. */
  readonly damage?: number;
  /** Delay of each piece, drawn between the two, ms; the order stays. */
  readonly delayMs?: readonly [min: number, max: number];
  /** Share of pieces that are overtaken by the next ones, by at most `reorderMs`. */
  readonly reorder?: number;
  readonly reorderMs?: number;
}

/** A relay between both ends of a link, for tests and for trying out what a bad link does. The same seed does the same harm. */
export interface RelayOptions {
  readonly seed: number;
  readonly toBoard?: Harm;
  readonly fromBoard?: Harm;
  /** What is harmed: whole frames, or single bytes. */
  readonly unit?: 'frame' | 'byte';
  /** Times at which nothing passes either way, ms since the connection was opened. */
  readonly cuts?: readonly (readonly [fromMs: number, toMs: number])[];
}

export interface ConnectOptions {
  readonly relay?: RelayOptions;
  /** Session to resume; a new one otherwise. */
  readonly session?: number;
  /** Without a word from the board for this long it counts as lost. Default: 5 s, and 20 s for emulators and programs. */
  readonly silenceMs?: number;
}

/**
 * `connectBoard` in link/connect.ts: opens the way to a board and greets it. It may still be closing its valves, or have stopped.
 * @throws InputError with the reason: no such port, no permission, nothing answers, garbage (another baud rate), another contract with
 *   both hashes, another version of the link, busy with another host's run
 * @throws LinkLost when it goes silent meanwhile
 */
export type ConnectBoard = (address: BoardAddress, description: BuildDescription, options?: ConnectOptions) => Promise<Board>;
