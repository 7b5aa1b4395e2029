import { type Change, outputSignals } from '../replay/change.js';
import { ChangeComparer, type Comparison, comparisonVerdict } from '../replay/compare-changes.js';
import { StrokeComparer, shiftsOf } from '../replay/stroke-comparer.js';
import { isStroke, type StrokeChange } from '../replay/strokes.js';
import type { Verdict } from '../replay/verdict.js';
import { type Probes, type Reached, Shadows } from './coverage/shadow.js';
import type { DivergenceMemory, Locate } from './locate.js';
import { replayMetrics } from './replay-metrics.js';
import { type Divergence, type MetricChange, type RunReview, type SignalDivergence, STROKES_LISTED, type StrokeReview } from './review.js';
import { type PairResult, type RunOptions, runBoth, stepBoth } from './run-both.js';
import { type RunPair, RunRefused, type StartPair } from './run-pair.js';
import { ViewsCollector } from './run-views.js';
import { sortFaults } from './signals.js';

/** A run to review, and how to start it, as often as needed. */
export interface RunToReview {
  readonly name: string;
  readonly title: string;
  readonly kind: RunReview['kind'];
  readonly seed?: number | undefined;
  readonly ranWith: RunReview['ranWith'];
  readonly inputHash: string;
  readonly notes: readonly string[];
  readonly start: StartPair;
  /** Builds that tell what the run reaches. */
  readonly probes?: Probes | undefined;
}

/** A reviewed run, with what it reaches of the probed builds. */
export interface ReviewedRun extends RunReview {
  readonly reached?: Reached | undefined;
}

/** Compares the outputs of both sides exactly. */
export function compareOutputs({ changes, ticks }: PairResult, pair: RunPair): ReturnType<ChangeComparer['finish']> {
  // Faults that two builds list in different orders are the same faults.
  const sorted = (side: readonly Change[]): Change[] =>
    side.map((change) => (change.signal === 'faults' ? { ...change, value: sortFaults(change.value) } : change));
  const comparer = new ChangeComparer(sorted(changes.base)[Symbol.iterator](), outputSignals(pair.head.controller.description.contract));
  for (const change of sorted(changes.head)) comparer.push(change);
  return comparer.finish(ticks);
}

function strokeReview({ changes }: PairResult, { strokes }: Comparison, listed: readonly StrokeChange[]): StrokeReview {
  return {
    base: changes.base.filter(isStroke).length,
    head: changes.head.filter(isStroke).length,
    ...strokes,
    shifts: shiftCounts(listed),
    changes: listed.slice(0, STROKES_LISTED),
  };
}

/** A stop of one side only, or stops in different ticks or with different messages. */
export function stopDivergence({ stopped }: PairResult): SignalDivergence | undefined {
  const { base, head } = stopped;
  if (base?.tick === head?.tick && base?.message === head?.message) return undefined;
  const tick = Math.min(base?.tick ?? Number.POSITIVE_INFINITY, head?.tick ?? Number.POSITIVE_INFINITY);
  const text = (message: string | undefined): string => (message === undefined ? 'running' : `stopped: ${message}`);
  return { tick, row: 0, signal: 'stop', kind: 'state', unit: 'none', base: text(base?.message), head: text(head?.message) };
}

/** The first difference of each signal in any row. */
function firstOfEach(divergences: readonly SignalDivergence[]): SignalDivergence[] {
  const first = new Map<string, SignalDivergence>();
  for (const one of divergences) if (!first.has(one.signal)) first.set(one.signal, one);
  return [...first.values()];
}

/** How many strokes moved by which number of ticks, the earliest first. */
function shiftCounts(changes: readonly StrokeChange[]): [ticks: number, count: number][] {
  const counts = new Map<number, number>();
  for (const ticks of shiftsOf(changes)) counts.set(ticks, (counts.get(ticks) ?? 0) + 1);
  return [...counts].sort(([a], [b]) => a - b);
}

function verdictOf({ stopped, divergences }: PairResult, comparison: Comparison): Verdict {
  // Two sides that stop alike are not called the same: what would follow is unknown.
  if (stopped.base !== undefined || stopped.head !== undefined) return 'stopped';
  const verdict = comparisonVerdict(comparison);
  return verdict === 'same' && divergences.length > 0 ? 'stateDiffers' : verdict;
}

const memories = ({ base, head }: RunPair): DivergenceMemory['before'] => ({
  base: base.runner.saveState(),
  head: head.runner.saveState(),
});

/** Runs both sides again up to a tick and saves both memories before and after it. */
function memoryAt(pair: RunPair, tick: number): DivergenceMemory {
  let before = memories(pair);
  let after = before;
  let isDone = tick < 0;
  const { ticks } = stepBoth(pair, {
    before(at) {
      if (at === tick) before = memories(pair);
    },
    after(at) {
      isDone = at === tick;
      if (isDone) after = memories(pair);
    },
    isDone: () => isDone,
  });
  // If a side stops in this very tick, memory is taken as it left it.
  return { tick, before, after: ticks === tick ? memories(pair) : after };
}

const NO_STROKES: StrokeReview = { base: 0, head: 0, ...new StrokeComparer().compare(0).differences, shifts: [], changes: [] };

function refusedRun(run: RunToReview, { refused, run: { rows, tickHz } }: RunRefused): RunReview {
  const { start: _, probes: _probes, ...facts } = run;
  const nothing = { ticks: 0, signals: [], strokes: NO_STROKES, metrics: [], stopped: {} };
  return { ...facts, verdict: 'refused', rows, tickHz, ...nothing, refused };
}

/**
 * How much of a run that differs is looked at. compared: all that differs. located: its first difference, in the order of evaluation,
 * and nothing behind that tick. shown: all that differs, the first difference, and views of it.
 */
export type Depth = 'compared' | 'located' | 'shown';

/**
 * Reviews one run: runs both sides up to the first difference, and if there is one, again to locate it, and again to the end to
 * compare and show what follows.
 * @param toTick last tick to run
 */
export async function reviewRun(
  run: RunToReview,
  locate: Locate,
  depth: Depth = 'shown',
  toTick = Number.POSITIVE_INFINITY,
): Promise<ReviewedRun> {
  const start: StartPair = () => {
    const pair = run.start();
    return { ...pair, ticks: Math.min(pair.ticks, toTick + 1) };
  };
  try {
    return await reviewPair({ ...run, start }, start(), locate, depth);
  } catch (error) {
    if (error instanceof RunRefused) return refusedRun(run, error);
    throw error;
  }
}

/** The first difference of both sides, of any signal or of where they stop. */
const firstOf = (result: PairResult): SignalDivergence | undefined => result.divergences[0] ?? stopDivergence(result);

/** What a run of both sides shows. */
function factsOf(
  { start: _, probes: _probes, ...run }: RunToReview,
  pair: RunPair,
  result: PairResult,
): { review: RunReview; strokes: readonly StrokeChange[] } {
  const { comparison, strokeChanges: strokes } = compareOutputs(result, pair);
  const { first: firstChange } = comparison;
  const outputs = result.divergences.filter((one) => one.kind === 'output');
  const firstOutput = outputs.find(
    ({ tick, row, signal }) => tick === firstChange?.tick && row === firstChange.row && signal === firstChange.signal,
  );
  const review = {
    ...{ ...run, verdict: verdictOf(result, comparison) },
    ...{ rows: pair.rows, ticks: result.ticks, tickHz: pair.tickHz, notes: [...run.notes, ...pair.notes] },
    firstOutput: firstOutput ?? outputs[0],
    signals: firstOfEach(result.divergences),
    strokes: strokeReview(result, comparison, strokes),
    metrics: pair.metrics?.() ?? metricsOf(result, pair),
    stopped: result.stopped,
  };
  return { review, strokes };
}

/** Runs both sides, and what tells what they reach. */
function runWithProbes(pair: RunPair, probes: Probes | undefined, options: RunOptions): { result: PairResult; reached: Reached } {
  const shadows = new Shadows(pair, probes);
  return { result: runBoth(pair, { ...options, before: (tick) => shadows.step(tick) }), reached: shadows.reached };
}

async function reviewPair(run: RunToReview, pair: RunPair, locate: Locate, depth: Depth): Promise<ReviewedRun> {
  const { result, reached } = runWithProbes(pair, run.probes, { toFirst: depth !== 'compared' });
  const found = firstOf(result);
  if (found === undefined || depth === 'compared') return { ...factsOf(run, pair, result).review, reached };
  const again = run.start();
  const first: Divergence = await locate(again, found, memoryAt(again, found.tick));
  if (depth === 'located') return { ...factsOf(run, pair, result).review, first };
  // Views follow the value that is computed first, which only locating finds, and not the first one in memory.
  const shown = run.start();
  const views = new ViewsCollector(shown, first);
  const all = runWithProbes(shown, run.probes, { onTick: (tick) => views.take(tick) });
  const { review, strokes } = factsOf(run, shown, all.result);
  return { ...review, first, views: views.finish(all.result, strokes), reached: all.reached };
}

function metricsOf({ changes, tallies }: PairResult, { base, head, tickHz }: RunPair): MetricChange[] {
  return replayMetrics(tallies.base.metrics(changes.base, tickHz, base.values), tallies.head.metrics(changes.head, tickHz, head.values));
}
