import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { constants, openSync } from 'node:fs';
import { Socket } from 'node:net';
import { basename, join } from 'node:path';
import type { Readable, Writable } from 'node:stream';
import type { Firmware } from '../../../chip/build.js';
import { guardProgram } from '../../../chip/guard.js';
import { InputError } from '../../../common/input-error.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../../../common/unfinished.js';
import type { Line, LineEvents, Transport } from '../line.js';
import { WAITING_BYTES_MAX } from './tcp.js';

/** How much of a program's error output is kept for messages: its end. */
const ERROR_OUTPUT_MAX = 1000;

/** A program that has been started, and the streams of its link. */
interface Started {
  readonly child: ChildProcess;
  readonly into: Writable;
  readonly from: Readable;
  /** Frees what else belongs to it. */
  release(): void;
}

/** A busy computer may leave a program or an emulator waiting for seconds. */
const SILENCE_MS = 20_000;

function programTransport(name: string, start: () => Started): Transport {
  const open = async (events: LineEvents): Promise<Line> => {
    const { child, into, from, release } = start();
    let [isClosed, errors] = [false, ''];
    const ended = new Promise<void>((resolve) => child.once('close', () => resolve()));
    const kill = (): boolean => child.kill('SIGKILL');
    const endGuard = guardProgram(child);
    process.once('exit', kill);
    child.stderr?.on('data', (bytes: Buffer) => {
      errors = (errors + bytes.toString()).slice(-ERROR_OUTPUT_MAX);
    });
    from.on('data', (bytes: Buffer) => events.onBytes(bytes));
    for (const stream of [into, from]) stream.on('error', () => {}); // The end of the program follows.
    const gone = (how: string): void => {
      process.off('exit', kill);
      endGuard();
      release();
      if (!isClosed) events.onGone(`${how}${errors.trim() === '' ? '' : `: ${errors.trim()}`}`);
      isClosed = true;
    };
    child.once('error', (error) => gone(`does not start: ${error.message}`));
    child.once('close', () => gone('has ended'));
    return {
      write: (bytes) => {
        if (isClosed || into.writableLength > WAITING_BYTES_MAX) return false;
        into.write(bytes);
        return true;
      },
      close: async () => {
        if (isClosed) return;
        isClosed = true;
        kill();
        await ended;
      },
    };
  };
  return { name, silenceMs: SILENCE_MS, isReopenable: false, open };
}

function startWithStreams(program: string, words: readonly string[]): Started {
  const child = spawn(program, words, { stdio: ['pipe', 'pipe', 'pipe'] });
  if (child.pid === undefined) child.on('error', () => {});
  return { child, into: child.stdin, from: child.stdout, release: () => {} };
}

/** A program with its link on standard input and output. */
export const processTransport = (program: string, words: readonly string[]): Transport =>
  programTransport(basename(program), () => {
    const started = startWithStreams(program, words);
    if (started.child.pid === undefined)
      throw new InputError({ file: program, problem: 'the program does not start', hint: 'Check its path, and that it may be executed' });
    return started;
  });

/** An emulator whose firmware reads and writes two named pipes as files. */
function startWithPipes(emulator: readonly string[]): Started {
  const folder = makeTemporaryFolder('latchbench-link-');
  const pipes = [join(folder, 'in'), join(folder, 'out')] as const;
  execFileSync('mkfifo', pipes);
  // Open for both directions, they neither wait for the other end nor end with it; the emulator's own end is noticed.
  const [into, from] = pipes.map((path) => openSync(path, constants.O_RDWR | constants.O_NONBLOCK));
  const [program = '', ...words] = emulator;
  const files = `enable=on,target=native,arg=${pipes[0]},arg=${pipes[1]}`;
  const child = spawn(program, [...words, '-serial', 'null', '-semihosting-config', files], { stdio: ['ignore', 'ignore', 'pipe'] });
  const streams = {
    into: new Socket({ fd: into ?? 0, readable: false, writable: true }),
    from: new Socket({ fd: from ?? 0, readable: true, writable: false }),
  };
  const release = (): void => {
    for (const stream of Object.values(streams)) stream.destroy();
    removeTemporaryFolder(folder);
  };
  return { child, ...streams, release };
}

/** Built firmware as a program of this computer, or on its emulator. */
export function firmwareTransport({ chip, channel, image }: Firmware): Transport {
  return programTransport(chip.name, () => {
    if (chip.emulator === undefined) return startWithStreams(image, []);
    const emulator = [...chip.emulator, '-display', 'none', '-monitor', 'none', '-kernel', image];
    if (channel === 'files') return startWithPipes(emulator);
    const [program = '', ...words] = emulator;
    return startWithStreams(program, [...words, '-chardev', 'stdio,id=link,signal=off', '-serial', 'chardev:link']);
  });
}
