import { execFileSync } from 'node:child_process';
import { closeSync, constants, openSync } from 'node:fs';
import { ReadStream } from 'node:tty';
import { asFileError, InputError } from '../../../common/input-error.js';
import type { Line, LineEvents, Transport } from '../line.js';
import { streamLine } from './tcp.js';

/** Raw, eight bits, no parity, no flow control. */
const SETTINGS = ['raw', '-echo', 'clocal', '-crtscts', 'cs8', '-parenb', '-cstopb'];

/** @throws InputError when this is not a serial port, or it does not support the rate */
function setUp(fd: number, path: string, baud: number): void {
  try {
    execFileSync('stty', [String(baud), ...SETTINGS], { stdio: [fd, 'ignore', 'pipe'] });
  } catch (error) {
    const reason = (error as { stderr?: Buffer }).stderr?.toString().trim() || (error as Error).message;
    const problem = `this is not a serial port, or it does not support ${baud} baud (${reason})`;
    throw new InputError({ file: path, problem, value: baud });
  }
}

function openPort(path: string, baud: number): number {
  let fd: number;
  try {
    fd = openSync(path, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  } catch (error) {
    throw asFileError(error, path, 'read');
  }
  try {
    setUp(fd, path, baud);
    return fd;
  } catch (error) {
    closeSync(fd);
    throw error;
  }
}

/** A board on a serial port. @param maxBaud rate to negotiate once the board has been greeted at `baud` */
export function serialTransport(path: string, baud: number, maxBaud: number = baud): Transport {
  const open = async (events: LineEvents): Promise<Line> => {
    const fd = openPort(path, baud);
    const port = new ReadStream(fd);
    return { ...streamLine(port, events, () => 'has gone: the port is closed or unplugged'), setBaud: (rate) => setUp(fd, path, rate) };
  };
  return { name: path, silenceMs: 5000, baud: { first: baud, max: maxBaud }, isReopenable: true, open };
}
