import { connect, type Socket } from 'node:net';
import { InputError } from '../../../common/input-error.js';
import type { Line, LineEvents, Transport } from '../line.js';

/** Bytes that may wait to be sent; more are dropped, so that a line that is stuck costs no memory. */
export const WAITING_BYTES_MAX = 1 << 20;

/** Reasons why a connection is refused, as clauses; the others are shown as the system words them. */
const REASONS: Readonly<Record<string, string>> = {
  ECONNREFUSED: 'nothing listens there',
  ENOTFOUND: 'there is no such host',
  EAI_AGAIN: 'there is no such host',
  ETIMEDOUT: 'nothing answers',
  EHOSTUNREACH: 'there is no way to this host',
  ENETUNREACH: 'there is no way to this network',
};

/** What went wrong with a connection, as a clause. */
export const reasonOf = (error: Error): string => REASONS[(error as NodeJS.ErrnoException).code ?? ''] ?? error.message;

/** A stream of the system as a line. @param release frees what belongs to it, after its end */
export function streamLine(socket: Socket, events: LineEvents, gone: () => string, release: () => void = () => {}): Line {
  let isClosed = false;
  socket.on('data', (bytes) => events.onBytes(bytes));
  // The end of the connection follows and is what counts.
  socket.on('error', () => {});
  socket.on('end', () => socket.destroy());
  const ended = new Promise<void>((resolve) =>
    socket.on('close', () => {
      if (!isClosed) events.onGone(gone());
      release();
      resolve();
    }),
  );
  return {
    write: (bytes) => {
      if (socket.writableLength > WAITING_BYTES_MAX || !socket.writable) return false;
      socket.write(bytes);
      return true;
    },
    close: () => {
      isClosed = true;
      socket.destroy();
      return ended;
    },
  };
}

/** A board that listens for a connection. */
export function tcpTransport(host: string, port: number): Transport {
  const name = `${host}:${port}`;
  const open = (events: LineEvents): Promise<Line> =>
    new Promise((resolve, reject) => {
      const socket = connect({ host, port, noDelay: true });
      const refuse = (error: Error): void =>
        reject(new InputError({ file: name, problem: reasonOf(error), hint: 'Check the address, and that the board is on' }));
      socket.once('error', refuse);
      socket.once('connect', () => {
        socket.off('error', refuse);
        resolve(streamLine(socket, events, () => 'has closed the connection'));
      });
    });
  return { name, silenceMs: 5000, isReopenable: true, open };
}
