import { oncePer } from '../common/once.js';
import type { Contract } from '../contract/contract.js';
import { type Change, ChangeDetector, outputSignals } from '../replay/change.js';
import { MemoryDiff } from './memory-diff.js';
import { ReplayTally } from './replay-metrics.js';
import type { SignalDivergence, Stop } from './review.js';
import { isOneSide, type RunPair, type Side } from './run-pair.js';
import { keyOf, type MatchedSignals, matchSignals, type SignalPair, signalsOf } from './signals.js';

/** configure() comes before the first tick. */
export const CONFIGURE_TICK = -1;

/** Result of two runs side by side. */
export interface PairResult {
  /** Ticks that both have run. */
  readonly ticks: number;
  /** First difference of each signal that differs, in order of time; within a tick in the order of memory. */
  readonly divergences: readonly SignalDivergence[];
  readonly stopped: { readonly base: Stop | undefined; readonly head: Stop | undefined };
  readonly changes: { readonly base: readonly Change[]; readonly head: readonly Change[] };
  readonly tallies: { readonly base: ReplayTally; readonly head: ReplayTally };
}

export interface PairListener {
  /** Called before the controllers' tick, with the inputs written. */
  readonly before?: ((tick: number) => void) | undefined;
  readonly after?: (tick: number) => void;
  /** Whether to end the run early. */
  readonly isDone?: () => boolean;
}

/** Matched signals of two contracts by the number of rows. A bank has thousands, and each run needs them several times. */
const matchesOf = oncePer((_base: Contract) => oncePer((_head: Contract) => new Map<number, MatchedSignals>()));

/** Signals of both sides of a run. */
export function matchSides({ base, head, rows }: Pick<RunPair, 'base' | 'head' | 'rows'>): MatchedSignals {
  const [a, b] = [base.controller.description.contract, head.controller.description.contract];
  const known = matchesOf(a)(b);
  const matched = known.get(rows) ?? matchSignals(signalsOf(a, rows), signalsOf(b, rows));
  known.set(rows, matched);
  return matched;
}

export function divergenceOf({ base, head }: SignalPair, tick: number, baseValue: number, headValue: number): SignalDivergence {
  const { row, name: signal, kind, unit } = head;
  return { tick, row, signal, kind, unit, base: base.show(baseValue), head: head.show(headValue) };
}

function runTick({ runner }: Side, tick: number): Stop | undefined {
  try {
    runner.tick();
    return undefined;
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) return { tick, message: error.message };
    throw error;
  }
}

/** Collects the changes of a side's outputs that both sides have. @param known keys of those; by default all */
function changeCollector({ runner }: Side, known?: ReadonlySet<string>): { changes: Change[]; detect: (tick: number) => void } {
  const changes: Change[] = [];
  const detector = new ChangeDetector(runner.output, outputSignals(runner.description.contract), true);
  const take = (change: Change): void => {
    if (known?.has(keyOf({ row: change.row, name: change.signal })) !== false) changes.push(change);
  };
  return { changes, detect: (tick) => detector.detect(tick, take) };
}

/**
 * Runs both sides tick by tick until the inputs end, a controller stops, or the listener has enough.
 * @throws InputError if an input is missing
 */
export function stepBoth(pair: RunPair, { before, after, isDone }: PairListener): { ticks: number; stopped: PairResult['stopped'] } {
  let ticks = 0;
  try {
    for (; ticks < pair.ticks && isDone?.() !== true; ticks++) {
      pair.feed(ticks);
      before?.(ticks);
      const base = runTick(pair.base, ticks);
      const stopped = { base, head: isOneSide(pair) ? base : runTick(pair.head, ticks) };
      if (stopped.base !== undefined || stopped.head !== undefined) return { ticks, stopped };
      after?.(ticks);
      pair.applyOutputs();
    }
  } finally {
    pair.close();
  }
  return { ticks, stopped: { base: undefined, head: undefined } };
}

/** What a run does besides comparing. */
export interface RunOptions {
  /** Called before each tick, with the inputs written. */
  readonly before?: PairListener['before'];
  /** Called after each tick that both sides have run. */
  readonly onTick?: ((tick: number) => void) | undefined;
  /** Whether to end the run after the tick of the first difference. */
  readonly toFirst?: boolean | undefined;
}

/** Runs both sides and finds what differs. @throws InputError if an input is missing */
export function runBoth(pair: RunPair, { before, onTick, toFirst = false }: RunOptions = {}): PairResult {
  const { base, head } = pair;
  const pairs = isOneSide(pair) ? undefined : matchSides(pair).pairs;
  const diff = pairs && new MemoryDiff(base.runner.output.buffer, head.runner.output.buffer, pairs);
  const known = pairs && new Set(pairs.map((signals) => keyOf(signals.head)));
  const ofBase = { outputs: changeCollector(base, known), tally: new ReplayTally(base.runner) };
  const ofHead = isOneSide(pair) ? ofBase : { outputs: changeCollector(head, known), tally: new ReplayTally(head.runner) };
  const divergences: SignalDivergence[] = [];
  const scan = (tick: number): void => diff?.scan((signals, a, b) => void divergences.push(divergenceOf(signals, tick, a, b)));
  scan(CONFIGURE_TICK);
  const collectors = isOneSide(pair) ? [ofBase] : [ofBase, ofHead];
  const steps = stepBoth(pair, {
    before,
    after(tick) {
      for (const { outputs, tally } of collectors) {
        outputs.detect(tick);
        tally.take();
      }
      scan(tick);
      onTick?.(tick);
    },
    isDone: () => toFirst && divergences.length > 0,
  });
  const changes = { base: ofBase.outputs.changes, head: ofHead.outputs.changes };
  return { ...steps, divergences, changes, tallies: { base: ofBase.tally, head: ofHead.tally } };
}
