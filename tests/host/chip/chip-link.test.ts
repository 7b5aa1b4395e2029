import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { closeSync, existsSync, mkdtempSync, openSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { buildFirmware } from '../../../host/chip/build.js';
import { StateChain } from '../../../host/chip/chain.js';
import { type ChipRunner, createChipRunner } from '../../../host/chip/chip-runner.js';
import { chipOf } from '../../../host/chip/chips.js';
import { type Line, openPort, startFirmware } from '../../../host/chip/line.js';
import { greetOrRefuse, Link, LinkLost } from '../../../host/chip/link.js';
import { replayOnChip } from '../../../host/chip/replay-chip.js';
import { InputError } from '../../../host/common/input-error.js';
import { placeOf } from '../../../host/contract/contract.js';
import { runRecording } from '../../../host/replay/replay.js';
import { ParameterRefused, type Runner } from '../../../host/runner/runner.js';
import { createWasmRunner, loadController, type WasmRunner } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { isChipMissing } from '../../support/chip-tools.js';
import { missingTool } from '../../support/missing-tool.js';

const controller = loadController(PROJECT.controllerWasm);
const { contract } = controller.description;
const CASE = readVector(PROJECT, 'target-step');
const TICKS = 2000;

const open: Line[] = [];
const children: ChildProcess[] = [];
afterEach(() => {
  for (const line of open.splice(0)) line.close();
  for (const child of children.splice(0)) child.kill('SIGKILL');
});

const nativeFirmware = () => buildFirmware(chipOf('native'), PROJECT.controllerWasm, { channel: 'uart', isInjectable: true });

function nativeLine(silenceMs = 5000): Line {
  const line = startFirmware(nativeFirmware(), { silenceMs });
  open.push(line);
  return line;
}

/** Ends a run over a recording early. */
class Enough extends Error {}

/** The first ticks of the vector; the chain at the end. */
function runFirst(target: ChipRunner, ticks = TICKS): number {
  try {
    runRecording(
      target,
      CASE.inputFile,
      CASE.tickHz,
      () => {},
      (tick) => {
        if (tick === ticks - 1) throw new Enough();
      },
    );
  } catch (error) {
    if (!(error instanceof Enough)) throw error;
  }
  return target.chain;
}

/** The same on the wasm: its target, its chain after each tick, and the inputs of each. */
function wasmFirst(): { chain: number; chains: number[]; wasm: WasmRunner; inputs: Uint8Array[] } {
  const wasm = createWasmRunner(controller, CASE.rows, CASE.values);
  const chain = new StateChain(wasm.input.buffer as ArrayBuffer, contract, CASE.rows);
  const inputs: Uint8Array[] = [];
  const chains: number[] = [];
  try {
    runRecording(
      wasm,
      CASE.inputFile,
      CASE.tickHz,
      () => {},
      (tick) => {
        chain.update();
        chains.push(chain.value);
        inputs.push(wasm.input.slice());
        if (tick === TICKS - 1) throw new Enough();
      },
    );
  } catch (error) {
    if (!(error instanceof Enough)) throw error;
  }
  return { chain: chain.value, chains, wasm, inputs };
}
const WASM = wasmFirst();

type Harm = 'drop' | 'damage';

/** Frames on their way, of which every n-th is lost or has a bit changed. */
class Harmed {
  count = 0;
  harmed = 0;
  private rest = Buffer.alloc(0);

  constructor(
    readonly harm: Harm,
    readonly every: number,
  ) {}

  /** What arrives of these bytes: whole frames only, each with its final 0. */
  pass(bytes: Uint8Array): Buffer {
    const all = Buffer.concat([this.rest, bytes]);
    const frames: Buffer[] = [];
    let from = 0;
    for (let end = all.indexOf(0); end !== -1; end = all.indexOf(0, from)) {
      frames.push(this.one(Buffer.from(all.subarray(from, end + 1))));
      from = end + 1;
    }
    this.rest = Buffer.from(all.subarray(from));
    return Buffer.concat(frames);
  }

  private one(frame: Buffer): Buffer {
    this.count += 1;
    if (this.count % this.every !== 0) return frame;
    this.harmed += 1;
    if (this.harm === 'drop') return Buffer.alloc(0);
    const at = this.count % (frame.length - 1);
    // Never to 0, which would be two frames: that is for the test of frames.
    frame[at] = (frame[at] ?? 0) === 0x40 ? 0x41 : (frame[at] ?? 0) ^ 0x40;
    return frame;
  }
}

/**
 * A line on which frames get lost. A silence is told at once: when a frame has been lost, no answer is under way, since the host
 * asks one thing at a time.
 */
function harmedLine(line: Line, there: Harmed, back: Harmed): Line {
  let isLost = false;
  return {
    name: line.name,
    complaint: () => line.complaint(),
    write: (bytes) => {
      const before = there.harmed;
      const passed = there.pass(bytes);
      isLost = there.harmed > before;
      if (passed.length > 0) line.write(passed);
    },
    read: () => {
      if (isLost) {
        isLost = false;
        return new Uint8Array(0);
      }
      const before = back.harmed;
      for (;;) {
        const passed = back.pass(line.read());
        isLost = back.harmed > before;
        if (passed.length > 0) return passed;
        if (isLost) {
          isLost = false;
          return passed;
        }
      }
    },
    close: () => line.close(),
  };
}
const never = (): Harmed => new Harmed('drop', Number.POSITIVE_INFINITY);

describe.skipIf(isChipMissing('native'))('the link', () => {
  const HARMS = [
    { name: 'every 7th request is lost', there: () => new Harmed('drop', 7), back: never },
    { name: 'every 7th answer is lost', there: never, back: () => new Harmed('drop', 7) },
    { name: 'every 5th request arrives damaged', there: () => new Harmed('damage', 5), back: never },
    { name: 'every 5th answer arrives damaged', there: never, back: () => new Harmed('damage', 5) },
    { name: 'both ways lose and damage', there: () => new Harmed('damage', 11), back: () => new Harmed('drop', 13) },
  ];

  it.each(HARMS)('does each tick exactly once though $name', ({ there, back }) => {
    const line = nativeLine();
    // Until it is ready it tells of its coils, which nobody repeats.
    createChipRunner(new Link(line), controller.description, CASE.rows, CASE.values);
    const [forth, home] = [there(), back()];
    const link = new Link(harmedLine(line, forth, home));
    const chip = createChipRunner(link, controller.description, CASE.rows, CASE.values);
    expect(runFirst(chip)).toBe(WASM.chain);
    expect(forth.harmed + home.harmed).toBeGreaterThan(100);
    expect(link.trouble.repeated).toBe(forth.harmed + home.harmed);
    expect(link.trouble.damaged).toBe(home.harm === 'damage' ? home.harmed : 0);
  });

  it('without trouble counts none', () => {
    const link = new Link(nativeLine());
    const chip = createChipRunner(link, controller.description, CASE.rows, CASE.values);
    expect(runFirst(chip)).toBe(WASM.chain);
    expect(link.trouble).toEqual({ damaged: 0, repeated: 0 });
  });

  it('is given up after three tries in silence', () => {
    const line = nativeLine();
    greetOrRefuse(new Link(line), contract.hash);
    const link = new Link(harmedLine(line, new Harmed('drop', 1), never()));
    expect(() => link.ask('status')).toThrow(LinkLost);
    expect(link.trouble.repeated).toBe(2);
  });
});

const targetOn = (link: Link, values = CASE.values, rows = CASE.rows): ChipRunner =>
  createChipRunner(link, controller.description, rows, values);

describe.skipIf(isChipMissing('native'))('a chip as a target', () => {
  const feed = (target: Runner, from: number, end: number): void => {
    for (const input of WASM.inputs.slice(from, end)) {
      target.input.set(input);
      target.tick();
    }
  };

  it('has the outputs, the probes and the whole memory of the wasm', () => {
    const chip = targetOn(new Link(nativeLine()));
    feed(chip, 0, TICKS);
    expect(Buffer.compare(chip.output, WASM.wasm.output)).toBe(0);
    expect(Buffer.compare(chip.probe, WASM.wasm.probe)).toBe(0);
    expect(chip.stateHash()).toBe(WASM.wasm.stateHash());
    const memory = chip.saveState();
    expect(memory).toHaveLength(chip.greeting.memoryBytes);
    expect(Buffer.compare(memory, WASM.wasm.saveState().subarray(0, memory.length))).toBe(0);
  });

  it('goes back to a saved state, and on from there as before', () => {
    const chip = targetOn(new Link(nativeLine()));
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

  it('begins afresh however it was used before', () => {
    const link = new Link(nativeLine());
    feed(targetOn(link, { strategy: 1, strokesAtOnce: 2 }), 0, 700);
    expect(runFirst(targetOn(link))).toBe(WASM.chain);
  });

  it('of another contract is refused, with both hashes', () => {
    const other = { ...controller.description, contract: { ...contract, hash: '0123456789abcdef' } };
    const link = new Link(nativeLine());
    const refused = () => createChipRunner(link, other, CASE.rows);
    expect(refused).toThrow(InputError);
    expect(refused).toThrow(contract.hash);
    expect(refused).toThrow('0123456789abcdef');
  });

  it('names the parameter that it refuses', () => {
    const link = new Link(nativeLine());
    for (const [parameter, value] of [
      ['targetMaxN', 99],
      ['strokesAtOnce', 97],
      ['minPulseMs', 0.5],
    ] as const) {
      expect(() => targetOn(link, { [parameter]: value })).toThrow(new ParameterRefused(parameter));
    }
    // After a refusal it still takes what is right.
    expect(runFirst(targetOn(link))).toBe(WASM.chain);
  });

  it('refuses more rows than there is room for', () => {
    expect(() => targetOn(new Link(nativeLine()), {}, 49)).toThrow(/too many rows/);
  });

  it('refuses ticks with inputs of another number of rows', () => {
    const link = new Link(nativeLine());
    const chip = targetOn(link);
    expect(() => link.ask('tick', chip.input.subarray(8))).toThrow(/refuses request 3/);
  });
});

/** Faults as firmware/link.h numbers them. */
const [HANG, FAULT, POWER_CUT] = [1, 2, 5];

describe('what is no chip', () => {
  it('is given up though it never falls silent', () => {
    const chatter = new Uint8Array(60).fill(0x24);
    const line: Line = { name: 'a compass', complaint: () => '', write: () => {}, read: () => chatter, close: () => {} };
    expect(() => greetOrRefuse(new Link(line), '0'.repeat(16))).toThrow(new LinkLost('a compass gives no answer'));
  });

  it('is given up if it ends before it has opened its link', () => {
    const chip = { ...chipOf('cortex-m4f'), emulator: ['false'] };
    const firmware = {
      chip,
      channel: 'files',
      image: 'none.elf',
      folder: '.',
      contract: loadController(PROJECT.controllerWasm).description.contract,
    } as const;
    const line = startFirmware(firmware, { silenceMs: 300 });
    expect(() => greetOrRefuse(new Link(line), '0'.repeat(16))).toThrow(LinkLost);
    line.close();
  });
});

describe.skipIf(isChipMissing('native'))('a chip that goes', () => {
  it('is lost when its program has ended', () => {
    const link = new Link(nativeLine());
    const chip = targetOn(link);
    // On this computer nothing stands at the address either: the system ends the program.
    link.ask('inject', Uint8Array.of(FAULT));
    expect(() => chip.tick()).toThrow(LinkLost);
  });

  it('is lost when it hangs, after the silence that is allowed', () => {
    const link = new Link(nativeLine(400));
    const chip = targetOn(link);
    link.ask('inject', Uint8Array.of(HANG));
    const from = Date.now();
    expect(() => chip.tick()).toThrow(LinkLost);
    expect(Date.now() - from).toBeGreaterThanOrEqual(400);
    expect(Date.now() - from).toBeLessThan(4000);
  });

  it('is lost when it has started anew, and says why it has', () => {
    const link = new Link(nativeLine());
    const chip = targetOn(link);
    const cut = () => {
      link.ask('inject', Uint8Array.of(POWER_CUT));
      chip.tick();
    };
    expect(cut).toThrow(new LinkLost('native has started anew: power'));
  });

  it('is lost when its controller stops, with the reason', () => {
    const link = new Link(nativeLine());
    const chip = targetOn(link);
    const { at } = placeOf(contract, 'bankState');
    link.ask('write', Uint8Array.of(at & 255, at >> 8, 0, 0, 255, 255));
    expect(() => chip.tick()).toThrow(new LinkLost('native has started anew: the controller stopped: access outside memory'));
    // It closes its valves and stays stopped.
    expect(() => targetOn(link)).toThrow(/has stopped and waits for a restart/);
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

import { PROJECT } from '../../support/project.js';

describe('a serial port', () => {
  const isPythonMissing = missingTool('python3', 'apt-get install python3');

  it('that is not there, or is none, is bad input', () => {
    expect(() => openPort('/dev/no-such-port', 115200)).toThrow(InputError);
    expect(() => openPort('/dev/no-such-port', 115200)).toThrow('/dev/no-such-port');
    expect(() => openPort(CASE.inputFile, 115200)).toThrow(InputError);
    expect(() => openPort('/dev/null', 115200)).toThrow(InputError);
  });

  /** Where a program writes the port's name once it is there. */
  function portFrom(file: string, find: (text: string) => string | undefined): string {
    for (let turn = 0; turn < 500; turn++) {
      const port = existsSync(file) ? find(readFileSync(file, 'utf8')) : undefined;
      if (port !== undefined) return port;
      execFileSync('sleep', ['0.02']);
    }
    throw new Error('no port');
  }

  it.skipIf(isPythonMissing || isChipMissing('native'))('runs a vector, bit for bit', () => {
    const folder = mkdtempSync(join(tmpdir(), 'latchbench-pty-'));
    try {
      const name = join(folder, 'name');
      children.push(spawn('python3', ['-c', PTY, nativeFirmware().image, name], { stdio: 'ignore' }));
      const port = portFrom(name, (text) => text);
      expect(() => openPort(port, 12)).toThrow(InputError);
      const line = openPort(port, 115200);
      open.push(line);
      const result = replayOnChip(new Link(line), controller, CASE);
      expect(result).toMatchObject({ verdict: 'same', ticks: 9000, difference: undefined, stop: undefined });
      expect(result.chipChain).toBe(result.wasmChain);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it.skipIf(isChipMissing('cortex-m4f'))('of an emulated chip runs the beginning of a vector, bit for bit', () => {
    const { image } = buildFirmware(chipOf('cortex-m4f'), PROJECT.controllerWasm, { channel: 'uart' });
    const folder = mkdtempSync(join(tmpdir(), 'latchbench-pty-'));
    try {
      const [program = '', ...words] = chipOf('cortex-m4f').emulator ?? [];
      const said = join(folder, 'said');
      const out = openSync(said, 'w');
      const quiet = ['-display', 'none', '-monitor', 'none', '-kernel', image, '-serial', 'pty'];
      children.push(spawn(program, [...words, ...quiet], { stdio: ['ignore', out, out] }));
      closeSync(out);
      const line = openPort(
        portFrom(said, (text) => /\/dev\/\S+/.exec(text)?.[0]),
        115200,
      );
      open.push(line);
      const chip = targetOn(new Link(line));
      expect(runFirst(chip, 400)).toBe(WASM.chains[399]);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});
