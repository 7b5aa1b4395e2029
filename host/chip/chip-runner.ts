import { InputError } from '../common/input-error.js';
import { type ParameterValues, placeOf, recordOf } from '../contract/contract.js';
import type { BuildDescription } from '../contract/embed.js';
import { messageBytes } from '../contract/messages.js';
import { ParameterRefused, type Runner } from '../runner/runner.js';
import { writeParameters } from '../runner/wasm-runner.js';
import { type Greeting, greetOrRefuse, type Link, LinkLost, type Notice, startText, statusOf } from './link.js';
import { MODES, REFUSALS } from './protocol.js';

/** The chip's counter over the ticks of one request, without the cost of counting. */
export interface TickCounts {
  readonly total: number;
  /** In one tick. */
  readonly max: number;
}

/** A runner at the other end of a link: an emulated chip, a board on a bench, or the firmware as a program. */
export interface ChipRunner extends Runner {
  readonly link: Link;
  readonly greeting: Greeting;
  /** Chain of state hashes since the start. */
  readonly chain: number;
  /** Counts of the last request. */
  readonly counts: TickCounts;
  /** Ticks that fit into one request. */
  readonly ticksMax: number;
  /**
   * Runs one tick after another in a single request.
   * @param inputs of each tick, at most `ticksMax`; `output`, `chain` and `counts` are then those after the last
   */
  runTicks(inputs: Uint8Array): void;
}

/** Largest piece of memory in one answer, bytes. */
const PIECE_BYTES = 256;

/** Polls in one wait; closing every valve takes at most some seconds. */
const POLLS_MAX = 20_000;

/** Waits until a chip has closed its valves after its start. @throws LinkLost when it has stopped */
export function waitUntilReady(link: Link): void {
  for (let poll = 0; poll < POLLS_MAX; poll++) {
    if (poll > 0) sleep(link.line.pollMs);
    const { state } = statusOf(link);
    if (state === 'stopped') throw new LinkLost(`${link.line.name} has stopped and needs a restart`);
    if (state !== 'closing' && state !== 'ending') return;
  }
  throw new LinkLost(`${link.line.name} does not become ready`);
}

/** Restarts a chip and waits for the notice of its start. @throws LinkLost when there is none */
export function restartChip(link: Link): void {
  let isStarted = false;
  link.onNotice = ({ kind }) => {
    if (kind === 'started') isStarted = true;
  };
  link.request('restart');
  while (!isStarted) if (!link.listen()) throw new LinkLost(`${link.line.name} does not restart`);
}

/** Parameters as they are in memory. */
export function parameterBytes({ contract }: BuildDescription, values: ParameterValues): Uint8Array {
  const memory = new DataView(new ArrayBuffer(contract.memoryBytes));
  writeParameters(memory, contract, values);
  return new Uint8Array(memory.buffer, placeOf(contract, 'parameters').at, recordOf(contract, 'Parameters').size);
}

/** Blocks this thread. */
function sleep(ms: number): void {
  if (ms > 0) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}

function refusalText(result: number): string {
  if (result === -1) return 'it does not have that many rows';
  return Object.values(REFUSALS).find((one) => one.result === result)?.text ?? `result ${result}`;
}

/**
 * Configures a chip for lockstep or a free run.
 * @throws ParameterRefused for a value out of range
 * @throws InputError when the chip cannot run this
 */
export function configureChip(
  link: Link,
  description: BuildDescription,
  rows: number,
  values: ParameterValues,
  mode: keyof typeof MODES,
): void {
  // No journal of steps; inputs for every step.
  const head = Buffer.from([rows & 255, rows >> 8, MODES[mode], 0, 1, 0, 0, 0]);
  const result = link.request('configure', Buffer.concat([head, parameterBytes(description, values)])).getInt32(0, true);
  if (result === 0) return;
  if (result > 0) throw new ParameterRefused(description.contract.parameters[result - 1]?.name ?? `number ${result}`);
  throw new InputError({ file: link.line.name, problem: `the chip refuses to run ${rows} rows: ${refusalText(result)}`, value: rows });
}

function readMemory(link: Link, at: number, count: number): Uint8Array {
  const bytes = new Uint8Array(count);
  for (let done = 0; done < count; done += PIECE_BYTES) {
    const size = Math.min(PIECE_BYTES, count - done);
    const answer = link.request('read', new Uint8Array(Uint32Array.of(at + done, size).buffer));
    bytes.set(new Uint8Array(answer.buffer, answer.byteOffset, answer.byteLength), done);
  }
  return bytes;
}

function writeMemory(link: Link, at: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length; done += PIECE_BYTES) {
    const piece = bytes.subarray(done, done + PIECE_BYTES);
    link.request('write', Buffer.concat([new Uint8Array(Uint32Array.of(at + done).buffer), piece]));
  }
}

/**
 * Creates a runner that drives a chip in lockstep. The chip's coils stay off meanwhile.
 * @param description of the build that the chip's firmware was made from
 * @throws InputError when the chip has another contract, or cannot run this
 * @throws ParameterRefused when configure() refuses a value
 */
export function createChipRunner(link: Link, description: BuildDescription, rows: number, values: ParameterValues = {}): ChipRunner {
  const { contract } = description;
  const greeting = greetOrRefuse(link, contract.hash);
  waitUntilReady(link);
  configureChip(link, description, rows, values, 'lockstep');
  const input = new Uint8Array(messageBytes(contract, 'input', rows));
  const output = new Uint8Array(messageBytes(contract, 'output', rows));
  const probeBytes = messageBytes(contract, 'probe', rows);
  const last = { chain: 0, counts: { total: 0, max: 0 } };
  link.onNotice = (notice: Notice) => {
    if (notice.kind === 'started') throw new LinkLost(`${link.line.name} has restarted: ${startText(notice)}`);
  };
  const runTicks = (inputs: Uint8Array): void => {
    const answer = link.request('ticks', inputs);
    const { countCost } = greeting;
    output.set(new Uint8Array(answer.buffer, answer.byteOffset, output.length));
    last.chain = answer.getUint32(output.length, true);
    const [total, max] = [answer.getUint32(output.length + 4, true), answer.getUint32(output.length + 8, true)];
    last.counts = { total: total - (inputs.length / input.length) * countCost, max: max - countCost };
  };
  return {
    link,
    greeting,
    description,
    rows,
    input,
    output,
    ticksMax: Math.floor(greeting.requestBytes / input.length),
    get probe() {
      return readMemory(link, placeOf(contract, 'bankProbe').at, probeBytes);
    },
    get chain() {
      return last.chain;
    },
    get counts() {
      return last.counts;
    },
    runTicks,
    tick: () => runTicks(input),
    stateHash: () => link.request('hash').getUint32(0, true),
    saveState: () => readMemory(link, 0, greeting.memoryBytes),
    restoreState: (state) => writeMemory(link, 0, state),
  };
}
