import type { ParameterValues } from '../contract/contract.js';
import { FIELD, type Ground, QUIET, ROUGH } from './stand-in.js';

/** The bank’s surroundings at a time, s; what is not given keeps the usual value. */
export interface BankMoment {
  readonly targetLoadN?: number;
  readonly oilTemperatureC?: number;
  readonly railKpa?: number;
  readonly supplyV?: number;
  readonly groundSpeedMmPerS?: number;
  readonly isLowered?: boolean;
  readonly isEnabled?: boolean;
  readonly isShutDown?: boolean;
}

/** What is wrong with a row's sensors at a time. */
export interface RowMoment {
  readonly load?: 'open' | 'short' | 'frozen' | 'jumping' | 'garbage';
  readonly pressure?: 'open' | 'garbage';
  readonly loadOffsetN?: number;
  readonly isEnabled?: boolean;
}

/** A vector whose inputs are composed: how the bank is driven, and what happens to its rows. */
export interface Composition {
  readonly name: string;
  readonly title: string;
  readonly why: string;
  readonly rows: number;
  readonly seconds: number;
  readonly seed: number;
  readonly tickHz?: number;
  readonly ground?: Ground;
  readonly parameters?: ParameterValues;
  /** Share of the configured flow that the valves really pass. */
  readonly flowRatio?: number;
  /** True positions of supply and return valve at the start, by row from 1. */
  readonly isOpenAtStart?: (row: number) => [boolean, boolean];
  readonly startKpa?: (row: number) => number;
  readonly bank?: (second: number) => BankMoment;
  readonly row?: (row: number, second: number) => RowMoment;
}

const THRESHOLD = { strategy: 0, loadFilterHz: 2, deadbandN: 117 } as const;
const between = (second: number, from: number, to: number): boolean => second >= from && second < to;

// Seeds are the cases' numbers; nothing else hangs on them.
export const COMPOSITIONS: readonly Composition[] = [
  {
    name: 'target-step',
    title: 'The operator raises the target, then lowers it',
    why: 'The load loop must follow a step both ways without a stroke too many; any change of gains, deadband or pulse length shows here first.',
    rows: 4,
    seconds: 9,
    seed: 1,
    bank: (second) => ({ targetLoadN: second < 3 ? 450 : second < 6 ? 700 : 350 }),
  },
  {
    name: 'lift-and-lower-with-new-zero',
    title: 'A headland turn: lifted, re-zeroed, lowered',
    why: 'The load sensor has drifted by 60 N; the lift must find it, the rows must rest meanwhile and go on from the set point they had. Row 2 swings while lifted, so its zero must be refused.',
    rows: 2,
    seconds: 12,
    seed: 2,
    bank: (second) => ({ isLowered: !between(second, 3, 7) }),
    row: (row, second) => ({ loadOffsetN: 60 + (row === 2 && between(second, 3, 7) ? 90 * (Math.floor(second * 4) % 2) : 0) }),
  },
  {
    name: 'load-sensor-open-circuit',
    title: 'The wire of a load sensor breaks and comes back',
    why: 'Row 1 must keep its last set point and its pressure loop while the load is unknown, report the open circuit after its debounce, and take the load up again after its recovery. Row 2 must not notice.',
    rows: 2,
    seconds: 8,
    seed: 3,
    row: (row, second) => (row === 1 && between(second, 2.5, 5) ? { load: 'open' } : {}),
  },
  {
    name: 'load-sensor-frozen',
    title: 'A load sensor shows the same code for ever',
    why: 'A code that stands still looks like a perfect load. It must be found within frozenMs and freeze the set point; in threshold it must hold.',
    rows: 2,
    seconds: 6,
    seed: 4,
    parameters: { ...THRESHOLD },
    ground: FIELD,
    row: (row, second) => (row === 1 && between(second, 2, 4) ? { load: 'frozen' } : {}),
  },
  {
    name: 'load-implausible-rate',
    title: 'A loose connector makes the load jump',
    why: 'Jumps that the damped sensor cannot make must neither move a valve nor reach the filter, single ones must not become a fault, a burst must.',
    rows: 2,
    seconds: 7,
    seed: 5,
    row: (row, second) => (row === 1 && (between(second, 2.001, 2.002) || between(second, 3, 3.2)) ? { load: 'jumping' } : {}),
  },
  {
    name: 'supply-low-with-valves-open',
    title: 'The supply fails while valves are open',
    why: 'All rows want pressure and have a valve open when the supply falls below its first threshold: nothing may open any more, what is open must be closed. Below the second threshold positions are unknown, and after recovery every valve is closed again first.',
    rows: 6,
    seconds: 9,
    seed: 6,
    parameters: { ...THRESHOLD, strokesAtOnce: 2 },
    bank: (second) => ({
      targetLoadN: second < 2 ? 450 : second < 5 ? 1600 : 300,
      supplyV: between(second, 2.08, 3) ? 9 : between(second, 5.06, 6) ? 6 : 12.8,
    }),
  },
  {
    name: 'start-with-unknown-positions',
    title: 'Start with valves left anywhere',
    why: 'Some valves were left open at the last power loss. Every valve must get its closing stroke before any opens, spread over the slots that two strokes at once allow.',
    rows: 24,
    seconds: 4,
    seed: 7,
    parameters: { strokesAtOnce: 2, lowerSettleMs: 0 },
    isOpenAtStart: (row) => [row % 3 === 0, row % 3 === 1],
  },
  {
    name: 'forty-eight-rows-at-once',
    title: '48 rows want a stroke in the same tick, four get one',
    why: 'A target step hits all rows together. The stroke queue must hold the limit, serve closes first and let nobody wait longer than the proven bound.',
    rows: 48,
    seconds: 3,
    seed: 8,
    ground: QUIET,
    parameters: { ...THRESHOLD, strokesAtOnce: 4 },
    bank: (second) => ({ targetLoadN: second < 1.2 ? 450 : 1200 }),
  },
  {
    name: 'cold-oil',
    title: 'A cold morning: oil at −15 °C and slower than thought',
    why: 'Pulses must be longer by the configured cold flow, and the learned gain must come near the rest, since the valves pass 60 % of that.',
    rows: 2,
    seconds: 15,
    seed: 9,
    flowRatio: 0.75 * 0.6,
    bank: (second) => ({ oilTemperatureC: -15, targetLoadN: Math.floor(second / 2.5) % 2 === 0 ? 350 : 750 }),
  },
  {
    name: 'rough-field-at-speed',
    title: 'A rough field at 5 m/s with deadband following the noise',
    why: 'The busiest running there is: noise-following deadband, lug notch and learning all at work on eight rows. Whatever changes the arithmetic changes something here.',
    rows: 8,
    seconds: 12,
    seed: 10,
    ground: ROUGH,
    parameters: { deadbandMode: 1, lugNotch: 1, loadFilterHz: 3 },
    bank: (second) => ({ groundSpeedMmPerS: second < 10 ? 5000 : 65535 }),
  },
  {
    name: 'garbage-then-recovery',
    title: 'A second of garbage on every input, then sense again',
    why: 'Random codes, a target and a temperature that are not numbers: no order may come of it, every fault must be reported, and all must be as before afterwards, with no NaN left in any filter.',
    rows: 2,
    seconds: 7,
    seed: 11,
    bank: (second) => (between(second, 2, 3) ? { targetLoadN: Number.NaN, oilTemperatureC: Number.NaN, railKpa: -20000 } : {}),
    row: (_, second) => (between(second, 2, 3) ? { load: 'garbage', pressure: 'garbage' } : {}),
  },
  {
    name: 'shut-down-with-vent',
    title: 'Shut-down lets the pressure go, then closes',
    why: 'With shutDownVent the return valves open, end at ventToKpa or after ventMs, and everything is closed before the power goes. Row 3 has lost its pressure sensor and must not vent blindly beyond the time.',
    rows: 3,
    seconds: 6,
    seed: 12,
    parameters: { shutDownVent: 1, ventMs: 1500 },
    bank: (second) => ({ isShutDown: second >= 3 }),
    row: (row, second) => (row === 3 && second >= 2 ? { pressure: 'open' } : {}),
  },
  {
    name: 'small-reservoir',
    title: 'A small capacitor feeds twelve rows',
    why: 'An opening stroke may begin only while its own close and those of all open valves stay paid for: with 4700 µF the strokes are few at a time, and no valve may be left open.',
    rows: 12,
    seconds: 5,
    seed: 13,
    parameters: { reservoirUf: 4700, strokesAtOnce: 4 },
    bank: (second) => ({ targetLoadN: second < 2 ? 450 : 800 }),
  },
  {
    name: 'two-banks-take-turns',
    title: 'Two banks share a harness',
    why: 'This bank has the second of two slots: every stroke must begin in the first tick of its slot and nowhere else.',
    rows: 8,
    seconds: 4,
    seed: 14,
    parameters: { slotCount: 2, slotPhase: 1, strokesAtOnce: 3 },
    bank: (second) => ({ targetLoadN: second < 1.5 ? 450 : 750 }),
  },
  {
    name: 'threshold-over-soil-patches',
    title: 'Threshold, tuned, over changing soil',
    why: 'The honest baseline: filter near 2 Hz, deadband near ±117 N, valve held open until the load is inside.',
    rows: 4,
    seconds: 10,
    seed: 15,
    ground: { ...FIELD, roughN: 60 },
    parameters: { ...THRESHOLD },
  },
  {
    name: 'rail-sags-and-row-off',
    title: 'The rail sags below the set point; a row is switched off',
    why: 'Pressure cannot be raised above the rail: the set point must not wind up behind it, and the fault must be reported. Row 2 is off meanwhile and must hold.',
    rows: 3,
    seconds: 9,
    seed: 16,
    bank: (second) => ({ targetLoadN: 650, railKpa: between(second, 3, 6) ? 3600 : 15000 }),
    row: (row, second) => ({ isEnabled: !(row === 2 && between(second, 2, 7)) }),
  },
  {
    name: 'never-below-precharge',
    title: 'A light target that only an empty accumulator could give',
    why: 'The wanted load lies below what the weight alone gives: the return valve must stop at precharge + 1 bar, because one pulse more there takes tens of bar, and stay there however the error crosses the edge of the deadband.',
    rows: 2,
    seconds: 6,
    seed: 17,
    ground: { roughN: 90, roughHz: 5, soilN: [150, 150], patchS: 4 },
    parameters: { ...THRESHOLD },
    startKpa: () => 2200,
    // At the floor the load is 545 N: the error stands just at the deadband's edge and crosses it with every bump.
    bank: () => ({ targetLoadN: 420 }),
  },
  {
    name: 'relatch-at-rest',
    title: 'Valves at rest get their closing stroke again',
    why: 'A bank that is switched off still refreshes its valves at relatchS, one slot at a time, and never opens one.',
    rows: 3,
    seconds: 6,
    seed: 18,
    parameters: { relatchS: 1, strokesAtOnce: 1 },
    bank: (second) => ({ isEnabled: second < 2 }),
  },
];
