import { type ChildProcess, spawn } from 'node:child_process';
import { nativeFirmware } from './chip-lines.js';

/** The firmware as a program of this computer that listens. */
export interface NativeBoard {
  readonly process: ChildProcess;
  /** Where it is: `127.0.0.1:PORT`, or the name of a pseudo-terminal. */
  readonly address: string;
}

/** Starts the firmware with its link on a port of this computer, or on a pseudo-terminal. Whoever starts it ends it. */
export async function startNativeBoard(way: 'tcp' | 'udp' | 'pty'): Promise<NativeBoard> {
  const words = way === 'pty' ? ['--pty'] : [`--${way}`, '0'];
  const child = spawn(nativeFirmware().image, words, { stdio: ['ignore', 'pipe', 'ignore'] });
  const [line] = await new Promise<string[]>((resolve) =>
    child.stdout.once('data', (bytes: Buffer) => resolve(bytes.toString().split('\n'))),
  );
  return { process: child, address: line ?? '' };
}
