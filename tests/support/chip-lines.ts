import { buildFirmware } from '../../host/chip/build.js';
import { chipOf } from '../../host/chip/chips.js';
import { encodeFrame, type Frame, FrameReader } from '../../host/chip/frames.js';
import { type Line, startFirmware } from '../../host/chip/line.js';
import { ANSWER, REQUESTS } from '../../host/chip/protocol.js';
import { PROJECT } from './project.js';

export const nativeFirmware = () => buildFirmware(chipOf('native'), PROJECT.controllerWasm, { channel: 'uart', isInjectable: true });

/** The firmware as a program of this computer, without a UART's delays. */
export const nativeLine = (silenceMs = 5000): Line => startFirmware(nativeFirmware(), { silenceMs });

export type Harm = 'drop' | 'damage';

/** One direction of a line on which every n-th frame is lost or has a bit changed. */
export class HarmedFrames {
  count = 0;
  harmed = 0;
  private rest = Buffer.alloc(0);

  constructor(
    readonly harm: Harm,
    readonly every: number,
  ) {}

  /** What arrives of these bytes: complete frames only, each with its final 0. */
  pass(bytes: Uint8Array): Buffer {
    const all = Buffer.concat([this.rest, bytes]);
    const frames: Buffer[] = [];
    let from = 0;
    for (let end = all.indexOf(0); end !== -1; end = all.indexOf(0, from)) {
      frames.push(this.one(Buffer.from(all.subarray(from, end + 1))));
      from = end + 1;
    }
    this.rest = Buffer.from(all.subarray(from));
    return Buffer.concat(frames);
  }

  private one(frame: Buffer): Buffer {
    this.count += 1;
    if (this.count % this.every !== 0) return frame;
    this.harmed += 1;
    if (this.harm === 'drop') return Buffer.alloc(0);
    const at = this.count % (frame.length - 1);
    // Never to 0, which would make two frames: the tests of frames cover that.
    frame[at] = (frame[at] ?? 0) === 0x40 ? 0x41 : (frame[at] ?? 0) ^ 0x40;
    return frame;
  }
}

/**
 * A line on which frames get lost. It reports the silence after a lost frame at once, since no answer can be on its way: the host
 * sends one request at a time.
 */
export function harmedLine(line: Line, requests: HarmedFrames, answers: HarmedFrames): Line {
  let isLost = false;
  return {
    ...line,
    write: (bytes) => {
      const before = requests.harmed;
      const passed = requests.pass(bytes);
      isLost = requests.harmed > before;
      if (passed.length > 0) line.write(passed);
    },
    read: () => {
      for (;;) {
        if (isLost) {
          isLost = false;
          return new Uint8Array(0);
        }
        const before = answers.harmed;
        const passed = answers.pass(line.read());
        isLost = answers.harmed > before;
        if (passed.length > 0) return passed;
      }
    },
  };
}

/** What happens on a tampered line. Ticks count from the chip's last configuration. */
export interface Tampering {
  /** Changes the inputs of the ticks of one request, from tick `from` up to `end`. */
  inputs?(inputs: Uint8Array, from: number, end: number): void;
  /** Changes the answer to these ticks. */
  answer?(body: Uint8Array, from: number, end: number): void;
  /** Requests to send to the chip before these ticks. */
  before?(from: number, end: number): readonly Pick<Frame, 'kind' | 'body'>[];
}

/** A line whose frames with ticks are changed on their way, so that a chip seems to work wrongly. */
export function tamperedLine(line: Line, inputBytes: number, { inputs, answer, before }: Tampering): Line {
  const [requests, answers] = [new FrameReader(), new FrameReader()];
  let [from, end] = [0, 0];
  const request = (frame: Frame): Uint8Array => {
    if (frame.kind === REQUESTS.configure.kind) [from, end] = [0, 0];
    if (frame.kind !== REQUESTS.ticks.kind) return encodeFrame(frame);
    [from, end] = [end, end + frame.body.length / inputBytes];
    const first = before?.(from, end) ?? [];
    const body = Uint8Array.from(frame.body);
    inputs?.(body, from, end);
    // A request with number 0 has no answer.
    return Buffer.concat([...first.map((one) => encodeFrame({ ...frame, ...one, request: 0 })), encodeFrame({ ...frame, body })]);
  };
  const answered = (frame: Frame): Uint8Array => {
    if (frame.kind !== (REQUESTS.ticks.kind | ANSWER)) return encodeFrame(frame);
    const body = Uint8Array.from(frame.body);
    answer?.(body, from, end);
    return encodeFrame({ ...frame, body });
  };
  return {
    ...line,
    write: (bytes) => line.write(Buffer.concat(requests.take(bytes).map(request))),
    read: () => {
      for (;;) {
        const bytes = line.read();
        const frames = answers.take(bytes);
        if (bytes.length === 0 || frames.length > 0) return Buffer.concat(frames.map(answered));
      }
    },
  };
}
