import { execFileSync, spawn } from 'node:child_process';
import { closeSync, constants, mkdtempSync, openSync, readFileSync, readSync, rmSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { asFileError, InputError } from '../common/input-error.js';
import type { Firmware } from './build.js';

/** Bytes to and from a chip. Reading waits for at least one byte, but not for ever. */
export interface Line {
  /** What it is, for messages. */
  readonly name: string;
  write(bytes: Uint8Array): void;
  /** What has come in; nothing after a long silence, or when the other end has gone. */
  read(): Uint8Array;
  /** What the program at the other end has said of trouble; nothing for a board. */
  complaint(): string;
  close(): void;
}

const CHUNK = 4096;
/** A chip that is silent for so long is given up. */
const SILENCE_MS = 2000;

/** Reads into a buffer of its own; end of file and silence both give no bytes. */
function reader(fd: number): () => Uint8Array {
  const buffer = Buffer.alloc(CHUNK);
  return () => buffer.subarray(0, readSync(fd, buffer, 0, CHUNK, null));
}

function writeAll(fd: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length; ) done += writeSync(fd, bytes, done);
}

/**
 * A serial port: raw, eight bits, no parity, at `baud`. Reading gives up after two seconds of silence, by the system’s own timer.
 * @throws InputError when it is no port that can be opened
 */
export function openPort(path: string, baud: number): Line {
  let fd: number;
  try {
    fd = openSync(path, constants.O_RDWR | constants.O_NOCTTY);
  } catch (error) {
    throw asFileError(error, path, 'read');
  }
  try {
    const settings = ['raw', '-echo', 'clocal', '-crtscts', 'cs8', '-parenb', '-cstopb', 'min', '0', 'time', String(SILENCE_MS / 100)];
    execFileSync('stty', [String(baud), ...settings], { stdio: [fd, 'ignore', 'pipe'] });
  } catch (error) {
    closeSync(fd);
    const what = (error as { stderr?: Buffer }).stderr?.toString().trim() || (error as Error).message;
    throw new InputError({ file: path, what, value: baud, allowed: 'a serial port, and a rate that it has' });
  }
  return { name: path, write: (bytes) => writeAll(fd, bytes), read: reader(fd), complaint: () => '', close: () => closeSync(fd) };
}

/*
 * A program that plays the chip has two named pipes. Reading them waits without end, so a second thread watches the count of
 * what has been read, and ends the program when nothing has come in for long: the pipe is then at its end.
 */
const WATCHMAN = `
const { workerData: { shared, pid, silenceMs, pipes } } = require('node:worker_threads');
const { openSync, closeSync } = require('node:fs');
const words = new Int32Array(shared);
for (;;) {
  const [seen, waiting, done] = [Atomics.load(words, 0), Atomics.load(words, 1), Atomics.load(words, 2)];
  if (done !== 0) break;
  Atomics.wait(words, 2, 0, silenceMs);
  if (waiting === 0 || Atomics.load(words, 0) !== seen || Atomics.load(words, 2) !== 0) continue;
  try { process.kill(pid, 'SIGKILL'); } catch {}
  // Both are held for a moment, since whoever waits to open the first will then wait to open the second.
  const held = pipes.map((pipe) => openSync(pipe, 'r+'));
  Atomics.wait(words, 2, 0, 500);
  for (const fd of held) closeSync(fd);
  break;
}`;

/** Words shared with the watchman: reads so far, whether one is under way, whether the line is closed. */
const [READS, WAITING, CLOSED] = [0, 1, 2];

/** Instructions to one nanosecond of the emulator’s time are two to the minus this. */
export const INSTRUCTION_SHIFT = 8;

export interface StartOptions {
  /** Counts instructions exactly; costs half the speed. */
  readonly isCounting?: boolean;
  /** After this long without a byte it counts as hung, and is ended. */
  readonly silenceMs?: number;
}

/** Program and words that play a chip whose link are these two pipes. */
function commandOf({ chip, channel, image }: Firmware, pipes: string, isCounting: boolean): readonly string[] {
  if (chip.emulator === undefined) return [image];
  const quiet = [...chip.emulator, '-display', 'none', '-monitor', 'none', '-kernel', image];
  const counting = isCounting ? ['-icount', `shift=${INSTRUCTION_SHIFT},sleep=off`] : [];
  if (channel === 'uart') return [...quiet, ...counting, '-serial', `pipe:${pipes}`];
  const files = `enable=on,target=native,arg=${pipes}.in,arg=${pipes}.out`;
  return [...quiet, ...counting, '-serial', 'null', '-semihosting-config', files];
}

/** A started program that plays the chip. */
function startProgram(firmware: Firmware, pipes: string, isCounting: boolean): { pid: number; stop(): void } {
  const [program = '', ...words] = commandOf(firmware, pipes, isCounting);
  const isNative = firmware.chip.emulator === undefined;
  const said = openSync(`${pipes}.said`, 'w');
  // A shell opens the pipes for a program that has its link on standard input and output, since opening them waits.
  const child = isNative
    ? spawn('sh', ['-c', 'exec "$0" < "$1.in" > "$1.out"', program, pipes], { stdio: ['ignore', 'ignore', said] })
    : spawn(program, words, { stdio: ['ignore', 'ignore', said] });
  child.unref();
  closeSync(said);
  if (child.pid === undefined) throw new InputError({ file: program, what: 'program that can’t be started', allowed: 'see chip build' });
  return { pid: child.pid, stop: () => void child.kill('SIGKILL') };
}

/** Starts the firmware on its emulator, or as a program, and gives its end of the link. */
export function startFirmware(firmware: Firmware, { isCounting = false, silenceMs = 20_000 }: StartOptions = {}): Line {
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-chip-'));
  const pipes = join(folder, 'link');
  execFileSync('mkfifo', [`${pipes}.in`, `${pipes}.out`]);
  const { pid, stop } = startProgram(firmware, pipes, isCounting);
  const shared = new SharedArrayBuffer(12);
  const words = new Int32Array(shared);
  const workerData = { shared, pid, silenceMs, pipes: [`${pipes}.in`, `${pipes}.out`] };
  new Worker(WATCHMAN, { eval: true, workerData }).unref();
  Atomics.store(words, WAITING, 1);
  const into = openSync(`${pipes}.in`, 'w');
  const from = openSync(`${pipes}.out`, 'r');
  const readSome = reader(from);
  // A chip tells of its start once it listens: what a UART gets before that is lost.
  let early = Uint8Array.from(readSome());
  Atomics.store(words, WAITING, 0);
  return {
    name: firmware.chip.name,
    write: (bytes) => writeAll(into, bytes),
    read: () => {
      if (early.length > 0) {
        const bytes = early;
        early = new Uint8Array(0);
        return bytes;
      }
      Atomics.store(words, WAITING, 1);
      const bytes = readSome();
      Atomics.store(words, WAITING, 0);
      Atomics.add(words, READS, 1);
      return bytes;
    },
    complaint: () => readFileSync(`${pipes}.said`, 'utf8').trim(),
    close: () => {
      Atomics.store(words, CLOSED, 1);
      Atomics.notify(words, CLOSED);
      closeSync(into);
      closeSync(from);
      stop();
      rmSync(folder, { recursive: true });
    },
  };
}
