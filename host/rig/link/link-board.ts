import { parameterBytes } from '../../chip/chip-runner.js';
import { LinkLost } from '../../chip/link.js';
import { MODES } from '../../chip/protocol.js';
import { dataViewOf } from '../../common/data-view.js';
import { InputError } from '../../common/input-error.js';
import { type ParameterValues, placeOf, recordOf } from '../../contract/contract.js';
import type { BuildDescription } from '../../contract/embed.js';
import { readField } from '../../contract/fields.js';
import { messageBytes } from '../../contract/messages.js';
import { ParameterRefused } from '../../runner/runner.js';
import type {
  Board,
  BoardStatus,
  ClockAlignment,
  FreeRun,
  FreeRunListener,
  FreeRunOptions,
  Greeting,
  LinkStatistics,
  LockstepRun,
  RelayHarm,
  ResumeOptions,
} from '../board.js';
import type { Clock } from './clock.js';
import { ClockEstimate } from './clock-alignment.js';
import { LinkFreeRun } from './free-run.js';
import { JournalReader } from './journal-reader.js';
import { JournalStream } from './journal-stream.js';
import type { Link } from './link.js';
import { LinkLockstep } from './lockstep.js';
import { type HelloAnswer, readStatus, refusalText } from './messages.js';

/** Largest piece of memory in one request, bytes. */
const PIECE_BYTES = 256;
/** Between two looks at the state while valves close, ms. */
const POLL_MS = 5;
/** Polls in one wait; closing every valve takes at most some seconds, and venting 10 s. */
const POLLS_MAX = 20_000;
/** Exchanges that align the clocks before a free run, and the time between those during it, ms. */
const FIRST_EXCHANGES = 8;
const EXCHANGE_MS = 250;

/** What the link carries to the board's records and back. */
export class LinkBoard implements Board {
  greeting: Greeting;
  private status_: BoardStatus | undefined;
  private estimate: ClockEstimate;
  private stream: JournalStream;
  private reader: JournalReader | undefined;
  private journalBytesLost = 0;
  private cancelExchange: () => void = () => {};

  constructor(
    private readonly link: Link,
    readonly description: BuildDescription,
    readonly session: number,
    private readonly linkClock: Clock,
    hello: HelloAnswer,
    private readonly relay: () => RelayHarm | undefined,
  ) {
    this.greeting = this.greetingIn(hello);
    this.estimate = new ClockEstimate(this.greeting.tickHz);
    this.stream = this.streamFrom(hello.journalEnd);
    link.tickNow = () => this.estimatedTick();
  }

  get name(): string {
    return this.link.name;
  }

  get journalOffset(): number {
    return this.stream.offset;
  }

  statistics(): LinkStatistics {
    return {
      ...this.link.statistics(),
      board: this.reader?.counters ?? this.status_?.counters,
      journalBytesLost: this.journalBytesLost + this.stream.bytesLost,
      relay: this.relay(),
    };
  }

  clock(): ClockAlignment | undefined {
    return this.estimate.alignment();
  }

  async status(): Promise<BoardStatus> {
    this.status_ = readStatus(await this.link.request('status'));
    return this.status_;
  }

  async lockstep(rows: number, values: ParameterValues): Promise<LockstepRun> {
    await this.waitUntilReady();
    await this.configure(rows, values, 'lockstep', 1);
    this.link.run = { isTalkative: false, isGoingOn: ({ greeting }) => greeting.state === 'lockstep' };
    return new LinkLockstep(this.link, this.description, this.greeting, rows);
  }

  async freeRun(rows: number, values: ParameterValues, { inputPeriod = 1 }: FreeRunOptions, listener: FreeRunListener): Promise<FreeRun> {
    await this.waitUntilReady();
    await this.align();
    // What is left of an earlier run belongs to nobody.
    const { journalEnd } = await this.link.greet();
    this.startStream(journalEnd);
    this.startReader(rows, inputPeriod, 0, listener);
    const startTimerTick = await this.configure(rows, values, 'freeRun', inputPeriod);
    return this.startFreeRun(rows, inputPeriod, startTimerTick);
  }

  async resumeFreeRun(rows: number, options: ResumeOptions, listener: FreeRunListener): Promise<FreeRun> {
    const { inputPeriod = 1, journalOffset, nextStep, startTimerTick, output } = options;
    const { greeting } = this;
    if (!greeting.isResumed || greeting.state !== 'running') {
      const problem = greeting.isResumed
        ? `the board is no longer in its run: it is ${greeting.state}`
        : 'the board does not know this session';
      throw new InputError({ file: this.name, problem, value: greeting.state });
    }
    await this.align();
    this.startStream(journalOffset);
    this.startReader(rows, inputPeriod, nextStep, listener, output);
    const run = this.startFreeRun(rows, inputPeriod, startTimerTick);
    await this.stream.askForGap();
    return run;
  }

  async readParameters(): Promise<ParameterValues> {
    const { contract } = this.description;
    const record = recordOf(contract, 'Parameters');
    const bytes = dataViewOf(await this.readMemory(placeOf(contract, 'parameters').at, record.size));
    const names = new Set(contract.parameters.map(({ name }) => name));
    return Object.fromEntries(record.fields.filter(({ name }) => names.has(name)).map((field) => [field.name, readField(bytes, 0, field)]));
  }

  async readMemory(at: number, count: number): Promise<Uint8Array> {
    const bytes = new Uint8Array(count);
    const readPiece = async (done: number): Promise<void> => {
      const size = Math.min(PIECE_BYTES, count - done);
      const answer = await this.link.request('read', new Uint8Array(Uint32Array.of(at + done, size).buffer));
      bytes.set(new Uint8Array(answer.buffer, answer.byteOffset, answer.byteLength), done);
    };
    await Promise.all(Array.from({ length: Math.ceil(count / PIECE_BYTES) }, (_, index) => readPiece(index * PIECE_BYTES)));
    return bytes;
  }

  async writeMemory(at: number, bytes: Uint8Array): Promise<void> {
    const pieces = Array.from({ length: Math.ceil(bytes.length / PIECE_BYTES) }, (_, index) => index * PIECE_BYTES);
    const writePiece = (done: number): Promise<unknown> =>
      this.link.request(
        'write',
        Buffer.concat([new Uint8Array(Uint32Array.of(at + done).buffer), bytes.subarray(done, done + PIECE_BYTES)]),
      );
    await Promise.all(pieces.map(writePiece));
  }

  async inject(fault: number): Promise<void> {
    await this.link.request('inject', Uint8Array.of(fault));
  }

  stop(): Promise<void> {
    return this.link.stop();
  }

  async restart(): Promise<Greeting> {
    this.link.run = undefined;
    await this.link.request('restart');
    const hello = await this.link.greet();
    this.greeting = this.greetingIn(hello);
    this.estimate = new ClockEstimate(this.greeting.tickHz);
    this.startStream(hello.journalEnd);
    await this.waitUntilReady();
    return this.greeting;
  }

  async close(): Promise<void> {
    this.cancelExchange();
    // A board that waits for the next tick would be busy for another host. A free run may be taken up again.
    if (this.link.run?.isTalkative === false) this.link.post('endRun', new Uint8Array(0));
    await this.link.close();
  }

  private greetingIn({ greeting, sessionBefore }: HelloAnswer): Greeting {
    return { ...greeting, isResumed: sessionBefore === this.session };
  }

  private estimatedTick(): number {
    return this.estimate.isKnown ? Math.floor(this.estimate.tickAt(this.linkClock.nowMs()).value) & 0xffff : 0;
  }

  private streamFrom(offset: number): JournalStream {
    const ask = async (from: number): Promise<number> =>
      (await this.link.request('journalFrom', new Uint8Array(Uint32Array.of(from).buffer))).getUint32(0, true);
    const stream = new JournalStream(offset, (bytes, isAfterLoss) => this.reader?.take(bytes, isAfterLoss), ask);
    this.link.handlers.onJournal = (body) => stream.add(dataViewOf(body).getUint32(0, true), body.subarray(4));
    return stream;
  }

  private startStream(offset: number): void {
    this.journalBytesLost += this.stream.bytesLost;
    this.stream = this.streamFrom(offset);
  }

  private startReader(rows: number, period: number, next: number, listener: FreeRunListener, before?: Uint8Array): void {
    this.reader = new JournalReader(messageBytes(this.description.contract, 'output', rows), period, next, listener, before);
    this.link.handlers.onEvent = (event) => listener.onLink?.(event);
  }

  private startFreeRun(rows: number, inputPeriod: number, startTimerTick: number): FreeRun {
    const { link, stream, reader, estimate, description, greeting, linkClock } = this;
    if (reader === undefined) throw new Error('the run has no reader of its journal');
    const isGoingOn = ({ journalEnd, steps }: HelloAnswer): boolean =>
      ((journalEnd - stream.offset) | 0) >= 0 && steps >= (reader.last?.step ?? 0);
    link.run = { isTalkative: true, isGoingOn };
    this.keepAligning();
    const waitUntilReady = (): Promise<BoardStatus> => this.waitUntilReady();
    const context = { link, clock: linkClock, description, greeting, estimate, stream, reader, waitUntilReady };
    return new LinkFreeRun(context, rows, inputPeriod, startTimerTick);
  }

  /** Goes on as long as there is a run. */
  private keepAligning(): void {
    this.cancelExchange();
    this.cancelExchange = this.linkClock.after(EXCHANGE_MS, async () => {
      if (this.link.run === undefined) return;
      try {
        await this.exchangeClock();
      } catch {
        return; // The run's owner learns that the link is lost.
      }
      this.keepAligning();
    });
  }

  private async align(): Promise<void> {
    for (let count = 0; count < FIRST_EXCHANGES; count++) await this.exchangeClock();
  }

  private async exchangeClock(): Promise<void> {
    const sentMs = this.linkClock.nowMs();
    const answer = await this.link.request('clock');
    const [tick, counts, countsPerTick] = [0, 4, 8].map((at) => answer.getUint32(at, true));
    this.estimate.add(sentMs, this.linkClock.nowMs(), (tick ?? 0) + (counts ?? 0) / Math.max(1, countsPerTick ?? 1));
  }

  private async waitUntilReady(): Promise<BoardStatus> {
    for (let poll = 0; poll < POLLS_MAX; poll++) {
      const status = await this.status();
      if (status.state === 'stopped') throw new LinkLost(`${this.name} has stopped and needs a restart`);
      if (status.state !== 'closing' && status.state !== 'ending') return status;
      await new Promise<void>((resolve) => this.linkClock.after(POLL_MS, resolve));
    }
    throw new LinkLost(`${this.name} does not become ready`);
  }

  /** @returns the board's timer tick of step 0 */
  private async configure(rows: number, values: ParameterValues, mode: keyof typeof MODES, period: number): Promise<number> {
    const isReporting = mode === 'freeRun' ? 1 : 0;
    const head = Buffer.from([rows & 255, rows >> 8, MODES[mode], isReporting, period & 255, period >> 8, 0, 0]);
    const answer = await this.link.request('configure', Buffer.concat([head, parameterBytes(this.description, values)]));
    const result = answer.getInt32(0, true);
    if (result === 0) return answer.getUint32(4, true);
    if (result > 0) throw new ParameterRefused(this.description.contract.parameters[result - 1]?.name ?? `number ${result}`);
    throw new InputError({ file: this.name, problem: `the board refuses to run ${rows} rows: ${refusalText(result)}`, value: rows });
  }
}
