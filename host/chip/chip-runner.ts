import { InputError } from '../common/input-error.js';
import { type ParameterValues, placeOf, recordOf } from '../contract/contract.js';
import type { BuildDescription } from '../contract/embed.js';
import { messageBytes } from '../contract/messages.js';
import { ParameterRefused, type Runner } from '../runner/runner.js';
import { writeParameters } from '../runner/wasm-runner.js';
import { type Greeting, greetOrRefuse, type Link, LinkLost, startText, statusOf, type Told } from './link.js';

/** A target at the other end of a link: an emulated chip, a board on a bench, or the firmware as a program. */
export interface ChipRunner extends Runner {
  readonly link: Link;
  readonly greeting: Greeting;
  /** Chain of state hashes since the start: each goes on from the one before. */
  readonly chain: number;
  /** What the last tick took by the chip’s counter, without the cost of counting. */
  readonly counts: number;
}

export const LOCKSTEP = 1;
export const FREE_RUN = 2;

const REFUSALS: Readonly<Record<number, string>> = {
  [-1]: 'too many rows',
  [-2]: 'no greeting',
  [-3]: 'it is busy or stopped',
  [-4]: 'its timer has another tick rate',
  [-5]: 'fewer rows are wired to it',
  [-6]: 'its arithmetic is not that of WebAssembly',
  [-7]: 'parameters of another length',
};

/** Largest piece of memory in one answer. */
const PIECE = 256;

/** Waits until a chip has closed its valves after its start. @throws LinkLost when it has stopped */
export function waitUntilReady(link: Link): void {
  for (let turn = 0; turn < 20_000; turn++) {
    const { state } = statusOf(link);
    if (state === 'stopped') throw new LinkLost(`${link.line.name} has stopped and waits for a restart`);
    if (state !== 'closing' && state !== 'ending') return;
  }
  throw new LinkLost(`${link.line.name} does not get ready`);
}

/** Parameters as they stand in memory. */
function parameterBytes({ contract }: BuildDescription, values: ParameterValues): Uint8Array {
  const memory = new DataView(new ArrayBuffer(contract.memoryBytes));
  writeParameters(memory, contract, values);
  return new Uint8Array(memory.buffer, placeOf(contract, 'parameters').at, recordOf(contract, 'Parameters').size);
}

/** @throws ParameterRefused, or InputError where the chip is not what is needed */
export function configureChip(link: Link, description: BuildDescription, rows: number, values: ParameterValues, mode: number): void {
  const head = Buffer.from([rows & 255, rows >> 8, mode, 0]);
  const result = link.ask('configure', Buffer.concat([head, parameterBytes(description, values)])).getInt32(0, true);
  if (result === 0) return;
  if (result > 0) throw new ParameterRefused(description.contract.parameters[result - 1]?.name ?? `number ${result}`);
  throw new InputError({
    file: link.line.name,
    what: `chip that does not begin: ${REFUSALS[result] ?? result}`,
    value: `${rows} rows`,
    allowed: 'see its greeting',
  });
}

function readMemory(link: Link, at: number, count: number): Uint8Array {
  const bytes = new Uint8Array(count);
  for (let done = 0; done < count; done += PIECE) {
    const size = Math.min(PIECE, count - done);
    const answer = link.ask('read', new Uint8Array(Uint32Array.of(at + done, size).buffer));
    bytes.set(new Uint8Array(answer.buffer, answer.byteOffset, answer.byteLength), done);
  }
  return bytes;
}

function writeMemory(link: Link, at: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length; done += PIECE) {
    const piece = bytes.subarray(done, done + PIECE);
    link.ask('write', Buffer.concat([new Uint8Array(Uint32Array.of(at + done).buffer), piece]));
  }
}

/**
 * A target that runs on a chip in lockstep: one request for each tick. The chip’s coils stay without current meanwhile.
 * @param description of the build that the chip’s firmware was made from
 * @throws InputError when the chip has another contract, or can’t begin
 * @throws ParameterRefused when configure() refuses a value
 */
export function createChipRunner(link: Link, description: BuildDescription, rows: number, values: ParameterValues = {}): ChipRunner {
  const { contract } = description;
  const greeting = greetOrRefuse(link, contract.hash);
  waitUntilReady(link);
  configureChip(link, description, rows, values, LOCKSTEP);
  const input = new Uint8Array(messageBytes(contract, 'input', rows));
  const output = new Uint8Array(messageBytes(contract, 'output', rows));
  const probeBytes = messageBytes(contract, 'probe', rows);
  const now = { chain: 0, counts: 0 };
  link.listen = (told: Told) => {
    if (told.what === 'started') throw new LinkLost(`${link.line.name} has started anew: ${startText(told)}`);
  };
  return {
    link,
    greeting,
    description,
    rows,
    input,
    output,
    get probe() {
      return readMemory(link, placeOf(contract, 'bankProbe').at, probeBytes);
    },
    get chain() {
      return now.chain;
    },
    get counts() {
      return now.counts;
    },
    tick: () => {
      const answer = link.ask('tick', input);
      output.set(new Uint8Array(answer.buffer, answer.byteOffset, output.length));
      now.chain = answer.getUint32(output.length, true);
      now.counts = answer.getUint32(output.length + 4, true) - greeting.countCost;
    },
    stateHash: () => link.ask('hash').getUint32(0, true),
    saveState: () => readMemory(link, 0, greeting.memoryBytes),
    restoreState: (state) => writeMemory(link, 0, state),
  };
}
