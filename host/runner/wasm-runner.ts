import { crc32 } from 'node:zlib';
import { instantiateSync } from '@assemblyscript/loader';
import { InputError } from '../common/input-error.js';
import { readBytes } from '../common/read-file.js';
import {
  type Contract,
  describeContract,
  hashedRanges,
  lacks,
  type ParameterValues,
  placeOf,
  recordAddress,
  recordOf,
} from '../contract/contract.js';
import type { BuildDescription } from '../contract/embed.js';
import { readField, writeField } from '../contract/fields.js';
import { type ControllerMessage, MESSAGES, messageBytes, placeName } from '../contract/messages.js';
import { describeBinary } from '../contract/read-contract.js';
import { BadBinary } from '../wasm/bytes.js';
import { type Interface, readInert } from '../wasm/inert.js';
import { limitSteps, STEPS_LEFT, STEPS_MAX } from '../wasm/limit-steps.js';
import type { BinaryModule } from '../wasm/module.js';
import { ParameterRefused, RestartNeeded, type Runner, StartFailed } from './runner.js';

/** What every controller binary exports; older ones, and the one for fits, have no reconfigure(). */
export interface ControllerExports {
  memory: WebAssembly.Memory;
  [STEPS_LEFT]: WebAssembly.Global;
  [STEPS_MAX]: WebAssembly.Global;
  configure(rowCount: number): number;
  reconfigure?(): number;
  tick(): void;
}

/** The same, as binaries are checked; setOrder is that of the one for fits. */
const INTERFACE: Interface = {
  required: { configure: { params: ['i32'], results: ['i32'] }, tick: { params: [], results: [] } },
  optional: { reconfigure: { params: [], results: ['i32'] }, setOrder: { params: ['i32', 'i32'], results: [] } },
};

/**
 * Steps after which a call is ended, see limit-steps.ts: a part for configure(), which takes 170,000, and one for each row, of which
 * a tick takes 10,000. What needs more is no controller for a chip, and a few million steps take some milliseconds.
 */
const STEPS = { base: 1_000_000, perRow: 100_000 } as const;

/** A field of the records at a place in the controller's memory, by their index. */
export interface MemoryField {
  get(index: number): number;
  set(index: number, value: number): void;
}

/** A runner whose memory can be read and written. */
export interface WasmRunner extends Runner {
  /** Throws Error if the contract has no such place or field. */
  field(place: string, name: string): MemoryField;
  /**
   * Puts parameters into force without a restart; those without a value get their default.
   * @throws ParameterRefused or RestartNeeded, after which the earlier parameters are still in force
   */
  reconfigure(values: ParameterValues): void;
}

/** A compiled controller, whose calls end after a number of steps, and its description; it can be run many times. */
export interface Controller {
  readonly module: WebAssembly.Module;
  readonly description: BuildDescription;
}

/** Has this checkout's contract in place of an equal one: what is made from a contract is kept by the object. */
function withOwnContract(description: BuildDescription): BuildDescription {
  const own = describeContract();
  return description.contract.hash === own.hash ? { ...description, contract: own } : description;
}

const limitedModule = (binary: BinaryModule): WebAssembly.Module => new WebAssembly.Module(limitSteps(binary, STEPS.base));

/** Compiles a controller whose calls end after a number of steps. @throws BadBinary if it is not one */
export const compileModule = (bytes: Uint8Array): WebAssembly.Module => limitedModule(readInert(bytes, INTERFACE));

/** Reads a controller binary of any contract, and runs nothing of it. @throws InputError if the file is missing or is not a controller */
export function readController(file: string): Controller {
  try {
    const binary = readInert(readBytes(file, 'binary'), INTERFACE);
    return { module: limitedModule(binary), description: withOwnContract(describeBinary(binary)) };
  } catch (error) {
    if (!(error instanceof BadBinary)) throw error;
    throw new InputError({ file, problem: `this is not a controller: ${error.message}`, hint: 'Run `npm run build:controller`' });
  }
}

/** @throws InputError if a controller does not have the contract of this checkout */
export function requireOwnContract(file: string, { description }: Controller): void {
  const { hash } = description.contract;
  const own = describeContract().hash;
  if (hash === own) return;
  const allowed = `${own}, that of this checkout`;
  throw new InputError({ file, problem: `its contract has hash ${hash}`, value: hash, allowed, hint: 'Run `npm run build`' });
}

/** Reads a controller binary. @throws InputError if the file is missing, is not a controller, or has another contract than this checkout */
export function loadController(file: string): Controller {
  const controller = readController(file);
  requireOwnContract(file, controller);
  return controller;
}

/** Writes parameters into memory for configure(); those without a value get their default. @throws RangeError for an unknown name */
export function writeParameters(memory: DataView, contract: Contract, values: ParameterValues): void {
  const unknown = Object.keys(values).find((name) => !contract.parameters.some((one) => one.name === name));
  if (unknown !== undefined) throw new RangeError(`the controller has no parameter ${unknown}`);
  const { at } = placeOf(contract, 'parameters');
  const record = recordOf(contract, 'Parameters');
  for (const parameter of contract.parameters) {
    const field = record.fields.find((one) => one.name === parameter.name);
    const value = values[parameter.name] ?? parameter.default;
    if (field === undefined) throw new Error(`no field for parameter ${parameter.name}`);
    writeField(memory, at, field, value);
  }
}

function memoryField(memory: DataView, contract: Contract, placeName: string, name: string): MemoryField {
  const place = placeOf(contract, placeName);
  const field = recordOf(contract, place.record).fields.find((one) => one.name === name);
  if (field === undefined) throw lacks(`${place.record} has no field ${name}`);
  // A metric reads a field of each row in every tick.
  const addresses = Array.from({ length: place.count }, (_, index) => recordAddress(contract, place, index));
  const addressOf = (index: number): number => addresses[index] ?? recordAddress(contract, place, index);
  return {
    get: (index) => readField(memory, addressOf(index), field),
    set: (index, value) => writeField(memory, addressOf(index), field, value),
  };
}

/** Calls reconfigure() with new parameters. @throws ParameterRefused or RestartNeeded */
function reconfigure(exports: ControllerExports, contract: Contract, values: ParameterValues): void {
  if (exports.reconfigure === undefined) throw new Error('this controller has no reconfigure()');
  writeParameters(new DataView(exports.memory.buffer), contract, values);
  const result = stopping(exports, exports.reconfigure)();
  const parameter = contract.parameters[Math.abs(result) - 1]?.name ?? `number ${Math.abs(result)}`;
  if (result > 0) throw new ParameterRefused(parameter);
  if (result < 0) throw new RestartNeeded(parameter);
}

/** Returns a call that says why it stopped, if it did. @throws WebAssembly.RuntimeError */
function stopping<Args extends number[], Result>(exports: ControllerExports, call: (...args: Args) => Result): (...args: Args) => Result {
  return (...args) => {
    try {
      return call(...args);
    } catch (error) {
      // The engine throws a RangeError if its stack is full. Which limit calls without end reach first depends on the engine.
      if (exports[STEPS_LEFT].value < 0 || error instanceof RangeError)
        throw new WebAssembly.RuntimeError(`no return within ${exports[STEPS_MAX].value} steps, or calls nested too deeply`);
      throw error;
    }
  };
}

/** What the engine throws if a module cannot be instantiated, such as for data outside its memory, or if a call in it stops. */
const isEngineError = (error: unknown): error is Error =>
  error instanceof WebAssembly.RuntimeError || error instanceof WebAssembly.LinkError;

/** Instantiates a controller, writes its parameters and calls configure(). @throws as `instantiateController` does */
function start<Exports extends ControllerExports>(
  { module, description: { contract } }: Controller,
  rows: number,
  values: ParameterValues,
): Exports {
  let bad: number;
  let exports: Exports;
  try {
    ({ exports } = instantiateSync<Exports & Record<string, unknown>>(module, Object.create(null)));
    exports[STEPS_MAX].value = STEPS.base + STEPS.perRow * rows;
    writeParameters(new DataView(exports.memory.buffer), contract, values);
    bad = stopping(exports, exports.configure)(rows);
  } catch (error) {
    throw isEngineError(error) ? new StartFailed(error.message) : error;
  }
  if (bad < 0 && rows >= 1 && rows <= contract.rowsMax) throw new StartFailed(`configure() refuses ${rows} rows`);
  if (bad < 0) throw new RangeError(`${rows} rows: the controller serves 1 to ${contract.rowsMax}`);
  if (bad > 0) throw new ParameterRefused(contract.parameters[bad - 1]?.name ?? `number ${bad}`);
  return exports;
}

/**
 * Runs a controller binary in this process. Returns its exports too, for binaries with more than `ControllerExports`.
 * @throws ParameterRefused if configure() refuses a value, StartFailed if the build cannot be used
 * @throws RangeError for an unknown parameter, or more rows than the build has room for
 */
export function instantiateController<Exports extends ControllerExports>(
  controller: Controller,
  rows: number,
  values: ParameterValues = {},
): { exports: Exports; runner: WasmRunner } {
  const { description } = controller;
  const { contract } = description;
  const exports = start<Exports>(controller, rows, values);
  const memory = exports.memory.buffer;
  const allMemory = new DataView(memory);
  const view = (name: ControllerMessage): Uint8Array => {
    const { at } = placeOf(contract, placeName(MESSAGES[name].bank));
    return new Uint8Array(memory, at, messageBytes(contract, name, rows));
  };
  const hashed = hashedRanges(contract, rows).map(({ at, bytes }) => new Uint8Array(memory, at, bytes));
  const runner: WasmRunner = {
    description,
    rows,
    input: view('input'),
    output: view('output'),
    probe: view('probe'),
    field: (place, name) => memoryField(allMemory, contract, place, name),
    reconfigure: (changed) => reconfigure(exports, contract, changed),
    tick: stopping(exports, exports.tick),
    stateHash: () => hashed.reduce((hash, bytes) => crc32(bytes, hash), 0),
    saveState: () => new Uint8Array(memory).slice(),
    restoreState: (state) => new Uint8Array(memory).set(state),
  };
  return { exports, runner };
}

/** Runs a controller in this process; throws as `instantiateController` does. */
export const createWasmRunner = (controller: Controller, rows: number, values: ParameterValues = {}): WasmRunner =>
  instantiateController(controller, rows, values).runner;
