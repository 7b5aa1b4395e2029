import { afterEach, describe, expect, it } from 'vitest';
import { type Chip, chipOf } from '../../host/chip/chips.js';
import { greet, type Status } from '../../host/chip/link.js';
import { placeOf } from '../../host/contract/contract.js';
import { ChipBench, INJECT, pause } from '../support/chip-bench.js';
import { isChipMissing } from '../support/chip-tools.js';

/*
 * Whatever happens to the chip, its program, its supply or its link while valves stand open: in the end all valves are in the
 * safe state, by what the coils have really got, and the chip says what has happened.
 */

/** As the boards' settings have them: coils that may be driven at once, ticks of a closing stroke without the controller. */
const COILS_AT_ONCE = 4;
const CLOSING_TICKS = 4;
/** The controller's own strokes: parameter strokeMs, 2 ms, at 1000 ticks a second. */
const STROKE_TICKS = 2;

const ALL_CLOSED = Array.from({ length: 48 }, () => 'closed');
const ALL_OPEN = Array.from({ length: 48 }, () => 'open');

/** Exception 3 is HardFault (Arm v6-M and v7-M Architecture Reference Manuals, B1.5.2); mcause 7 is a store access fault (RISC-V
 * Privileged Architecture 1.12, table 3.6). */
const CHIPS: readonly { readonly chip: Chip; readonly fault: number }[] = [
  { chip: chipOf('cortex-m4f'), fault: 3 },
  { chip: chipOf('cortex-m0plus'), fault: 3 },
  { chip: chipOf('rv32imafc'), fault: 7 },
];

let bench: ChipBench | undefined;
afterEach(() => {
  bench?.close();
  bench = undefined;
});

/** A bench whose chip is in a free run with valves open on both sides. */
function runningBench(chip: Chip, values: Readonly<Record<string, number>> = {}): ChipBench {
  bench = new ChipBench(chip);
  bench.runUntilOpen(values);
  return bench;
}

/** What holds in every case: the coils got no more than the supply can give, and no stroke was too short to move its valve. */
function expectSoundStrokes({ valves }: ChipBench): void {
  expect(valves.maxDriven).toBeLessThanOrEqual(COILS_AT_ONCE);
  expect(valves.strokes.length).toBeGreaterThan(2 * 48);
  expect(valves.strokes.filter(({ ticks }) => ticks < STROKE_TICKS)).toEqual([]);
}

/** The chip has begun anew with valves open or in mid-stroke, and has closed all of them without the controller. */
function expectClosedAfterStart({ valves, ...rest }: ChipBench, cause: string, reason: number): void {
  const last = valves.starts.at(-1);
  expect(last).toMatchObject({ cause, reason });
  expect(last?.uncertain).toBeGreaterThan(0);
  expect(valves.positions('supply')).toEqual(ALL_CLOSED);
  expect(valves.positions('back')).toEqual(ALL_CLOSED);
  const closing = valves.strokes.filter(({ starts }) => starts === valves.starts.length);
  expect(closing.length).toBeGreaterThanOrEqual(2 * 48);
  expect(closing.filter(({ ticks, to }) => ticks < CLOSING_TICKS || to !== 'closed')).toEqual([]);
  expectSoundStrokes({ valves, ...rest } as ChipBench);
}

/** Stopped it stays, whatever it is asked, until a restart; then it is ready. */
function expectStoppedUntilRestart(one: ChipBench, startCause: string, startReason: number): void {
  expect(one.settle()).toMatchObject({ state: 'stopped', doubtful: 0 });
  expect(() => one.configure()).toThrow(/no greeting/);
  expect(one.greet()).toMatchObject({ startCause, startReason, state: 'stopped' });
  expect(() => one.configure()).toThrow(/busy or stopped/);
  expect(() => one.input()).toThrow(/refuses request 4/);
  one.link.ask('leave');
  const strokes = one.valves.strokes.length;
  pause(300);
  expect(one.status().state).toBe('stopped');
  expect(one.valves.strokes).toHaveLength(strokes);
  const starts = one.valves.starts.length;
  one.link.ask('restart');
  one.hearStart(starts);
  expect(one.valves.starts.at(-1)).toEqual({ cause: 'asked', reason: 0, doubtful: 0 });
  expect(one.settle().state).toBe('ready');
  expect(one.valves.uncertain()).toBe(0);
}

/** Ends a run by the controller's own closing. */
function expectEnded(one: ChipBench, end: Status['end']): void {
  expect(one.settle()).toMatchObject({ state: 'ready', end, doubtful: 0 });
  expect(one.valves.positions('supply')).toEqual(ALL_CLOSED);
  expect(one.valves.positions('back')).toEqual(ALL_CLOSED);
  expect(one.valves.starts).toHaveLength(1);
  expectSoundStrokes(one);
}

/** As many rows as the count can hold, instead of 4: the controller leaves its memory. */
function breakController(one: ChipBench): void {
  const { at } = placeOf(one.description.contract, 'bankState');
  one.link.ask('write', Uint8Array.of(at & 255, at >> 8, 0, 0, 255, 255));
}

/** The chip stops with valves open, begins anew, closes all of them, and stays stopped until it is restarted. */
function expectStopAfter(one: ChipBench, cause: string, reason: number): void {
  one.hearStart(1);
  one.settle();
  expectClosedAfterStart(one, cause, reason);
  expectStoppedUntilRestart(one, cause, reason);
}

describe.each(CHIPS)('on $chip.name', { timeout: 120_000 }, ({ chip, fault }) => {
  const isLeftOut = isChipMissing(chip.name);

  it.skipIf(isLeftOut)('at power-up every valve gets its closing strokes, wherever it stood', () => {
    bench = new ChipBench(chip);
    bench.hearStart(0);
    expect(bench.greet()).toMatchObject({ startCause: 'power', startReason: 0, arithmetic: 0 });
    expect(() => bench?.configure()).toThrow(/busy or stopped/);
    expect(bench.settle()).toMatchObject({ state: 'ready', doubtful: 0 });
    // Positions are not known, so each valve gets two strokes: one may fail to move it.
    expect(bench.valves.strokes).toHaveLength(2 * 2 * 48);
    expectClosedAfterStart(bench, 'power', 0);
  });

  it.skipIf(isLeftOut)('a controller that stops by a trap leaves all valves closed and itself stopped', () => {
    const one = runningBench(chip);
    breakController(one);
    expectStopAfter(one, 'trap', 2);
  });

  it.skipIf(isLeftOut)('a program that hangs is ended by the watchdog, and all valves are closed', () => {
    const one = runningBench(chip);
    one.inject(INJECT.hang);
    expectStopAfter(one, 'watchdog', 0);
  });

  it.skipIf(isLeftOut)('a fault of the processor leaves all valves closed and the chip stopped', () => {
    const one = runningBench(chip);
    one.inject(INJECT.fault);
    expectStopAfter(one, 'fault', fault);
  });

  it.skipIf(isLeftOut)('a stack that runs over is a fault of the processor before it is anything else', () => {
    const one = runningBench(chip);
    one.inject(INJECT.stack);
    expectStopAfter(one, 'fault', fault);
  });

  it.skipIf(isLeftOut)('after a power cut all valves are closed, and the chip is ready for another run', () => {
    const one = runningBench(chip);
    one.inject(INJECT.powerCut);
    one.hearStart(1);
    expect(one.settle()).toMatchObject({ state: 'ready', doubtful: 0 });
    expectClosedAfterStart(one, 'power', 0);
    one.runUntilOpen();
    one.link.ask('leave');
    expect(one.settle()).toMatchObject({ state: 'ready', end: 'asked', doubtful: 0 });
    expect(one.valves.uncertain()).toBe(0);
  });

  it.skipIf(isLeftOut)('a power cut in the middle of closing begins the closing anew', () => {
    bench = new ChipBench(chip);
    while (bench.valves.strokes.length < 20) expect(bench.link.hear()).toBe(true);
    bench.inject(INJECT.powerCut);
    bench.hearStart(1);
    expect(bench.settle()).toMatchObject({ state: 'ready', doubtful: 0 });
    expectClosedAfterStart(bench, 'power', 0);
  });

  it.skipIf(isLeftOut)('a run whose host falls silent is ended by the controller’s own closing', () => {
    const one = runningBench(chip);
    pause(1200);
    expectEnded(one, 'link lost');
  });

  it.skipIf(isLeftOut)('a stranger’s greeting ends no run, but what it sends keeps none alive', () => {
    const one = runningBench(chip);
    expect(greet(one.link, '0123456789abcdef')).toMatchObject({ isAccepted: false, state: 'running' });
    const from = Date.now();
    while (Date.now() - from < 1200) {
      expect(() => one.input()).toThrow(/refuses request 4/);
      one.status();
    }
    expectEnded(one, 'link lost');
  });

  it.skipIf(isLeftOut)('a run that is left ends with all valves closed', () => {
    const one = runningBench(chip);
    one.link.ask('leave');
    expectEnded(one, 'asked');
  });

  it.skipIf(isLeftOut)('the early warning of a failing supply ends a run with all valves closed', () => {
    const one = runningBench(chip);
    one.inject(INJECT.powerFailing);
    expectEnded(one, 'power failing');
  });

  it.skipIf(isLeftOut)('with shutDownVent a run ends by venting first and closing then', () => {
    // Pulses of 20 ms every 220 ms: between them all valves are closed, and the vent is not over.
    const one = runningBench(chip, { shutDownVent: 1, ventMs: 600, maxPulseMs: 20, restMs: 200 });
    const before = one.valves.strokes.length;
    one.link.ask('leave');
    expectEnded(one, 'asked');
    const strokes = one.valves.strokes.slice(before);
    for (const row of [0, 1, 2, 3]) {
      const back = strokes.filter((stroke) => stroke.row === row && stroke.side === 'back').map(({ to }) => to);
      expect(back.filter((to) => to === 'open').length).toBeGreaterThanOrEqual(2);
      expect(back.at(-1)).toBe('closed');
    }
  });

  it.skipIf(isLeftOut)('a board that rests vented closes every supply valve and then opens every return valve', () => {
    const one = new ChipBench(chip, { flags: ['-DLB_VENTED_AT_REST'] });
    bench = one;
    one.runUntilOpen({}, 48);
    expect(one.valves.positions('supply')).toContain('open');
    breakController(one);
    one.hearStart(1);
    expect(one.settle()).toMatchObject({ state: 'stopped', doubtful: 48 });
    expect(one.valves.starts.at(-1)).toMatchObject({ cause: 'trap', reason: 2 });
    expect(one.valves.positions('supply')).toEqual(ALL_CLOSED);
    expect(one.valves.positions('back')).toEqual(ALL_OPEN);
    expectSoundStrokes(one);
    const resting = one.valves.strokes.filter(({ starts }) => starts === 2);
    expect(resting.filter(({ ticks }) => ticks < CLOSING_TICKS)).toEqual([]);
    // Nothing opens before the last valve has been closed.
    const lastClosed = Math.max(...resting.filter(({ to }) => to === 'closed').map(({ from, ticks }) => from + ticks));
    expect(resting.filter(({ to, from }) => to === 'open' && from < lastClosed)).toEqual([]);
  });
});

const IS_M4_MISSING = isChipMissing('cortex-m4f');

describe('a chip whose arithmetic is not that of WebAssembly', () => {
  it.skipIf(IS_M4_MISSING)('says so and refuses to drive valves', () => {
    bench = new ChipBench(chipOf('cortex-m4f'), { flags: ['-ffp-contract=fast'] });
    expect(bench.greet().arithmetic).toBe(1);
    expect(bench.settle()).toMatchObject({ state: 'ready', doubtful: 0 });
    expect(() => bench?.configure()).toThrow(/its arithmetic is not that of WebAssembly/);
    expect(bench.status().state).toBe('ready');
  });
});
