import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import type { InputError } from '../../../host/common/input-error.js';
import { contractHash, describeContract, placeOf } from '../../../host/contract/contract.js';
import { embedDescription } from '../../../host/contract/embed.js';
import { ParameterRefused } from '../../../host/runner/runner.js';
import { createWasmRunner, loadController } from '../../../host/runner/wasm-runner.js';
import { arbitraryInputs } from '../../support/arbitrary-inputs.js';
import { controller } from '../../support/bench.js';
import { PROJECT } from '../../support/project.js';
import { Records } from '../../support/records.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();

/** Writes a file with these bytes and returns the error of loading it as a controller. */
function loadingError(name: string, bytes: Uint8Array | undefined): InputError {
  const file = join(folder, name);
  if (bytes !== undefined) writeFileSync(file, bytes);
  return refusalOf(() => loadController(file));
}

/** The release binary without its custom sections, which come last. */
function bare(): Buffer {
  const wasm = readFileSync(PROJECT.controllerWasm);
  const at = wasm.indexOf('latchbench.contract');
  // The name follows the id 0, the section's size (LEB128, 3 bytes at this size) and the name's length (1 byte).
  return wasm.subarray(0, at - 5);
}

describe('loadController', () => {
  it('reads the release binary', () => {
    expect(controller.description.contract.hash).toBe(contract.hash);
  });

  it('names a missing file', () => {
    expect(loadingError('absent.wasm', undefined).message).toContain('absent.wasm: no such file.');
  });

  it('refuses a file that is not WebAssembly', () => {
    expect(loadingError('text.wasm', Buffer.from('hello')).message).toContain('npm run build:controller');
  });

  it('refuses a binary with no description, or two', () => {
    expect(loadingError('bare.wasm', bare()).message).toContain('0 custom sections');
    const { version, sourceHash } = controller.description;
    const twice = embedDescription(embedDescription(bare(), { version, sourceHash, contract }), { version, sourceHash, contract });
    expect(loadingError('twice.wasm', twice).message).toContain('2 custom sections');
  });

  it('refuses another contract and names both hashes', () => {
    const { hash: _, ...content } = { ...contract, rules: contract.rules.slice(1) };
    const other = { ...content, hash: contractHash(content) };
    const { sourceHash } = controller.description;
    const { message } = loadingError('other.wasm', embedDescription(bare(), { version: '9.9.9', sourceHash, contract: other }));
    expect(message).toContain(other.hash);
    expect(message).toContain(contract.hash);
  });
});

describe('createWasmRunner', () => {
  it.each([0, 49, -1])('refuses %i rows with a RangeError', (rows) => {
    expect(() => createWasmRunner(controller, rows)).toThrow(RangeError);
    expect(() => createWasmRunner(controller, rows)).toThrow('1 to 48');
  });

  it('names the parameter that configure() refuses', () => {
    expect(() => createWasmRunner(controller, 1, { deadbandN: 0 })).toThrow(new ParameterRefused('deadbandN'));
    expect(() => createWasmRunner(controller, 1, { strokeMs: 4 })).toThrow('minPulseMs');
  });

  it.each([1, 2, 24, 48])("has views of a bank's record and of %i rows", (rows) => {
    const runner = createWasmRunner(controller, rows);
    // BankInput 20, RowInput 12, BankOutput 8, RowOutput 8, BankProbe 44, RowProbe 172 bytes, counted by hand.
    expect([runner.input.length, runner.output.length, runner.probe.length]).toEqual([20 + 12 * rows, 8 + 8 * rows, 44 + 172 * rows]);
    expect(runner.rows).toBe(rows);
  });

  it('runners of one controller share nothing', () => {
    const one = createWasmRunner(controller, 2);
    const other = createWasmRunner(controller, 2);
    const before = other.stateHash();
    for (let tick = 0; tick < 50; tick++) {
      arbitraryInputs(one.input, tick);
      one.tick();
    }
    expect(other.stateHash()).toBe(before);
    expect(one.stateHash()).not.toBe(before);
  });

  it("the views are the controller's memory", () => {
    const runner = createWasmRunner(controller, 1);
    const records = new Records(runner.input.buffer, contract);
    records.set('bankInput', 0, 'supplyMv', 0x1234);
    expect([...runner.input.subarray(10, 12)]).toEqual([0x34, 0x12]);
  });
});

describe('stateHash', () => {
  const run = (rows: number): ReturnType<typeof createWasmRunner> => {
    const runner = createWasmRunner(controller, rows);
    for (let tick = 0; tick < 100; tick++) {
      arbitraryInputs(runner.input, tick);
      runner.tick();
    }
    return runner;
  };

  it('is the CRC-32 of outputs, probes and state of the bank, then of the blocks of the rows in use', () => {
    const runner = run(3);
    const memory = runner.input.buffer as ArrayBuffer;
    const pieceOf = (name: string, bytes: number): Buffer => Buffer.from(memory, placeOf(contract, name).at, bytes);
    const pieces = [
      pieceOf('bankOutput', 8),
      pieceOf('rowOutput', 3 * 8),
      pieceOf('bankProbe', 44),
      pieceOf('rowProbe', 3 * 172),
      pieceOf('bankState', 60),
      pieceOf('railState', 32),
      pieceOf('bankFaults', 8),
      pieceOf('bankFaultTimer', 13 * 2),
      pieceOf('channelState', 3 * 772),
    ];
    expect(runner.stateHash()).toBe(crc32(Buffer.concat(pieces)));
  });

  it('changes with the state of rows in use, but not with inputs or other rows', () => {
    const runner = run(1);
    const records = new Records(runner.input.buffer, contract);
    const before = runner.stateHash();
    records.set('loopState', 0, 'plannedTicks', records.get('loopState', 0, 'plannedTicks') + 1);
    expect(runner.stateHash()).not.toBe(before);
    records.set('loopState', 0, 'plannedTicks', records.get('loopState', 0, 'plannedTicks') - 1);
    records.set('loopState', 1, 'plannedTicks', 77);
    records.set('bankInput', 0, 'supplyMv', 1);
    expect(runner.stateHash()).toBe(before);
  });
});
