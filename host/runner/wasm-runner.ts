import { closeSync, readFileSync } from 'node:fs';
import { crc32 } from 'node:zlib';
import { instantiateSync } from '@assemblyscript/loader';
import { InputError, openToRead } from '../common/input-error.js';
import {
  type Contract,
  describeContract,
  hashedRanges,
  type ParameterValues,
  placeOf,
  recordAddress,
  recordOf,
} from '../contract/contract.js';
import { type BuildDescription, describeModule } from '../contract/embed.js';
import { readField, writeField } from '../contract/fields.js';
import { type ControllerMessage, MESSAGES, messageBytes } from '../contract/messages.js';
import { ParameterRefused, type Runner } from './runner.js';

interface ControllerExports extends Record<string, unknown> {
  memory: WebAssembly.Memory;
  configure(rowCount: number): number;
  tick(): void;
}

/** A field of the records at a place of the controller’s memory, by their index. */
export interface MemoryField {
  get(index: number): number;
  set(index: number, value: number): void;
}

/** A target whose memory lies open: what no input reaches can be looked at and set. */
export interface WasmRunner extends Runner {
  /** @throws Error when the contract has no such place or field */
  field(place: string, name: string): MemoryField;
}

/** A compiled controller and what it says of itself; many targets can be made of one. */
export interface Controller {
  readonly module: WebAssembly.Module;
  readonly description: BuildDescription;
}

/** Reads a controller binary, whatever its contract. @throws InputError when the file is missing or is no controller */
export function readController(file: string): Controller {
  const { fd } = openToRead(file);
  try {
    const module = new WebAssembly.Module(readFileSync(fd));
    return { module, description: describeModule(module) };
  } catch (error) {
    throw new InputError({ file, what: (error as Error).message, allowed: 'a controller binary from npm run build:controller' });
  } finally {
    closeSync(fd);
  }
}

/**
 * Reads a controller binary.
 * @param expected contract that it must have; by default the one of this checkout
 * @throws InputError when the file is missing, is no controller, or has another contract
 */
export function loadController(file: string, expected: Contract = describeContract()): Controller {
  const { module, description } = readController(file);
  if (description.contract.hash !== expected.hash) {
    const allowed = `${expected.hash}, the contract of this checkout: npm run build`;
    throw new InputError({ file, what: 'contract hash', value: description.contract.hash, allowed });
  }
  return { module, description };
}

/** Puts parameters where configure() finds them; what is not named gets its default. @throws RangeError for a name that is no parameter */
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

/** Outputs, probes and state of the rows in use. */
const hashedViews = (memory: ArrayBuffer, contract: Contract, rows: number): Uint8Array[] =>
  hashedRanges(contract, rows).map(({ at, bytes }) => new Uint8Array(memory, at, bytes));

function memoryField(memory: DataView, contract: Contract, placeName: string, name: string): MemoryField {
  const place = placeOf(contract, placeName);
  const field = recordOf(contract, place.record).fields.find((one) => one.name === name);
  if (field === undefined) throw new Error(`${place.record} has no field ${name}`);
  // A metric reads a field of each row in every tick.
  const addresses = Array.from({ length: place.count }, (_, index) => recordAddress(contract, place, index));
  const addressOf = (index: number): number => addresses[index] ?? recordAddress(contract, place, index);
  return {
    get: (index) => readField(memory, addressOf(index), field),
    set: (index, value) => writeField(memory, addressOf(index), field, value),
  };
}

/**
 * A target that runs the controller's WebAssembly in this process.
 * @throws ParameterRefused when configure() refuses a value
 * @throws RangeError for a name that is no parameter, or more rows than the build has room for
 */
export function createWasmRunner(controller: Controller, rows: number, values: ParameterValues = {}): WasmRunner {
  const { contract } = controller.description;
  const { exports } = instantiateSync<ControllerExports>(controller.module, {});
  const memory = exports.memory.buffer;
  const whole = new DataView(memory);
  writeParameters(whole, contract, values);
  const bad = exports.configure(rows);
  if (bad < 0) throw new RangeError(`${rows} rows: the controller serves 1 to ${contract.rowsMax}`);
  if (bad > 0) throw new ParameterRefused(contract.parameters[bad - 1]?.name ?? `number ${bad}`);

  const view = (name: ControllerMessage): Uint8Array => {
    const first = MESSAGES[name].bank;
    const { at } = placeOf(contract, first.charAt(0).toLowerCase() + first.slice(1));
    return new Uint8Array(memory, at, messageBytes(contract, name, rows));
  };
  const hashed = hashedViews(memory, contract, rows);
  return {
    description: controller.description,
    rows,
    input: view('input'),
    output: view('output'),
    probe: view('probe'),
    field: (place, name) => memoryField(whole, contract, place, name),
    tick: exports.tick,
    stateHash: () => hashed.reduce((hash, bytes) => crc32(bytes, hash), 0),
    saveState: () => new Uint8Array(memory).slice(),
    restoreState: (state) => new Uint8Array(memory).set(state),
  };
}
