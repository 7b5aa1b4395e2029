import { randomInt } from 'node:crypto';
import { encodeFrame, type Frame, FrameReader } from '../../chip/frames.js';
import { LinkLost } from '../../chip/link.js';
import { ANSWER, LINK_VERSION, NOTICES, REFUSED, REQUESTS, type RequestName } from '../../chip/protocol.js';
import { dataViewOf } from '../../common/data-view.js';
import { InputError } from '../../common/input-error.js';
import type { LinkEvent, LinkStatistics } from '../board.js';
import type { Clock } from './clock.js';
import type { Line, Transport } from './line.js';
import { type HelloAnswer, helloBody, readHelloAnswer, startText } from './messages.js';
import { RoundTripTimes } from './round-trips.js';
import { SequenceCounter } from './sequence-counter.js';

/** Numbers of requests: 1 to 255, then 1 again. */
const NUMBERS = 255;
const after = (number: number): number => (number % NUMBERS) + 1;
/** How far a number is ahead of another. */
const distance = (from: number, to: number): number => (to - from + NUMBERS) % NUMBERS;

/** Without an answer for this long a request is sent again, ms: before any round trip is known; afterwards at
 * least this margin above the mean, and at most this. */
const REPEAT_MS = { first: 100, margin: 30, max: 1000 } as const;
/** Nobody else uses the line, so waiting gets longer only in case that round trips do. */
const WAIT_FACTOR_MAX = 2;
/** Between two copies of `hello`, ms. */
const HELLO_MS = 100;
/** Between attempts to open a line again, ms. */
const REOPEN_MS = 250;
/** Silence after which a run is reported as without a link, ms: a board in a free run sends all the time. */
const GONE_MS = 300;

/** Between two orders to stop, ms. */
const STOP_REPEAT_MS = 50;
/** Number of the requests to stop, which are outside the numbering. */
const STOP_NUMBER = 1;
/** What a frame adds to its body: head, CRC, end, and some byte stuffing. */
const FRAME_BYTES = 16;

/** A request that has been sent or waits to be. */
interface Request {
  readonly name: RequestName;
  readonly body: Uint8Array;
  number: number;
  /** When the first and the last copy were sent. */
  firstMs: number;
  sentMs: number;
  copies: number;
  resolve(answer: DataView): void;
  reject(error: Error): void;
}

/** What the link hands on besides answers. */
export interface LinkHandlers {
  onJournal(body: Uint8Array): void;
  /** During a run. */
  onEvent(event: LinkEvent): void;
}

/** What the link has to know about a run. */
export interface LinkRun {
  /** Whether the board sends without being asked, so that a silence means something. */
  readonly isTalkative: boolean;
  /** Whether a board that answers this is still in the run. */
  isGoingOn(answer: HelloAnswer): boolean;
}

export interface LinkSettings {
  readonly contractHash: string;
  readonly session: number;
  /** Without a frame for this long the board counts as lost, ms. */
  readonly silenceMs: number;
}

/** The board refuses a request: it is not possible in its state, or malformed. */
export class RequestRefused extends Error {
  constructor(
    board: string,
    readonly request: RequestName,
  ) {
    super(`${board} refuses the request ${request} in its present state`);
    this.name = 'RequestRefused';
  }
}

type State = 'opening' | 'greeting' | 'connected' | 'closed';

/**
 * The host's end of the link: several requests under way, each run exactly once by the board and answered in the end, whatever gets
 * lost, damaged, doubled or delayed on the way, and whether or not the line is cut for a while.
 *
 * The board runs requests in the order of their numbers and keeps its last answers, as many as may be under way. So the host may send
 * any of them again: what was done is answered again, what was not is done now. `hello` opens a session and is repeated after each
 * silence; a board that knows the session goes on where it was, and one that does not has restarted, and its run is over.
 */
export class Link {
  handlers: LinkHandlers = { onJournal: () => {}, onEvent: () => {} };
  /** Low 16 bits of the board's timer as estimated, for the frames sent. */
  tickNow: () => number = () => 0;
  /** The run in progress, which a restart of the board would end. */
  run: LinkRun | undefined;
  private state: State = 'opening';
  private line: Line | undefined;
  private hello: HelloAnswer | undefined;
  private readonly reader = new FrameReader();
  private readonly received = new SequenceCounter();
  private readonly roundTrips = new RoundTripTimes();
  private readonly counts = { sentFrames: 0, sentBytes: 0, frames: 0, echoes: 0, bytes: 0, repeated: 0, reconnections: 0 };
  private queue: Request[] = [];
  private underWay: Request[] = [];
  /** Time from the first copy to the first answer, of requests that were sent more than once. */
  private readonly answeredAfterRepeat = new Map<number, number>();
  private next = 1;
  private connection = 0;
  private sequence = 0;
  private heardMs: number;
  /** When the last `hello` was sent, and how many since the last answer to one. */
  private greeted = { ms: 0, count: 0 };
  /** Since when the line has been out, and how: a clause that continues "the board". */
  private gone: { readonly sinceMs: number; readonly reason: string } | undefined;
  /** Timeouts in a row without any answer. */
  private timeouts = 0;
  private cancelTimer: () => void = () => {};
  private greetings: { resolve(answer: HelloAnswer): void; reject(error: Error): void }[] = [];
  private stops: { resolve(): void; reject(error: Error): void }[] = [];
  private stoppedMs = 0;
  private baud: number | undefined;
  private failure: Error | undefined;

  constructor(
    readonly transport: Transport,
    private readonly settings: LinkSettings,
    private readonly clock: Clock,
  ) {
    this.heardMs = clock.nowMs();
    this.baud = transport.baud?.first;
  }

  get name(): string {
    return this.transport.name;
  }

  /**
   * Opens the line and greets the board.
   * @throws InputError when the line cannot be opened, the board refuses, or nothing intelligible answers
   */
  async connect(): Promise<HelloAnswer> {
    await this.open();
    try {
      return await this.greet();
    } catch (error) {
      await this.close();
      throw error;
    }
  }

  /** Greets the board again: its state as of now. */
  greet(): Promise<HelloAnswer> {
    return new Promise((resolve, reject) => {
      if (this.failure !== undefined) {
        reject(this.failure);
        return;
      }
      this.startWaiting();
      this.greetings.push({ resolve, reject });
      if (this.state === 'connected' || this.hello === undefined) this.startGreeting();
    });
  }

  /**
   * Sends a request and returns the body of its answer. Requests run in the order of these calls.
   * @throws LinkLost when the board is silent for too long, or has restarted
   * @throws RequestRefused
   */
  request(name: RequestName, body: Uint8Array = new Uint8Array(0)): Promise<DataView> {
    return new Promise((resolve, reject) => {
      if (this.failure !== undefined) {
        reject(this.failure);
        return;
      }
      this.startWaiting();
      this.queue.push({ name, body, number: 0, firstMs: 0, sentMs: 0, copies: 0, resolve, reject });
      this.sendQueued();
      this.schedule();
    });
  }

  /** Sends something that is not answered and not sent again. */
  post(name: RequestName, body: Uint8Array): void {
    if (this.state === 'connected') this.send(REQUESTS[name].kind, 0, body);
  }

  /** Ends a run at once, also without a session, and until the board confirms it. @throws LinkLost */
  stop(): Promise<void> {
    return new Promise((resolve, reject) => {
      if (this.failure !== undefined) {
        reject(this.failure);
        return;
      }
      this.startWaiting();
      this.stops.push({ resolve, reject });
      this.sendStop();
      this.schedule();
    });
  }

  /** Switches this end to another rate. */
  setBaud(baud: number): void {
    this.baud = baud;
    this.line?.setBaud?.(baud);
  }

  statistics(): Omit<LinkStatistics, 'board' | 'journalBytesLost' | 'relay'> {
    const { sentFrames, sentBytes, frames, bytes, repeated, reconnections } = this.counts;
    const { lost, doubled, reordered } = this.received;
    return {
      sent: { frames: sentFrames, bytes: sentBytes },
      received: { frames, bytes, lost, doubled, reordered, damaged: this.reader.damaged },
      repeatedRequests: repeated,
      reconnections,
      roundTripMs: this.roundTrips.summary(),
    };
  }

  async close(): Promise<void> {
    this.run = undefined;
    this.fail(new LinkLost(`the link to ${this.name} has been closed`));
    const { line } = this;
    this.line = undefined;
    await line?.close();
  }

  private get isWaiting(): boolean {
    return this.state === 'greeting' || this.gone !== undefined || this.queue.length + this.underWay.length + this.stops.length > 0;
  }

  /** A board that was not asked anything may have been silent for long. */
  private startWaiting(): void {
    if (!this.isWaiting && this.gone === undefined) this.heardMs = this.clock.nowMs();
  }

  private async open(): Promise<void> {
    this.state = 'opening';
    const line = await this.transport.open({
      onBytes: (bytes) => this.take(bytes),
      onGone: (reason) => this.takeGone(reason),
    });
    if ((this.state as State) === 'closed') await line.close();
    else this.line = line;
  }

  private send(kind: number, request: number, body: Uint8Array): void {
    if (this.line === undefined) return;
    const bytes = encodeFrame({ kind, request, sequence: this.sequence, tick: this.tickNow(), body });
    this.sequence = (this.sequence + 1) & 0xffff;
    this.counts.sentFrames += 1;
    this.counts.sentBytes += bytes.length;
    this.line.write(bytes);
  }

  private startGreeting(): void {
    this.state = 'greeting';
    this.connection = after(this.connection);
    this.greeted.count = 0;
    this.sendHello();
    this.schedule();
  }

  private sendHello(): void {
    // After a restart the board is back at its first rate; after a silence it may be at either.
    const { first, max } = this.transport.baud ?? {};
    if (first !== undefined && max !== undefined && first !== max && this.greeted.count > 0)
      this.setBaud(this.baud === first ? max : first);
    this.greeted = { ms: this.clock.nowMs(), count: this.greeted.count + 1 };
    this.send(REQUESTS.hello.kind, this.connection, helloBody(this.settings.session, this.settings.contractHash));
  }

  /** Sends what waits, as far as the board has room for it. */
  private sendQueued(): void {
    if (this.state !== 'connected' || this.hello === undefined) return;
    const { receiveBytes, greeting } = this.hello;
    for (let request = this.queue[0]; request !== undefined; request = this.queue[0]) {
      const [oldest] = this.underWay;
      const bytes = this.underWay.reduce((sum, one) => sum + one.body.length + FRAME_BYTES, request.body.length + FRAME_BYTES);
      if (oldest !== undefined && (distance(oldest.number, this.next) >= greeting.window || bytes > receiveBytes)) return;
      this.queue.shift();
      request.number = this.next;
      this.next = after(this.next);
      this.underWay.push(request);
      this.sendRequest(request);
    }
  }

  private sendRequest(request: Request): void {
    request.sentMs = this.clock.nowMs();
    if (request.copies === 0) request.firstMs = request.sentMs;
    else this.counts.repeated += 1;
    request.copies += 1;
    this.send(REQUESTS[request.name].kind, request.number, request.body);
  }

  private take(bytes: Uint8Array): void {
    this.counts.bytes += bytes.length;
    for (const frame of this.reader.take(bytes)) this.takeFrame(frame);
    this.schedule();
  }

  private takeFrame(frame: Frame): void {
    if (this.state === 'closed') return;
    if (frame.kind < ANSWER) {
      this.counts.echoes += 1;
      return;
    }
    this.counts.frames += 1;
    if (frame.kind === (REQUESTS.hello.kind | ANSWER)) {
      if (frame.request === this.connection) this.takeHello(frame);
      return;
    }
    this.received.take(frame.sequence);
    // A board that does not answer a greeting is of no use, whatever else it sends.
    if (this.state === 'connected') this.heardMs = this.clock.nowMs();
    if (frame.kind === (REQUESTS.stop.kind | ANSWER)) for (const { resolve } of this.stops.splice(0)) resolve();
    if (this.state !== 'connected') return;
    if (frame.kind === NOTICES.journal.kind) this.handlers.onJournal(frame.body);
    else if (frame.kind === NOTICES.started.kind) this.startGreeting();
    else if (frame.kind === NOTICES.missing.kind) this.sendFrom(frame.body[0] ?? 0);
    else if (frame.request !== 0) this.takeAnswer(frame);
  }

  private takeHello(frame: Frame): void {
    const answer = readHelloAnswer(frame.body);
    if (!('accepted' in answer) || answer.accepted !== 'accepted') {
      this.fail(this.refusal(answer));
      return;
    }
    const isFirst = this.hello === undefined;
    const isResumed = answer.sessionBefore === this.settings.session;
    if (!isResumed) this.received.restart();
    this.received.take(frame.sequence);
    this.hello = answer;
    this.heardMs = this.clock.nowMs();
    if (this.state !== 'greeting') return;
    this.state = 'connected';
    if (isFirst && isResumed) this.next = answer.next;
    else if (!isFirst && !(isResumed && this.isExpected(answer))) this.takeRestart(answer);
    if (this.gone !== undefined) this.takeReturn(this.gone.sinceMs);
    for (const { resolve } of this.greetings.splice(0)) resolve(answer);
    for (const request of this.underWay) this.sendRequest(request);
    this.sendQueued();
  }

  /** Whether the board goes on in the numbering and in the run that this host knows. */
  private isExpected(answer: HelloAnswer): boolean {
    const oldest = this.underWay[0]?.number ?? this.next;
    return distance(oldest, answer.next) <= distance(oldest, this.next) && (this.run?.isGoingOn(answer) ?? true);
  }

  /** The board has restarted: what it was doing is over. A request to restart has then been carried out. */
  private takeRestart({ next, greeting: { startCause, startReason } }: HelloAnswer): void {
    const reason = startText(startCause, startReason);
    const lost = [...this.underWay.splice(0), ...this.queue.splice(0)];
    this.next = next;
    for (const request of lost) {
      if (request.name === 'restart') request.resolve(new DataView(new ArrayBuffer(0)));
      else request.reject(new LinkLost(`${this.name} has restarted: ${reason}`));
    }
    if (this.run !== undefined) this.handlers.onEvent({ kind: 'restarted', reason });
    this.run = undefined;
  }

  private takeReturn(sinceMs: number): void {
    this.counts.reconnections += 1;
    if (this.run !== undefined) this.handlers.onEvent({ kind: 'back', goneMs: this.clock.nowMs() - sinceMs });
    this.gone = undefined;
  }

  private refusal(answer: ReturnType<typeof readHelloAnswer>): Error {
    const file = this.name;
    if (!('accepted' in answer)) {
      const problem = `the board uses version ${answer.version} of the link, this program version ${LINK_VERSION}`;
      return new InputError({ file, problem, value: answer.version, hint: 'Build its firmware again' });
    }
    if (answer.accepted === 'busy')
      return new InputError({ file, problem: 'another host has a run on this board', hint: 'End that run first' });
    const value = answer.greeting.contractHash;
    const problem = `the board's contract is ${value}, this controller's is ${this.settings.contractHash}`;
    return new InputError({ file, problem, value, hint: 'Build its firmware from this controller' });
  }

  private takeAnswer({ kind, request: number, body }: Frame): void {
    const index = this.underWay.findIndex((one) => one.number === number);
    const request = this.underWay[index];
    if (request === undefined) {
      this.takeSecondAnswer(number);
      return;
    }
    const isAnswer = kind === (REQUESTS[request.name].kind | ANSWER);
    if (!isAnswer && !(kind === REFUSED && body[0] === REQUESTS[request.name].kind)) return;
    if (kind === REFUSED && body[1] === 1) {
      // The board has no session: it has restarted.
      this.startGreeting();
      return;
    }
    this.underWay.splice(index, 1);
    this.timeouts = 0;
    const tripMs = this.clock.nowMs() - request.firstMs;
    if (request.copies === 1) this.roundTrips.add(tripMs);
    else this.answeredAfterRepeat.set(number, tripMs);
    // Everything before it has been done: those answers got lost.
    for (const one of this.underWay.slice(0, index)) if (one.sentMs <= request.sentMs) this.sendRequest(one);
    if (isAnswer) request.resolve(dataViewOf(Uint8Array.from(body)));
    else request.reject(new RequestRefused(this.name, request.name));
    this.sendQueued();
  }

  /**
   * Each copy of a request has been answered, so the first was not lost but slow: without this round trip the time to wait would stay
   * too short for a slow line, which the needless copies would slow down further.
   */
  private takeSecondAnswer(number: number): void {
    const tripMs = this.answeredAfterRepeat.get(number);
    if (tripMs !== undefined) this.roundTrips.add(tripMs);
    this.answeredAfterRepeat.delete(number);
  }

  /** The board has not received this request, and dropped those after it. */
  private sendFrom(number: number): void {
    const from = this.underWay.findIndex((one) => one.number === number);
    // It is one of another numbering, unless the notice is late.
    if (from === -1) {
      if (this.underWay.length > 0 && distance(this.underWay[0]?.number ?? 0, number) >= this.underWay.length) this.startGreeting();
      return;
    }
    for (const one of this.underWay.slice(from)) this.sendRequest(one);
  }

  private takeGone(reason: string): void {
    if (this.state === 'closed') return;
    this.line = undefined;
    if (!this.transport.isReopenable) {
      this.fail(new LinkLost(`${this.name} ${reason}`));
      return;
    }
    this.noteGone(reason);
    this.reopen();
  }

  private noteGone(reason: string): void {
    if (this.gone !== undefined) return;
    this.gone = { sinceMs: this.clock.nowMs(), reason };
    if (this.run !== undefined) this.handlers.onEvent({ kind: 'gone', reason });
  }

  /** Tries to open the line again, until the silence has been too long. */
  private reopen(): void {
    this.state = 'opening';
    this.clock.after(REOPEN_MS, async () => {
      if (this.state === 'closed') return;
      try {
        await this.open();
        this.startGreeting();
      } catch {
        this.reopen();
      }
    });
    this.schedule();
  }

  /** Everything that waits for the board gets this error, and so does everything that is asked later. */
  private fail(error: Error): void {
    this.failure ??= error;
    this.state = 'closed';
    this.cancelTimer();
    const waiting = [...this.underWay.splice(0), ...this.queue.splice(0), ...this.stops.splice(0), ...this.greetings.splice(0)];
    for (const { reject } of waiting) reject(this.failure);
    if (this.run !== undefined) this.handlers.onEvent({ kind: 'lost', reason: this.failure.message });
    this.run = undefined;
  }

  private get repeatMs(): number {
    const { first, margin, max } = REPEAT_MS;
    return Math.min(max, this.roundTrips.timeoutMs(first, margin, max) * Math.min(WAIT_FACTOR_MAX, 2 ** this.timeouts));
  }

  /** What is due next, and when: the first that is due is done. */
  private *tasks(): Generator<{ readonly dueMs: number; run(): void }> {
    if (this.isWaiting) yield { dueMs: this.heardMs + this.settings.silenceMs, run: () => this.fail(this.silence()) };
    if (this.stops.length > 0) yield { dueMs: this.stoppedMs + STOP_REPEAT_MS, run: () => this.sendStop() };
    if (this.state === 'greeting') yield { dueMs: this.greeted.ms + HELLO_MS, run: () => this.sendHello() };
    if (this.state !== 'connected') return;
    const [oldest] = this.underWay;
    if (oldest !== undefined) yield { dueMs: oldest.sentMs + this.repeatMs, run: () => this.repeatAll() };
    if (this.run?.isTalkative === true) yield { dueMs: this.heardMs + GONE_MS, run: () => this.noteSilence() };
  }

  private schedule(): void {
    this.cancelTimer();
    const tasks = this.state === 'closed' ? [] : [...this.tasks()];
    if (tasks.length === 0) return;
    const first = tasks.reduce((one, other) => (other.dueMs < one.dueMs ? other : one));
    this.cancelTimer = this.clock.after(Math.max(0, first.dueMs - this.clock.nowMs()), () => {
      // A timer may fire a fraction of a millisecond early.
      if (this.clock.nowMs() >= first.dueMs - 0.5) first.run();
      this.schedule();
    });
  }

  private repeatAll(): void {
    this.timeouts += 1;
    for (const request of this.underWay) this.sendRequest(request);
  }

  private noteSilence(): void {
    this.noteGone('does not answer');
    this.startGreeting();
  }

  private sendStop(): void {
    this.stoppedMs = this.clock.nowMs();
    this.send(REQUESTS.stop.kind, STOP_NUMBER, new Uint8Array(0));
  }

  private silence(): Error {
    const { frames, echoes, bytes } = this.counts;
    const file = this.name;
    if (this.hello !== undefined || frames > 0) return new LinkLost(`${file} ${this.gone?.reason ?? 'does not answer'}`);
    if (bytes === 0)
      return new InputError({ file, problem: 'nothing answers', hint: 'Check the cable, the port and whether the board has power' });
    if (echoes > 0) {
      const hint = 'Check that its receive and transmit wires are not connected to each other';
      return new InputError({ file, problem: 'what is sent comes back unchanged, and nothing else', hint });
    }
    const problem = `only garbage arrives: ${bytes} bytes and no intact frame`;
    return new InputError({ file, problem, hint: 'Check the baud rate, and that this is a board with this firmware' });
  }
}

/** A session of a new host: never 0. */
export const newSession = (): number => randomInt(1, 2 ** 32);
