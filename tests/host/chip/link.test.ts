import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { closeSync, existsSync, openSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { buildFirmware } from '../../../host/chip/build.js';
import { StateChain } from '../../../host/chip/chain.js';
import { type ChipRunner, createChipRunner, parameterBytes } from '../../../host/chip/chip-runner.js';
import { chipOf } from '../../../host/chip/chips.js';
import { type Line, openPort, startFirmware } from '../../../host/chip/line.js';
import { greetOrRefuse, Link, LinkLost } from '../../../host/chip/link.js';
import { INJECTED } from '../../../host/chip/protocol.js';
import { replayOnChip } from '../../../host/chip/replay-chip.js';
import { InputError } from '../../../host/common/input-error.js';
import { placeOf } from '../../../host/contract/contract.js';
import { runRecording } from '../../../host/replay/replay.js';
import { ParameterRefused } from '../../../host/runner/runner.js';
import { createWasmRunner, loadController } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { HarmedFrames, harmedLine, nativeFirmware, nativeLine } from '../../support/chip-lines.js';
import { isChipMissing } from '../../support/chip-tools.js';
import { missingTool } from '../../support/missing-tool.js';
import { PROJECT } from '../../support/project.js';

const controller = loadController(PROJECT.controllerWasm);
const { contract } = controller.description;
const VECTOR = readVector(PROJECT, 'target-step');
const TICKS = 2000;

const open: Line[] = [];
const children: ChildProcess[] = [];
afterEach(() => {
  for (const line of open.splice(0)) line.close();
  for (const child of children.splice(0)) child.kill('SIGKILL');
});

function opened(line: Line): Line {
  open.push(line);
  return line;
}

const newLink = (): Link => new Link(opened(nativeLine()));

/** A chip that several tests use, one after another: each configures it from scratch. */
let shared: Line | undefined;
afterAll(() => shared?.close());
function sharedLine(): Line {
  shared ??= nativeLine();
  return shared;
}
const sharedLink = (): Link => new Link(sharedLine());

/** Ends a run over a recording early. */
class Enough extends Error {}

/** The first ticks of the vector on the wasm: its runner at the end, the inputs of each tick, and the chain after it. */
function runOnWasm() {
  const wasm = createWasmRunner(controller, VECTOR.rows, VECTOR.values);
  const chain = new StateChain(wasm.input.buffer as ArrayBuffer, contract, VECTOR.rows);
  const inputs: Uint8Array[] = [];
  const chains: number[] = [];
  const take = (tick: number): void => {
    chain.update();
    chains.push(chain.value);
    inputs.push(wasm.input.slice());
    if (tick === TICKS - 1) throw new Enough();
  };
  expect(() => runRecording(wasm, VECTOR.inputFile, VECTOR.tickHz, () => {}, take)).toThrow(Enough);
  return { wasm, inputs, chains };
}
const WASM = runOnWasm();

/** Runs these ticks of the vector on a chip, `count` ticks per request. */
function feed(chip: ChipRunner, from: number, end: number, count = chip.ticksMax): void {
  for (let tick = from; tick < end; tick += count) chip.runTicks(Buffer.concat(WASM.inputs.slice(tick, Math.min(tick + count, end))));
}

/** Runs the first ticks of the vector. Returns the chain at the end. */
function chainOf(chip: ChipRunner, ticksPerRequest?: number, ticks = TICKS): number {
  feed(chip, 0, ticks, ticksPerRequest);
  return chip.chain;
}

const runnerOn = (link: Link, values = VECTOR.values, rows = VECTOR.rows): ChipRunner =>
  createChipRunner(link, controller.description, rows, values);

describe.skipIf(isChipMissing('native'))('the link', () => {
  const never = (): HarmedFrames => new HarmedFrames('drop', Number.POSITIVE_INFINITY);
  const HARMS = [
    { name: 'every 7th request is lost', requests: () => new HarmedFrames('drop', 7), answers: never },
    { name: 'every 7th answer is lost', requests: never, answers: () => new HarmedFrames('drop', 7) },
    { name: 'every 5th request arrives damaged', requests: () => new HarmedFrames('damage', 5), answers: never },
    { name: 'every 5th answer arrives damaged', requests: never, answers: () => new HarmedFrames('damage', 5) },
    {
      name: 'both directions lose and damage',
      requests: () => new HarmedFrames('damage', 11),
      answers: () => new HarmedFrames('drop', 13),
    },
  ];

  it.each(HARMS)('runs each tick exactly once although $name', ({ requests, answers }) => {
    const line = sharedLine();
    // Until it is ready it sends notices of its coils, which are never repeated.
    runnerOn(new Link(line));
    const [there, back] = [requests(), answers()];
    const link = new Link(harmedLine(line, there, back));
    // Requests with one tick, and with as many as fit.
    expect(chainOf(runnerOn(link), 1)).toBe(WASM.chains.at(-1));
    expect(chainOf(runnerOn(link))).toBe(WASM.chains.at(-1));
    expect(there.harmed + back.harmed).toBeGreaterThan(100);
    expect(link.errors.repeated).toBe(there.harmed + back.harmed);
    expect(link.errors.damaged).toBe(back.harm === 'damage' ? back.harmed : 0);
  });

  it('counts no errors when there are none', () => {
    const link = sharedLink();
    expect(chainOf(runnerOn(link))).toBe(WASM.chains.at(-1));
    expect(link.errors).toEqual({ damaged: 0, repeated: 0 });
  });

  it('is lost after three attempts without an answer', () => {
    const line = sharedLine();
    greetOrRefuse(new Link(line), contract.hash);
    const link = new Link(harmedLine(line, new HarmedFrames('drop', 1), never()));
    expect(() => link.request('status')).toThrow(LinkLost);
    expect(link.errors.repeated).toBe(2);
  });
});

describe.skipIf(isChipMissing('native'))('a chip as a runner', () => {
  it('has the outputs, the probes and the whole memory of the wasm', () => {
    const chip = runnerOn(sharedLink());
    feed(chip, 0, TICKS);
    expect(Buffer.compare(chip.output, WASM.wasm.output)).toBe(0);
    expect(Buffer.compare(chip.probe, WASM.wasm.probe)).toBe(0);
    expect(chip.stateHash()).toBe(WASM.wasm.stateHash());
    const memory = chip.saveState();
    expect(memory).toHaveLength(chip.greeting.memoryBytes);
    expect(Buffer.compare(memory, WASM.wasm.saveState().subarray(0, memory.length))).toBe(0);
  });

  it('runs the same ticks in any number of requests, and takes as many per request as it declares', () => {
    const link = sharedLink();
    // 1024 bytes, and 4 rows: 20 + 4 × 12 bytes for one tick.
    expect(runnerOn(link)).toMatchObject({ ticksMax: 15, greeting: { requestBytes: 1024 } });
    for (const count of [1, 2, 7, 15]) expect(chainOf(runnerOn(link), count, 400)).toBe(WASM.chains[399]);
    // Three times the same tick: the counter shows the sum, and the longest.
    const chip = runnerOn(link);
    chip.runTicks(Buffer.concat(WASM.inputs.slice(0, 3)));
    expect(chip.counts.max).toBeGreaterThan(0);
    expect(chip.counts.total).toBeGreaterThan(chip.counts.max);
    expect(chip.counts.total).toBeLessThanOrEqual(3 * chip.counts.max);
  });

  it('goes back to a saved state and continues from there as before', () => {
    const chip = runnerOn(sharedLink());
    feed(chip, 0, 900);
    const saved = chip.saveState();
    feed(chip, 900, 1400);
    const [hash, probe] = [chip.stateHash(), chip.probe];
    chip.restoreState(saved);
    expect(chip.stateHash()).not.toBe(hash);
    feed(chip, 900, 1400);
    expect(chip.stateHash()).toBe(hash);
    expect(Buffer.compare(chip.probe, probe)).toBe(0);
  });

  it('starts from scratch, however it was used before', () => {
    const link = sharedLink();
    feed(runnerOn(link, { strategy: 1, strokesAtOnce: 2 }), 0, 700);
    expect(chainOf(runnerOn(link))).toBe(WASM.chains.at(-1));
  });

  it('with another contract is refused, with both hashes', () => {
    const other = { ...controller.description, contract: { ...contract, hash: '0123456789abcdef' } };
    const link = sharedLink();
    const refused = () => createChipRunner(link, other, VECTOR.rows);
    expect(refused).toThrow(InputError);
    expect(refused).toThrow(contract.hash);
    expect(refused).toThrow('0123456789abcdef');
  });

  it('names the parameter that it refuses', () => {
    const link = sharedLink();
    for (const [parameter, value] of [
      ['targetMaxN', 99],
      ['strokesAtOnce', 97],
      ['minPulseMs', 0.5],
    ] as const) {
      expect(() => runnerOn(link, { [parameter]: value })).toThrow(new ParameterRefused(parameter));
    }
    // After a refusal it still accepts valid values.
    expect(chainOf(runnerOn(link))).toBe(WASM.chains.at(-1));
  });

  it('takes new parameters between two ticks with the effect that they have on the wasm, or refuses them with the same number', () => {
    const link = sharedLink();
    const chip = runnerOn(link);
    const wasm = createWasmRunner(controller, VECTOR.rows, VECTOR.values);
    const run = (from: number, end: number): void => {
      feed(chip, from, end);
      for (const inputs of WASM.inputs.slice(from, end)) {
        wasm.input.set(inputs);
        wasm.tick();
      }
    };
    const changed = (values: Readonly<Record<string, number>>): number =>
      link.request('reconfigure', parameterBytes(controller.description, { ...VECTOR.values, ...values })).getInt32(0, true);
    run(0, 500);
    expect(changed({ targetMaxN: 99 })).toBe(contract.parameters.findIndex(({ name }) => name === 'targetMaxN') + 1);
    expect(changed({ strokesAtOnce: 2 })).toBe(-contract.parameters.findIndex(({ name }) => name === 'strokesAtOnce') - 1);
    expect(chip.stateHash()).toBe(wasm.stateHash());
    expect(changed({ deadbandMinN: 25, restMs: 10 })).toBe(0);
    wasm.reconfigure({ ...VECTOR.values, deadbandMinN: 25, restMs: 10 });
    run(500, 1500);
    expect(chip.stateHash()).toBe(wasm.stateHash());
    expect(() => link.request('reconfigure', new Uint8Array(4))).toThrow(/refuses request 12/);
  });

  it('refuses more rows than it was built for', () => {
    expect(() => runnerOn(sharedLink(), {}, 49)).toThrow('native: the chip refuses to run 49 rows: it does not have that many rows');
  });

  it.each([
    ['for another number of rows', (input: Uint8Array) => input.subarray(8)],
    ['that end within a tick', (input: Uint8Array) => Buffer.concat([input, input.subarray(8)])],
    ['for no tick at all', () => new Uint8Array(0)],
  ])('refuses inputs %s, and runs nothing', (_, inputs) => {
    const link = sharedLink();
    const chip = runnerOn(link);
    feed(chip, 0, 1);
    const hash = chip.stateHash();
    expect(() => link.request('ticks', inputs(chip.input))).toThrow(/refuses request 3/);
    expect(chip.stateHash()).toBe(hash);
  });
});

describe('something other than a chip', () => {
  it('is given up although it never falls silent', () => {
    const chatter = new Uint8Array(60).fill(0x24);
    const line: Line = { name: 'a compass', pollMs: 0, errorOutput: () => '', write: () => {}, read: () => chatter, close: () => {} };
    expect(() => greetOrRefuse(new Link(line), '0'.repeat(16))).toThrow(new LinkLost('a compass does not answer'));
  });

  it('is given up if it ends before it has opened its link', () => {
    const chip = { ...chipOf('cortex-m4f'), emulator: ['false'] };
    const firmware = { chip, channel: 'files', image: 'none.elf', folder: '.', contract } as const;
    const line = startFirmware(firmware, { silenceMs: 300 });
    expect(() => greetOrRefuse(new Link(line), '0'.repeat(16))).toThrow(LinkLost);
    line.close();
  });
});

describe.skipIf(isChipMissing('native'))('a chip that fails', () => {
  const inject = (link: Link, fault: number): void => void link.request('inject', Uint8Array.of(fault));

  it('is lost when its program has ended', () => {
    const link = newLink();
    const chip = runnerOn(link);
    // The address is not mapped on this computer either: the system ends the program.
    inject(link, INJECTED.fault);
    expect(() => chip.tick()).toThrow(LinkLost);
  });

  it('is lost when it hangs, once it has been silent for too long', () => {
    const link = new Link(opened(nativeLine(400)));
    const chip = runnerOn(link);
    inject(link, INJECTED.hang);
    const from = Date.now();
    expect(() => chip.tick()).toThrow(LinkLost);
    expect(Date.now() - from).toBeGreaterThanOrEqual(400);
    expect(Date.now() - from).toBeLessThan(4000);
  });

  it('is lost when it has restarted, with the cause', () => {
    const link = newLink();
    const chip = runnerOn(link);
    const cut = () => {
      inject(link, INJECTED.powerCut);
      chip.tick();
    };
    expect(cut).toThrow(new LinkLost('native has restarted: power'));
  });

  it('is lost when its controller stops, with the reason', () => {
    const link = newLink();
    const chip = runnerOn(link);
    const { at } = placeOf(contract, 'bankState');
    link.request('write', Uint8Array.of(at & 255, at >> 8, 0, 0, 255, 255));
    expect(() => chip.tick()).toThrow(new LinkLost('native has restarted: the controller stopped: an assertion failed'));
    // It closes its valves and stays stopped.
    expect(() => runnerOn(link)).toThrow(/has stopped and needs a restart/);
  });
});

/** A pseudo-terminal with the firmware behind it, which keeps its own end open. */
const PTY = `
import os, pty, subprocess, sys, tty
master, slave = pty.openpty()
tty.setraw(slave)
program = subprocess.Popen([sys.argv[1]], stdin=master, stdout=master)
with open(sys.argv[2] + '.new', 'w') as file: file.write(os.ttyname(slave))
os.rename(sys.argv[2] + '.new', sys.argv[2])
program.wait()
`;

import { temporaryFolder } from '../../support/temporary-folder.js';

describe('a serial port', () => {
  const isPythonMissing = missingTool('python3', 'apt-get install python3');

  it('that does not exist, or is something else, is bad input', () => {
    expect(() => openPort('/dev/no-such-port', 115200)).toThrow(InputError);
    expect(() => openPort('/dev/no-such-port', 115200)).toThrow('/dev/no-such-port');
    expect(() => openPort(VECTOR.inputFile, 115200)).toThrow(InputError);
    expect(() => openPort('/dev/null', 115200)).toThrow(/not a serial port, or it does not support 115200 baud/);
  });

  /** Waits until a program has written the port's name to a file. */
  function portFrom(file: string, find: (text: string) => string | undefined): string {
    for (let turn = 0; turn < 500; turn++) {
      const port = existsSync(file) ? find(readFileSync(file, 'utf8')) : undefined;
      if (port !== undefined) return port;
      execFileSync('sleep', ['0.02']);
    }
    throw new Error('no port');
  }

  it.skipIf(isPythonMissing || isChipMissing('native'))('runs a vector, bit for bit', () => {
    const folder = temporaryFolder();
    try {
      const name = join(folder, 'name');
      children.push(spawn('python3', ['-c', PTY, nativeFirmware().image, name], { stdio: 'ignore' }));
      const port = portFrom(name, (text) => text);
      expect(() => openPort(port, 12)).toThrow(InputError);
      const result = replayOnChip(new Link(opened(openPort(port, 115200))), controller, VECTOR);
      expect(result).toMatchObject({ verdict: 'same', ticks: 9000, divergence: undefined, stop: undefined });
      expect(result.chipChain).toBe(result.wasmChain);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it.skipIf(isChipMissing('cortex-m4f'))('of an emulated chip runs the first ticks of a vector, bit for bit', () => {
    const { image } = buildFirmware(chipOf('cortex-m4f'), PROJECT.controllerWasm, { channel: 'uart' });
    const folder = temporaryFolder();
    try {
      const [program = '', ...words] = chipOf('cortex-m4f').emulator ?? [];
      const errors = join(folder, 'errors');
      const out = openSync(errors, 'w');
      const quiet = ['-display', 'none', '-monitor', 'none', '-kernel', image, '-serial', 'pty'];
      children.push(spawn(program, [...words, ...quiet], { stdio: ['ignore', out, out] }));
      closeSync(out);
      const port = portFrom(errors, (text) => /\/dev\/\S+/.exec(text)?.[0]);
      const chip = runnerOn(new Link(opened(openPort(port, 115200))));
      expect(chainOf(chip, undefined, 400)).toBe(WASM.chains[399]);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});
