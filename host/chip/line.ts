import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { closeSync, constants, openSync, readFileSync, readSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { asFileError, InputError } from '../common/input-error.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';
import type { Firmware } from './build.js';
import { guardProgram } from './guard.js';

/** Bytes to and from a chip. */
export interface Line {
  /** For messages. */
  readonly name: string;
  /** Pause between polls; 0 where the chip's time passes only while it executes instructions. */
  readonly pollMs: number;
  write(bytes: Uint8Array): void;
  /** Waits for at least one byte. Returns none after a long silence, or when the other end has gone. */
  read(): Uint8Array;
  /** Error output of the program at the other end; empty for a board. */
  errorOutput(): string;
  /** May be called again. */
  close(): void;
}

const CHUNK_BYTES = 4096;
const POLL_MS = 5;
/** A board that is silent for this long does not answer any more. */
const PORT_SILENCE_MS = 2000;

/** Reads into its own buffer; the end of the file and a timeout both return no bytes. */
function reader(fd: number): () => Uint8Array {
  const buffer = Buffer.alloc(CHUNK_BYTES);
  return () => buffer.subarray(0, readSync(fd, buffer, 0, CHUNK_BYTES, null));
}

/** Closing a file twice would close another one that has got its number meanwhile. */
function once(close: () => void): () => void {
  let isClosed = false;
  return () => {
    if (!isClosed) close();
    isClosed = true;
  };
}

function writeAll(fd: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length; ) done += writeSync(fd, bytes, done);
}

/**
 * Opens a serial port: raw, eight bits, no parity, at `baud`. The system's own timer ends a read after two seconds of silence.
 * @throws InputError when it cannot be opened, or does not support the rate
 */
export function openPort(path: string, baud: number): Line {
  let fd: number;
  try {
    fd = openSync(path, constants.O_RDWR | constants.O_NOCTTY);
  } catch (error) {
    throw asFileError(error, path, 'read');
  }
  try {
    const time = String(PORT_SILENCE_MS / 100);
    const settings = ['raw', '-echo', 'clocal', '-crtscts', 'cs8', '-parenb', '-cstopb', 'min', '0', 'time', time];
    execFileSync('stty', [String(baud), ...settings], { stdio: [fd, 'ignore', 'pipe'] });
  } catch (error) {
    closeSync(fd);
    const reason = (error as { stderr?: Buffer }).stderr?.toString().trim() || (error as Error).message;
    const problem = `this is not a serial port, or it does not support ${baud} baud (${reason})`;
    throw new InputError({ file: path, problem, value: baud });
  }
  return {
    name: path,
    pollMs: POLL_MS,
    write: (bytes) => writeAll(fd, bytes),
    read: reader(fd),
    errorOutput: () => '',
    close: once(() => closeSync(fd)),
  };
}

/*
 * A program in the role of a chip is connected by two named pipes. Reads from them block without limit, so a second thread watches
 * the number of reads and ends one that takes too long: by a byte 0, which is an empty frame. While the pipes are not open yet, it
 * opens both for a moment, since whoever waits to open the first will then wait to open the second.
 */
const WATCHDOG = `
const { workerData: { shared, silenceMs, pipes } } = require('node:worker_threads');
const { openSync, closeSync, writeSync } = require('node:fs');
const words = new Int32Array(shared);
while (Atomics.load(words, 2) === 0) {
  const [reads, waiting] = [Atomics.load(words, 0), Atomics.load(words, 1)];
  Atomics.wait(words, 2, 0, silenceMs);
  if (waiting === 0 || Atomics.load(words, 0) !== reads || Atomics.load(words, 2) !== 0) continue;
  Atomics.store(words, 3, 1);
  try {
    const held = pipes.map((pipe) => openSync(pipe, 'r+'));
    writeSync(held[1], new Uint8Array(1));
    if (reads === 0) Atomics.wait(words, 2, 0, 500);
    for (const fd of held) closeSync(fd);
  } catch {
    // The line was closed meanwhile.
  }
}`;

/** Words shared with the watchdog thread: number of reads, whether one is in progress, whether the line is closed, whether it was silent. */
const [READS, WAITING, CLOSED, SILENT] = [0, 1, 2, 3];

/** An instruction takes 2^INSTRUCTION_SHIFT ns of the emulator's time. */
export const INSTRUCTION_SHIFT = 8;

export interface StartOptions {
  /** Count instructions exactly; halves the speed. */
  readonly isCounting?: boolean;
  /** A read ends without bytes after this time. */
  readonly silenceMs?: number;
}

/** Command line of a program in the role of a chip, with its link on these two pipes. */
function commandOf({ chip, channel, image }: Firmware, pipes: string, isCounting: boolean): readonly string[] {
  if (chip.emulator === undefined) return [image];
  const quiet = [...chip.emulator, '-display', 'none', '-monitor', 'none', '-kernel', image];
  const counting = isCounting ? ['-icount', `shift=${INSTRUCTION_SHIFT},sleep=off`] : [];
  if (channel === 'uart') return [...quiet, ...counting, '-serial', `pipe:${pipes}`];
  const files = `enable=on,target=native,arg=${pipes}.in,arg=${pipes}.out`;
  return [...quiet, ...counting, '-serial', 'null', '-semihosting-config', files];
}

function startProgram(firmware: Firmware, pipes: string, isCounting: boolean): ChildProcess {
  const command = commandOf(firmware, pipes, isCounting);
  const isNative = firmware.chip.emulator === undefined;
  const errors = openSync(`${pipes}.errors`, 'w');
  // Opening a pipe blocks, so a shell does it for a program that has its link on standard input and output.
  const opened = isNative ? ['sh', '-c', 'exec "$0" < "$1.in" > "$1.out"', ...command, pipes] : command;
  const [program = '', ...words] = opened;
  const child = spawn(program, words, { stdio: ['ignore', 'ignore', errors] });
  child.unref();
  closeSync(errors);
  if (child.pid === undefined)
    throw new InputError({
      file: program,
      problem: 'the program does not start',
      hint: 'Run `latchbench chip build` to see what is missing',
    });
  return child;
}

/** Starts the firmware on its emulator, or as a program, and returns the host's end of its link. */
export function startFirmware(firmware: Firmware, { isCounting = false, silenceMs = 20_000 }: StartOptions = {}): Line {
  const folder = makeTemporaryFolder('latchbench-chip-');
  const pipes = join(folder, 'link');
  execFileSync('mkfifo', [`${pipes}.in`, `${pipes}.out`]);
  const program = startProgram(firmware, pipes, isCounting);
  const endGuard = guardProgram(program);
  const shared = new SharedArrayBuffer(16);
  const words = new Int32Array(shared);
  new Worker(WATCHDOG, { eval: true, workerData: { shared, silenceMs, pipes: [`${pipes}.in`, `${pipes}.out`] } }).unref();
  Atomics.store(words, WAITING, 1);
  const into = openSync(`${pipes}.in`, 'w');
  const from = openSync(`${pipes}.out`, 'r');
  const readSome = reader(from);
  const read = (): Uint8Array => {
    Atomics.store(words, WAITING, 1);
    const bytes = readSome();
    Atomics.store(words, WAITING, 0);
    Atomics.add(words, READS, 1);
    const wasSilent = Atomics.exchange(words, SILENT, 0) === 1;
    return wasSilent && bytes.every((byte) => byte === 0) ? new Uint8Array(0) : bytes;
  };
  // The notice of the start shows that the chip listens: a UART loses what arrives before.
  let early = Uint8Array.from(read());
  return {
    name: firmware.chip.name,
    pollMs: isCounting ? 0 : POLL_MS,
    write: (bytes) => writeAll(into, bytes),
    read: () => {
      if (early.length === 0) return read();
      const bytes = early;
      early = new Uint8Array(0);
      return bytes;
    },
    errorOutput: () => readFileSync(`${pipes}.errors`, 'utf8').trim(),
    close: once(() => {
      Atomics.store(words, CLOSED, 1);
      Atomics.notify(words, CLOSED);
      closeSync(into);
      closeSync(from);
      endGuard();
      program.kill('SIGKILL');
      removeTemporaryFolder(folder);
    }),
  };
}
