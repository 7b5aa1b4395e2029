import { oncePer } from '../common/once.js';
import type { Contract } from '../contract/contract.js';
import { type Change, ChangeDetector, outputSignals } from '../replay/change.js';
import type { Drive, Side } from './drive.js';
import { ReplayTally } from './replay-metrics.js';
import type { SignalParting, Stop } from './review.js';
import { keyOf, type MatchedSignals, matchSignals, type SignalPair, signalsOf } from './signals.js';
import { PairWatch } from './watch-pair.js';

/** configure() comes before the first tick. */
export const CONFIGURE_TICK = -1;

/** What two runs side by side showed. */
export interface PairRun {
  /** Ticks that both have run. */
  readonly ticks: number;
  /** Where each signal that differs first does, in order of time; within a tick in memory's order. */
  readonly partings: readonly SignalParting[];
  readonly stopped: { readonly old: Stop | undefined; readonly new: Stop | undefined };
  readonly changes: { readonly old: readonly Change[]; readonly new: readonly Change[] };
  readonly tallies: { readonly old: ReplayTally; readonly new: ReplayTally };
}

/** Looks on: before the controllers' tick, with inputs in place, and after it. */
export interface PairListener {
  readonly before?: (tick: number) => void;
  readonly after?: (tick: number) => void;
  /** Whether enough has been seen. */
  readonly isEnough?: () => boolean;
}

/** Matches of two contracts by the number of rows. A bank has thousands of signals, and every run asks for them several times. */
const matchesOf = oncePer((_old: Contract) => oncePer((_fresh: Contract) => new Map<number, MatchedSignals>()));

/** Signals of both sides of a run. */
export function matchSides({ old, new: fresh, rows }: Drive): MatchedSignals {
  const [a, b] = [old.controller.description.contract, fresh.controller.description.contract];
  const known = matchesOf(a)(b);
  const matched = known.get(rows) ?? matchSignals(signalsOf(a, rows), signalsOf(b, rows));
  known.set(rows, matched);
  return matched;
}

export function partingOf({ old, new: fresh }: SignalPair, tick: number, oldValue: number, newValue: number): SignalParting {
  const { row, name: signal, kind, unit } = fresh;
  return { tick, row, signal, kind, unit, old: old.show(oldValue), new: fresh.show(newValue) };
}

function attempt({ target }: Side, tick: number): Stop | undefined {
  try {
    target.tick();
    return undefined;
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) return { tick, message: error.message };
    throw error;
  }
}

/** Gathers the changes of a side's outputs that the other side has too. */
function detectorOf({ target }: Side, known: ReadonlySet<string>): { changes: Change[]; detect: (tick: number) => void } {
  const changes: Change[] = [];
  const detector = new ChangeDetector(target.output, outputSignals(target.description.contract), true);
  const take = (change: Change): void => void (known.has(keyOf({ row: change.row, name: change.signal })) && changes.push(change));
  return { changes, detect: (tick) => detector.detect(tick, take) };
}

/** A controller that stopped. */
type Stopped = PairRun['stopped'];

/**
 * Feeds the same inputs to both sides, tick by tick, and lets somebody look. A controller that stops ends it.
 * @throws InputError when the inputs are not in order
 */
export function stepPair(drive: Drive, { before, after, isEnough }: PairListener): { ticks: number; stopped: Stopped } {
  let ticks = 0;
  try {
    for (; ticks < drive.ticks && isEnough?.() !== true; ticks++) {
      drive.feed(ticks);
      before?.(ticks);
      const stopped = { old: attempt(drive.old, ticks), new: attempt(drive.new, ticks) };
      if (stopped.old !== undefined || stopped.new !== undefined) return { ticks, stopped };
      after?.(ticks);
      drive.obey();
    }
  } finally {
    drive.close();
  }
  return { ticks, stopped: { old: undefined, new: undefined } };
}

/** Runs both sides over the same inputs and finds what differs. @throws InputError when the inputs are not in order */
export function runPair(drive: Drive, listener: PairListener = {}): PairRun {
  const { old, new: fresh } = drive;
  const { pairs } = matchSides(drive);
  const watch = new PairWatch(old.target.output.buffer, fresh.target.output.buffer, pairs);
  const known = new Set(pairs.map((pair) => keyOf(pair.new)));
  const detectors = { old: detectorOf(old, known), new: detectorOf(fresh, known) };
  const tallies = { old: new ReplayTally(old.target), new: new ReplayTally(fresh.target) };
  const partings: SignalParting[] = [];
  const scan = (tick: number): void => watch.scan((pair, a, b) => void partings.push(partingOf(pair, tick, a, b)));
  scan(CONFIGURE_TICK);
  const after = (tick: number): void => {
    for (const side of ['old', 'new'] as const) {
      detectors[side].detect(tick);
      tallies[side].take();
    }
    scan(tick);
    listener.after?.(tick);
  };
  const steps = stepPair(drive, { ...listener, after });
  return { ...steps, partings, changes: { old: detectors.old.changes, new: detectors.new.changes }, tallies };
}
