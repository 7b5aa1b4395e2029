import { afterEach, describe, expect, it } from 'vitest';
import type { FirmwareOptions } from '../../host/chip/build.js';
import { chipOf } from '../../host/chip/chips.js';
import { greet, type Notice, type Status } from '../../host/chip/link.js';
import { placeOf } from '../../host/contract/contract.js';
import { ChipBench, pause } from './chip-bench.js';
import { isChipMissing } from './chip-tools.js';

/*
 * Safety rules of the firmware, one scenario each. Whatever happens to the chip, its program, its supply or its link while valves are
 * open: in the end all valves are in the safe state, judged by the current that their coils really had, and the chip reports what
 * has happened.
 */

/** Settings of the example boards: coils that may be driven at once, ticks of a closing stroke without the controller. */
const COILS_AT_ONCE = 4;
const CLOSING_TICKS = 4;
/** The controller's own strokes: parameter strokeMs, 2 ms, at 1000 ticks per second. */
const STROKE_TICKS = 2;

const ALL_CLOSED = Array.from({ length: 48 }, () => 'closed');
const ALL_OPEN = Array.from({ length: 48 }, () => 'open');

/**
 * The reason that a chip reports for a processor fault. Exception 3 is HardFault (Arm v6-M and v7-M Architecture Reference Manuals,
 * B1.5.2); mcause 7 is a store access fault (RISC-V Privileged Architecture 1.12, table 3.6).
 */
const FAULT_REASON: Readonly<Record<string, number>> = { 'cortex-m4f': 3, 'cortex-m0plus': 3, rv32imafc: 7 };

let bench: ChipBench | undefined;

function newBench(chip: string, options: Partial<FirmwareOptions> = {}): ChipBench {
  bench = new ChipBench(chipOf(chip), options);
  return bench;
}

/** Benches that are tried before the computer counts as too busy. */
const ATTEMPTS = 3;

/** A bench whose chip is in a free run with valves open on both sides. */
function runningBench(
  chip: string,
  values: Readonly<Record<string, number>> = {},
  options: Partial<FirmwareOptions> = {},
  openBefore = 0,
): ChipBench {
  for (let attempt = 1; ; attempt++) {
    const one = newBench(chip, options);
    try {
      one.runUntilOpen(values, openBefore);
      return one;
    } catch (error) {
      // To an emulated watchdog a busy computer looks like a program that hangs.
      if (attempt === ATTEMPTS || one.valves.starts.at(-1)?.cause !== 'watchdog') throw error;
      one.close();
    }
  }
}

/** Holds in every scenario: no more coils at once than the supply can drive, and no stroke too short to move its valve. */
function expectSoundStrokes({ valves }: ChipBench): void {
  expect(valves.maxDriven).toBeLessThanOrEqual(COILS_AT_ONCE);
  expect(valves.strokes.length).toBeGreaterThan(2 * 48);
  expect(valves.strokes.filter(({ ticks }) => ticks < STROKE_TICKS)).toEqual([]);
}

function expectAllClosed({ valves }: ChipBench): void {
  expect(valves.positions('supply')).toEqual(ALL_CLOSED);
  expect(valves.positions('return')).toEqual(ALL_CLOSED);
}

/** The chip has restarted with valves open or in mid-stroke, and has closed all of them without the controller. */
function expectClosedAfterStart(one: ChipBench, cause: string, reason: number): void {
  const { valves } = one;
  const last = valves.starts.at(-1);
  expect(last).toMatchObject({ cause, reason });
  expect(last?.notClosed).toBeGreaterThan(0);
  expectAllClosed(one);
  const closing = valves.strokes.filter(({ starts }) => starts === valves.starts.length);
  expect(closing.length).toBeGreaterThanOrEqual(2 * 48);
  expect(closing.filter(({ ticks, to }) => ticks < CLOSING_TICKS || to !== 'closed')).toEqual([]);
  expectSoundStrokes(one);
}

/** The chip stays stopped, whatever is requested, until a restart; then it is ready. */
function expectStoppedUntilRestart(one: ChipBench, startCause: string, startReason: number): void {
  expect(one.settle()).toMatchObject({ state: 'stopped', notClosed: 0 });
  expect(() => one.configure()).toThrow(/has not been greeted/);
  expect(one.greet()).toMatchObject({ startCause, startReason, state: 'stopped' });
  expect(() => one.configure()).toThrow(/busy or stopped/);
  one.input();
  one.link.request('endRun');
  const strokes = one.valves.strokes.length;
  pause(100);
  expect(one.status().state).toBe('stopped');
  expect(one.valves.strokes).toHaveLength(strokes);
  const starts = one.valves.starts.length;
  one.link.request('restart');
  one.awaitStart(starts);
  expect(one.valves.starts.at(-1)).toEqual({ cause: 'requested', reason: 0, notClosed: 0 });
  expect(one.settle().state).toBe('ready');
  expect(one.valves.notClosed()).toBe(0);
}

/** The run ends by the controller's own closing. */
function expectEnded(one: ChipBench, end: Status['end']): void {
  expect(one.settle()).toMatchObject({ state: 'ready', end, notClosed: 0 });
  expectAllClosed(one);
  expect(one.valves.starts).toHaveLength(1);
  expectSoundStrokes(one);
}

/** Sets a row count that no memory can hold, at which the controller stops. */
function breakController(one: ChipBench): void {
  const { at } = placeOf(one.description.contract, 'bankState');
  one.link.request('write', Uint8Array.of(at & 255, at >> 8, 0, 0, 255, 255));
}

/** The chip stops with valves open, restarts, closes all of them, and stays stopped until it is restarted. */
function expectStopAfter(one: ChipBench, cause: string, reason: number): void {
  one.awaitStart(1);
  one.settle();
  expectClosedAfterStart(one, cause, reason);
  expectStoppedUntilRestart(one, cause, reason);
}

/** Scenarios that any chip can play, also the program of this computer. */
const COMMON = {
  'at power-up every valve gets its closing strokes, whatever its position': (chip: string) => {
    const one = newBench(chip);
    one.awaitStart(0);
    expect(one.greet()).toMatchObject({ startCause: 'power', startReason: 0, arithmetic: 0 });
    expect(() => one.configure()).toThrow(/busy or stopped/);
    expect(one.settle()).toMatchObject({ state: 'ready', notClosed: 0 });
    // Positions are unknown, so each valve gets two strokes: a single one may fail to move it.
    expect(one.valves.strokes).toHaveLength(2 * 2 * 48);
    expectClosedAfterStart(one, 'power', 0);
  },
  'a controller that traps leaves all valves closed and the chip stopped': (chip: string) => {
    const one = runningBench(chip);
    breakController(one);
    expectStopAfter(one, 'trap', 1);
  },
  'after a power cut all valves are closed, and the chip is ready for another run': (chip: string) => {
    const one = runningBench(chip);
    one.inject('powerCut');
    one.awaitStart(1);
    expect(one.settle()).toMatchObject({ state: 'ready', notClosed: 0 });
    expectClosedAfterStart(one, 'power', 0);
    one.runUntilOpen();
    one.link.request('endRun');
    expect(one.settle()).toMatchObject({ state: 'ready', end: 'requested', notClosed: 0 });
    expect(one.valves.notClosed()).toBe(0);
  },
  'a power cut during the closing sequence restarts the sequence': (chip: string) => {
    const one = newBench(chip);
    while (one.valves.strokes.length < 20) expect(one.link.listen()).toBe(true);
    one.inject('powerCut');
    one.awaitStart(1);
    expect(one.settle()).toMatchObject({ state: 'ready', notClosed: 0 });
    expectClosedAfterStart(one, 'power', 0);
  },
  'when the host falls silent, the controller ends the run and closes the valves': (chip: string) => {
    const one = runningBench(chip);
    // The boards' linkLossTicks are 200.
    pause(600);
    expectEnded(one, 'link lost');
  },
  'a host with another contract neither ends a run nor keeps it alive': (chip: string) => {
    const one = runningBench(chip);
    expect(greet(one.link, '0123456789abcdef')).toMatchObject({ accepted: 'refused', state: 'running' });
    const from = Date.now();
    while (Date.now() - from < 600) {
      one.input();
    }
    expectEnded(one, 'link lost');
  },
  'a run that is ended by request leaves all valves closed': (chip: string) => {
    const one = runningBench(chip);
    one.link.request('endRun');
    expectEnded(one, 'requested');
  },
  "the supply's early warning ends a run with all valves closed": (chip: string) => {
    const one = runningBench(chip);
    one.inject('powerFailing');
    expectEnded(one, 'power failing');
  },
  'with shutDownVent a run ends by venting and then closing': (chip: string) => {
    // Pulses of 20 ms every 50 ms: between them all valves are closed although the vent is not over.
    const one = runningBench(chip, { shutDownVent: 1, ventMs: 600, maxPulseMs: 20, restMs: 30 });
    const before = one.valves.strokes.length;
    one.link.request('endRun');
    expectEnded(one, 'requested');
    const strokes = one.valves.strokes.slice(before);
    for (const row of [0, 1, 2, 3]) {
      const orders = strokes.filter((stroke) => stroke.row === row && stroke.side === 'return').map(({ to }) => to);
      expect(orders.filter((to) => to === 'open').length).toBeGreaterThanOrEqual(2);
      expect(orders.at(-1)).toBe('closed');
    }
  },
  'a board whose safe state is vented closes every supply valve and then opens every return valve': (chip: string) => {
    const one = runningBench(chip, {}, { flags: ['-DLB_VENTED_WHEN_SAFE'] }, 48);
    expect(one.valves.positions('supply')).toContain('open');
    breakController(one);
    one.awaitStart(1);
    expect(one.settle()).toMatchObject({ state: 'stopped', notClosed: 48 });
    expect(one.valves.starts.at(-1)).toMatchObject({ cause: 'trap', reason: 1 });
    expect(one.valves.positions('supply')).toEqual(ALL_CLOSED);
    expect(one.valves.positions('return')).toEqual(ALL_OPEN);
    expectSoundStrokes(one);
    const afterStart = one.valves.strokes.filter(({ starts }) => starts === 2);
    expect(afterStart.filter(({ ticks }) => ticks < CLOSING_TICKS)).toEqual([]);
    // No valve opens before the last one has been closed.
    const lastClosed = Math.max(...afterStart.filter(({ to }) => to === 'closed').map(({ from, ticks }) => from + ticks));
    expect(afterStart.filter(({ to, from }) => to === 'open' && from < lastClosed)).toEqual([]);
  },
};

/** Scenarios that need a processor with a watchdog and memory protection. */
const PROCESSOR = {
  'a coil that the program leaves on is switched off, and that is reported': (chip: string) => {
    const one = newBench(chip);
    one.greet();
    one.settle();
    const off: Notice[] = [];
    one.link.onNotice = (notice) => off.push(notice);
    one.inject('coil');
    // The upper limit of the parameter strokeMs is 20 ms, and the boards allow 2 ticks more.
    pause(100);
    expect(one.status().counters.capped).toBeGreaterThanOrEqual(1);
    expect(off.filter((notice) => notice.kind === 'coils' && notice.row === 47)).toMatchObject([{ supplyOrder: 0, returnOrder: 0 }]);
  },
  'a program that hangs with a coil on is ended by the watchdog, after the coil was switched off': (chip: string) => {
    const one = runningBench(chip);
    one.inject('coil');
    one.inject('hang');
    one.awaitStart(1);
    // The reason counts this coil, and those of strokes that were in progress.
    const reason = one.valves.starts.at(-1)?.reason ?? 0;
    expect(reason).toBeGreaterThanOrEqual(1);
    expect(reason).toBeLessThanOrEqual(1 + COILS_AT_ONCE);
    one.settle();
    expectStopAfter(one, 'watchdog', one.valves.starts.at(-1)?.reason ?? Number.NaN);
  },
  'a processor fault leaves all valves closed and the chip stopped': (chip: string) => {
    const one = runningBench(chip);
    one.inject('fault');
    expectStopAfter(one, 'fault', FAULT_REASON[chip] ?? Number.NaN);
  },
  'a stack overflow raises a processor fault before it overwrites anything': (chip: string) => {
    const one = runningBench(chip);
    one.inject('stack');
    expectStopAfter(one, 'fault', FAULT_REASON[chip] ?? Number.NaN);
  },
};

/** Registers the tests of one chip: the scenarios of any chip, those that need a processor, or both. */
export function describeSafety(chip: string, kinds: readonly ('common' | 'processor')[]): void {
  const scenarios = { ...(kinds.includes('common') ? COMMON : {}), ...(kinds.includes('processor') ? PROCESSOR : {}) };
  const isMissing = isChipMissing(chip);
  describe(`safety on ${chip}`, { timeout: 120_000 }, () => {
    afterEach(() => {
      bench?.close();
      bench = undefined;
    });
    for (const [name, run] of Object.entries(scenarios)) it.skipIf(isMissing)(name, () => run(chip));
  });
}

/** Firmware whose arithmetic deviates from WebAssembly's. */
export function describeWrongArithmetic(chip: string): void {
  describe(`a ${chip} with fused multiply-add`, () => {
    afterEach(() => {
      bench?.close();
      bench = undefined;
    });
    it.skipIf(isChipMissing(chip))('reports it and refuses to drive valves', () => {
      const one = newBench(chip, { flags: ['-ffp-contract=fast'] });
      expect(one.greet().arithmetic).toBe(1);
      expect(one.settle()).toMatchObject({ state: 'ready', notClosed: 0 });
      expect(() => one.configure()).toThrow(/its arithmetic differs from WebAssembly's/);
      expect(one.status().state).toBe('ready');
    });
  });
}
