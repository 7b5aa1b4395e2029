import { type ChildProcess, spawn } from 'node:child_process';
import { createSocket } from 'node:dgram';
import { once } from 'node:events';
import { createConnection } from 'node:net';
import { encodeFrame, type Frame, FrameReader } from '../../host/chip/frames.js';
import { ANSWER, ENTRIES, LINK_VERSION, NOTICES, REQUESTS, type RequestName } from '../../host/chip/protocol.js';

/** An end of the link that a test drives frame by frame. */
export class RawEnd {
  readonly frames: Frame[] = [];
  /** Sequence number of the next frame. */
  sequence = 0;
  private readonly reader = new FrameReader();
  private wake: () => void = () => {};

  constructor(
    private readonly write: (bytes: Uint8Array) => void,
    readonly close: () => void,
  ) {}

  get damaged(): number {
    return this.reader.damaged;
  }

  receive(bytes: Uint8Array): void {
    this.frames.push(...this.reader.take(bytes));
    this.wake();
  }

  send(name: RequestName, request: number, body: Uint8Array = new Uint8Array(0), sequence = this.sequence): void {
    this.sequence = (sequence + 1) & 0xffff;
    this.write(encodeFrame({ kind: REQUESTS[name].kind, request, sequence, tick: 0, body }));
  }

  /** The first frame that fits, which is removed. @throws Error after two seconds */
  async next(fits: (frame: Frame) => boolean): Promise<Frame> {
    const end = Date.now() + 2000;
    for (;;) {
      const index = this.frames.findIndex(fits);
      if (index !== -1) return this.frames.splice(index, 1)[0] as Frame;
      if (Date.now() > end)
        throw new Error(`no such frame among ${this.frames.map(({ kind, request }) => `${kind}/${request}`).join(' ')}`);
      await new Promise<void>((resolve) => {
        this.wake = resolve;
        setTimeout(resolve, 50);
      });
    }
  }

  /** Sends a request and returns its answer's body. */
  async request(name: RequestName, request: number, body?: Uint8Array): Promise<Buffer> {
    this.send(name, request, body);
    return Buffer.from((await this.answer(name, request)).body);
  }

  answer(name: RequestName, request: number): Promise<Frame> {
    return this.next((one) => one.request === request && one.kind === (REQUESTS[name].kind | ANSWER));
  }

  hello(session: number, contractHash: string): Promise<Buffer> {
    const body = Buffer.from([LINK_VERSION, 0, 0, 0, 0, 0, 0, 0, ...Buffer.from(contractHash, 'latin1')]);
    body.writeUInt32LE(session, 4);
    return this.request('hello', 1, body);
  }
}

/** The firmware as a program of this computer. */
export class RawProgram {
  private readonly ends: RawEnd[] = [];

  private constructor(
    private readonly child: ChildProcess,
    /** What the program prints first, if it is not its link. */
    readonly place: string,
  ) {}

  static async start(image: string, ...words: string[]): Promise<RawProgram> {
    const child = spawn(image, words, { stdio: ['pipe', 'pipe', 'ignore'] });
    if (words.length === 0) return new RawProgram(child, '');
    const [line] = (await once(child.stdout, 'data')) as [Buffer];
    return new RawProgram(child, line.toString().trim());
  }

  private add(end: RawEnd): RawEnd {
    this.ends.push(end);
    return end;
  }

  /** Standard input and output. */
  standard(): RawEnd {
    const { stdin, stdout } = this.child;
    const end = new RawEnd(
      (bytes) => void stdin?.write(bytes),
      () => {},
    );
    stdout?.on('data', (bytes: Buffer) => end.receive(bytes));
    return this.add(end);
  }

  private get port(): number {
    return Number(this.place.split(':')[1]);
  }

  async tcp(): Promise<RawEnd> {
    const socket = createConnection(this.port, '127.0.0.1');
    await once(socket, 'connect');
    const end = new RawEnd(
      (bytes) => void socket.write(bytes),
      () => void socket.destroy(),
    );
    socket.on('data', (bytes) => end.receive(bytes as Buffer));
    return this.add(end);
  }

  /** Counts datagrams that do not end with a whole frame. */
  async udp(): Promise<RawEnd & { split: number }> {
    const socket = createSocket('udp4');
    const { port } = this;
    const end = Object.assign(
      new RawEnd(
        (bytes) => socket.send(bytes, port, '127.0.0.1'),
        () => void socket.close(),
      ),
      { split: 0 },
    );
    socket.on('message', (bytes) => {
      if (bytes.at(-1) !== 0) end.split += 1;
      end.receive(bytes);
    });
    this.add(end);
    return end;
  }

  close(): void {
    for (const end of this.ends) end.close();
    this.child.kill('SIGKILL');
  }
}

/** An entry of the journal. */
export interface Entry {
  readonly type: keyof typeof ENTRIES;
  readonly body: Buffer;
}

/** Entries of the journal that have arrived, without those that came twice; and the offsets between which some are missing. */
export function journalOf(frames: readonly Frame[]): { entries: Entry[]; gaps: [number, number][] } {
  const names = new Map(Object.entries(ENTRIES).map(([name, { kind }]) => [kind as number, name as keyof typeof ENTRIES]));
  const entries: Entry[] = [];
  const gaps: [number, number][] = [];
  let end = 0;
  for (const { body } of frames.filter(({ kind }) => kind === NOTICES.journal.kind)) {
    const bytes = Buffer.from(body);
    const from = bytes.readUInt32LE(0);
    if (from > end) gaps.push([end, from]);
    for (let at = 4; at < bytes.length; at += 2 + (bytes[at + 1] ?? 0)) {
      const type = names.get(bytes[at] ?? 0);
      if (type === undefined) throw new Error(`entry ${bytes[at]}`);
      if (from + at - 4 >= end) entries.push({ type, body: bytes.subarray(at + 2, at + 2 + (bytes[at + 1] ?? 0)) });
    }
    end = Math.max(end, from + bytes.length - 4);
  }
  return { entries, gaps };
}
