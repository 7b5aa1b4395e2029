import { createSocket } from 'node:dgram';
import { isIPv6 } from 'node:net';
import { InputError } from '../../../common/input-error.js';
import type { Line, LineEvents, Transport } from '../line.js';
import { reasonOf } from './tcp.js';

/** A board that receives and sends datagrams of whole frames. */
export function udpTransport(host: string, port: number): Transport {
  const name = `${host}:${port} (UDP)`;
  const open = (events: LineEvents): Promise<Line> =>
    new Promise((resolve, reject) => {
      const socket = createSocket(isIPv6(host) ? 'udp6' : 'udp4');
      const refuse = (error: Error): void => {
        socket.close();
        reject(new InputError({ file: name, problem: reasonOf(error), hint: 'Check the address' }));
      };
      socket.once('error', refuse);
      socket.connect(port, host, () => {
        socket.off('error', refuse);
        // Nobody listening is reported for a datagram that was sent; to the link it is silence, and a board may still come up.
        socket.on('error', () => {});
        socket.on('message', (bytes) => events.onBytes(bytes));
        resolve({
          write: (bytes) => {
            socket.send(bytes);
            return true;
          },
          close: () => new Promise((closed) => socket.close(() => closed())),
        });
      });
    });
  return { name, silenceMs: 5000, isReopenable: true, open };
}
