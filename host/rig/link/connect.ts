import type { BuildDescription } from '../../contract/embed.js';
import type { Board, BoardAddress, ConnectBoard, ConnectOptions, RelayHarm } from '../board.js';
import { type Clock, SYSTEM_CLOCK } from './clock.js';
import type { Transport } from './line.js';
import { Link, newSession } from './link.js';
import { LinkBoard } from './link-board.js';
import { relayed } from './relay.js';
import { firmwareTransport, processTransport } from './transports/program.js';
import { serialTransport } from './transports/serial.js';
import { tcpTransport } from './transports/tcp.js';
import { udpTransport } from './transports/udp.js';

/** A new rate that brings no answer within this time is given up, ms: before the board gives it up too, after 500 ms. */
const RATE_TRIAL_MS = 400;

export function transportTo(address: BoardAddress): Transport {
  switch (address.kind) {
    case 'serial':
      return serialTransport(address.path, address.baud, address.maxBaud);
    case 'tcp':
      return tcpTransport(address.host, address.port);
    case 'udp':
      return udpTransport(address.host, address.port);
    case 'process':
      return processTransport(address.program, address.words);
    case 'firmware':
      return firmwareTransport(address.firmware);
  }
}

/** Switches to a higher rate if the board supports it and it works. */
async function negotiateRate(link: Link, clock: Clock): Promise<void> {
  const { first, max } = link.transport.baud ?? { first: 0, max: 0 };
  if (max === first) return;
  const answer = await link.request('rate', new Uint8Array(Uint32Array.of(max).buffer));
  if (answer.getInt32(0, true) !== 1) return;
  link.setBaud(max);
  const cancel = clock.after(RATE_TRIAL_MS, () => link.setBaud(first));
  // Is sent again until it is answered, at whichever rate.
  await link.request('status');
  cancel();
}

/** Connects over a transport. `connectBoard` has the addresses that people write. */
export async function connectOver(
  transport: Transport,
  description: BuildDescription,
  { relay, session = newSession(), silenceMs = transport.silenceMs }: ConnectOptions = {},
  clock: Clock = SYSTEM_CLOCK,
): Promise<Board> {
  let harm: RelayHarm | undefined;
  const onOpen = (done: RelayHarm): void => {
    harm = done;
  };
  const way = relay === undefined ? transport : relayed(transport, relay, clock, onOpen);
  const link = new Link(way, { contractHash: description.contract.hash, session, silenceMs }, clock);
  const hello = await link.connect();
  try {
    await negotiateRate(link, clock);
    return new LinkBoard(link, description, session, clock, hello, () => harm);
  } catch (error) {
    await link.close();
    throw error;
  }
}

export const connectBoard: ConnectBoard = (address, description, options) => connectOver(transportTo(address), description, options);
