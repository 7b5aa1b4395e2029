import { buildFirmware, type FirmwareOptions } from '../../host/chip/build.js';
import { configureChip, FREE_RUN } from '../../host/chip/chip-runner.js';
import { type Chip, chipOf } from '../../host/chip/chips.js';
import { startFirmware } from '../../host/chip/line.js';
import { greetOrRefuse, Link, type Status, statusOf } from '../../host/chip/link.js';
import { loadController } from '../../host/runner/wasm-runner.js';
import { BenchValves, SIDES } from './bench-valves.js';
import { PROJECT } from './project.js';

/** Faults that firmware for tests plays, as firmware/link.h numbers them. */
export const INJECT = { hang: 1, fault: 2, stack: 3, powerFailing: 4, powerCut: 5 } as const;

const ROWS_WIRED = 48;
/** Rows of the free run: the two first ask for more oil, the two last for less. */
const ROWS = 4;
/** An emulator that says nothing for so long has hung, however busy the computer is. */
const SILENCE_MS = 15_000;
/** Runs that are begun before a computer counts as too busy. */
const ATTEMPTS = 5;

/**
 * Parameters under which constant loads keep valves at work: the bench has no oil, so that missed strokes are not looked for, and
 * the return valves' rows ask for pulses as long as those of the supply valves.
 */
const PARAMETERS = { missedStrokeDetection: 0, gainLearning: 0, strategy: 0, railRateKpaPerMs: 20_000 };

/** Codes by hand from the default calibration: 409.6 + share of the span of 3276.8. */
const CODES = { load300N: 934, load2900N: 2638, pressure5000Kpa: 1065, rail15000Kpa: 2376, noAcceleration: 2048 };

/** Inputs of 1500 N wanted; two rows carry 300 N, two carry 2900 N. A little noise: a code that stands still counts as frozen. */
function inputsAt(count: number): Uint8Array {
  const noise = (count * 7) % 5;
  const bytes = Buffer.alloc(20 + ROWS * 8);
  bytes.writeFloatLE(1500, 0);
  bytes.writeFloatLE(40, 4);
  bytes.writeUInt16LE(CODES.rail15000Kpa + noise, 8);
  bytes.writeUInt16LE(12_500, 10);
  bytes.writeUInt16LE(24_000, 12);
  bytes.writeUInt16LE(2500, 14);
  bytes[16] = 1;
  bytes[17] = 1;
  for (let row = 0; row < ROWS; row++) {
    const at = 20 + row * 8;
    bytes.writeUInt16LE((row < 2 ? CODES.load300N : CODES.load2900N) + noise, at);
    bytes.writeUInt16LE(CODES.pressure5000Kpa + noise, at + 2);
    bytes.writeUInt16LE(CODES.noAcceleration, at + 4);
    bytes[at + 6] = 1;
  }
  return bytes;
}

/** Lets time pass for the emulator. */
export function pause(ms: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}

/** A chip whose timer runs, with valves on a bench that hear of its coils. */
export class ChipBench {
  readonly valves = new BenchValves(ROWS_WIRED);
  readonly link: Link;
  readonly description = loadController(PROJECT.controllerWasm).description;
  private count = 0;

  constructor(chip: Chip, options: Partial<FirmwareOptions> = {}) {
    this.link = new Link(
      startFirmware(buildFirmware(chip, PROJECT.controllerWasm, { channel: 'uart', isInjectable: true, ...options }), {
        silenceMs: SILENCE_MS,
      }),
    );
    this.link.listen = (told) => this.valves.take(told);
  }

  static of(name: string, options: Partial<FirmwareOptions> = {}): ChipBench {
    return new ChipBench(chipOf(name), options);
  }

  close(): void {
    this.link.line.close();
  }

  greet(): ReturnType<typeof greetOrRefuse> {
    return greetOrRefuse(this.link, this.description.contract.hash);
  }

  status(): Status {
    return statusOf(this.link);
  }

  /** Waits until no run and no closing is under way. */
  settle(): Status {
    for (let turn = 0; turn < 2000; turn++) {
      const status = this.status();
      if (status.state === 'ready' || status.state === 'stopped') return status;
      // Questions without a pause would take the time that the run's own ticks need.
      pause(5);
    }
    throw new Error(`still ${this.status().state}`);
  }

  configure(values: Readonly<Record<string, number>> = {}): void {
    configureChip(this.link, this.description, ROWS, { ...PARAMETERS, ...values }, FREE_RUN);
  }

  /** One message of inputs. */
  input(): void {
    this.count += 1;
    this.link.ask('input', inputsAt(this.count));
  }

  /**
   * Starts a free run and feeds it until a valve of each side stands open that the controller has opened.
   * @param restingOpen valves that stand open before it
   */
  runUntilOpen(values: Readonly<Record<string, number>> = {}, restingOpen = 0): void {
    for (let attempt = 0; attempt < ATTEMPTS; attempt++) {
      this.greet();
      this.settle();
      const open = this.valves.uncertain();
      if (open !== restingOpen) throw new Error(`${open} valves were open before the run`);
      this.configure(values);
      if (this.feedUntilOpen()) return;
    }
    throw new Error('no valves open');
  }

  /** False if the run has ended because this computer was too busy to send inputs in time. */
  private feedUntilOpen(): boolean {
    for (let turn = 0; turn < 3000; turn++) {
      try {
        this.input();
      } catch (error) {
        if (this.status().end === 'link lost') return false;
        throw error;
      }
      if (SIDES.every((side) => this.valves.positions(side).slice(0, ROWS).includes('open'))) return true;
    }
    return false;
  }

  inject(fault: number): void {
    this.link.ask('inject', Uint8Array.of(fault));
  }

  /** Listens until the chip has told of one start more than there were. */
  hearStart(before: number): void {
    while (this.valves.starts.length === before) if (!this.link.hear()) throw new Error('no start is told');
  }
}
