import { buildFirmware, type FirmwareOptions } from '../../host/chip/build.js';
import { configureChip } from '../../host/chip/chip-runner.js';
import type { Chip } from '../../host/chip/chips.js';
import { startFirmware } from '../../host/chip/line.js';
import { type Greeting, greetOrRefuse, Link, type Status, statusOf } from '../../host/chip/link.js';
import { INJECTED } from '../../host/chip/protocol.js';
import { loadController } from '../../host/runner/wasm-runner.js';
import { BenchValves, SIDES } from './bench-valves.js';
import { PROJECT } from './project.js';

const ROWS_WIRED = 48;
/** Rows of the free run: the first two need more oil, the last two less. */
const ROWS = 4;
/** Bytes of BankInput and RowInput, counted by hand. */
const BANK_INPUT = 20;
const ROW_INPUT = 12;
/** After this long without an answer a request is sent again: a chip that is reset loses what it has not read. */
const SILENCE_MS = 5000;
/** Runs that are started before the computer counts as too busy. */
const ATTEMPTS = 5;

/**
 * Parameters under which constant loads keep the valves working. The bench has no oil, so missed strokes are not looked for, and
 * the rows that lower their load ask for pulses as long as the others.
 */
const PARAMETERS = { missedStrokeDetection: 0, gainLearning: 0, strategy: 0, railRateKpaPerMs: 20_000 };

/** ADC counts, computed by hand from the default calibration: 409.6 + fraction of the span of 3276.8. */
const COUNTS = { load300N: 934, load2900N: 2638, pressure5000Kpa: 1065, pressure13500Kpa: 2179, rail15000Kpa: 2376, noAcceleration: 2048 };

/**
 * Inputs with a target of 1500 N; two rows carry 300 N, two carry 2900 N, at pressures that can produce them. They have some noise:
 * constant counts look like a frozen sensor.
 */
function inputsAt(message: number): Uint8Array {
  const noise = (message * 7) % 5;
  const bytes = Buffer.alloc(BANK_INPUT + ROWS * ROW_INPUT);
  bytes.writeFloatLE(1500, 0);
  bytes.writeFloatLE(40, 4);
  bytes.writeUInt16LE(COUNTS.rail15000Kpa + noise, 8);
  bytes.writeUInt16LE(12_500, 10);
  bytes.writeUInt16LE(24_000, 12);
  bytes.writeUInt16LE(2500, 14);
  bytes[16] = 1;
  bytes[17] = 1;
  for (let row = 0; row < ROWS; row++) {
    // The first 4 bytes are the soil seen ahead, which no sensor measures here.
    const at = BANK_INPUT + row * ROW_INPUT + 4;
    const [load, pressure] = row < 2 ? [COUNTS.load300N, COUNTS.pressure5000Kpa] : [COUNTS.load2900N, COUNTS.pressure13500Kpa];
    bytes.writeUInt16LE(load + noise, at);
    bytes.writeUInt16LE(pressure + noise, at + 2);
    bytes.writeUInt16LE(COUNTS.noAcceleration, at + 4);
    bytes[at + 6] = 1;
  }
  return bytes;
}

/** Blocks this thread; the chip goes on. */
export function pause(ms: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}

/** A chip in real time, with valves on a bench that follow its coils. */
export class ChipBench {
  readonly valves = new BenchValves(ROWS_WIRED);
  readonly link: Link;
  readonly description = loadController(PROJECT.controllerWasm).description;
  private messages = 0;
  private notices = 0;

  constructor(chip: Chip, options: Partial<FirmwareOptions> = {}) {
    const firmware = buildFirmware(chip, PROJECT.controllerWasm, { channel: 'uart', isInjectable: true, ...options });
    this.link = new Link(startFirmware(firmware, { silenceMs: SILENCE_MS }));
    this.link.onNotice = (notice) => {
      this.notices += 1;
      this.valves.take(notice);
    };
  }

  close(): void {
    this.link.line.close();
  }

  greet(): Greeting {
    return greetOrRefuse(this.link, this.description.contract.hash);
  }

  status(): Status {
    return statusOf(this.link);
  }

  /** Waits until neither a run nor the closing sequence is in progress, and all that the coils did has been reported: answers overtake it. */
  settle(): Status {
    let quietTurns = 0;
    for (let turn = 0; turn < 2000; turn++) {
      const { notices } = this;
      const status = this.status();
      const isQuiet = notices === this.notices && (status.state === 'ready' || status.state === 'stopped');
      quietTurns = isQuiet ? quietTurns + 1 : 0;
      if (quietTurns === 2) return status;
      // Requests without a pause would take the time that the run's own ticks need.
      pause(5);
    }
    throw new Error(`still ${this.status().state}`);
  }

  configure(values: Readonly<Record<string, number>> = {}): void {
    configureChip(this.link, this.description, ROWS, { ...PARAMETERS, ...values }, 'freeRun');
  }

  /** Sends inputs for one step a little ahead. */
  input(): void {
    this.messages += 1;
    const head = Buffer.alloc(8);
    head.writeUInt32LE(this.status().steps + 1, 0);
    head[4] = 1;
    this.link.post('inputs', Buffer.concat([head, inputsAt(this.messages)]));
  }

  /**
   * Starts a free run and feeds it until the controller has opened a valve on each side.
   * @param openBefore valves that are open before it
   */
  runUntilOpen(values: Readonly<Record<string, number>> = {}, openBefore = 0): void {
    for (let attempt = 0; attempt < ATTEMPTS; attempt++) {
      this.greet();
      this.settle();
      const open = this.valves.notClosed();
      if (open !== openBefore) throw new Error(`${open} valves are open before the run`);
      this.configure(values);
      if (this.feedUntilOpen()) return;
    }
    throw new Error('no valve opens');
  }

  /** Returns false if the run has ended because this computer was too busy to send inputs in time. */
  private feedUntilOpen(): boolean {
    for (let turn = 0; turn < 3000; turn++) {
      this.input();
      if (this.status().end === 'link lost') return false;
      if (SIDES.every((side) => this.valves.positions(side).slice(0, ROWS).includes('open'))) return true;
      pause(1);
    }
    return false;
  }

  inject(fault: keyof typeof INJECTED): void {
    this.link.request('inject', Uint8Array.of(INJECTED[fault]));
  }

  /** Waits for the notice of one more start. */
  awaitStart(before: number): void {
    while (this.valves.starts.length === before) if (!this.link.listen()) throw new Error('no notice of a start');
  }
}
