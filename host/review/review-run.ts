import { type Change, outputSignals } from '../replay/change.js';
import { Comparer, type Comparison } from '../replay/compare.js';
import { type Drive, RunRefused, type StartDrive } from './drive.js';
import type { Locate, PartingMemory } from './locate.js';
import { replayMetrics } from './replay-metrics.js';
import {
  type MetricChange,
  type Parting,
  type ReviewVerdict,
  type RunReview,
  type Sight,
  type SignalParting,
  STROKES_LISTED,
  type StrokeChange,
  type StrokeReview,
} from './review.js';
import { type PairRun, runPair, stepPair } from './run-pair.js';
import { aroundTracer, overviewTracer, rowsShown, snapshot, valveLanes } from './sight.js';
import { faultsInOrder } from './signals.js';

/** A run to review: what it is, and how to start it, as often as needed. */
export interface RunToReview {
  readonly name: string;
  readonly title: string;
  readonly kind: RunReview['kind'];
  readonly seed?: number | undefined;
  readonly inputHash: string;
  readonly notes: readonly string[];
  readonly start: StartDrive;
}

/** Compares the outputs of both sides exactly. */
export function compareOutputs({ changes }: PairRun, drive: Drive): { comparison: Comparison; strokes: StrokeChange[] } {
  // Faults that two builds list in another order are the same faults.
  const inOrder = (side: readonly Change[]): Change[] =>
    side.map((change) => (change.signal === 'faults' ? { ...change, value: faultsInOrder(change.value) } : change));
  const comparer = new Comparer(inOrder(changes.old)[Symbol.iterator](), outputSignals(drive.new.controller.description.contract));
  for (const change of inOrder(changes.new)) comparer.push(change);
  const comparison = comparer.finish();
  return { comparison, strokes: comparer.strokeChanges() };
}

const shiftOf = ({ old, new: fresh }: StrokeChange): number => (old === undefined || fresh === undefined ? 0 : fresh - old);

function strokeReview({ changes }: PairRun, { strokes }: Comparison, listed: readonly StrokeChange[]): StrokeReview {
  const count = (side: PairRun['changes']['old']): number =>
    side.filter(({ signal, value }) => signal.endsWith('Order') && value !== 'none').length;
  return {
    old: count(changes.old),
    new: count(changes.new),
    added: strokes.added,
    removed: strokes.removed,
    earlier: listed.filter((one) => shiftOf(one) < 0).length,
    later: listed.filter((one) => shiftOf(one) > 0).length,
    earliest: strokes.earliest,
    latest: strokes.latest,
    changes: listed.slice(0, STROKES_LISTED),
  };
}

/** A stop that only one side has, or that they have apart. */
export function stopParting({ stopped }: PairRun): SignalParting | undefined {
  const { old, new: fresh } = stopped;
  if (old?.tick === fresh?.tick && old?.message === fresh?.message) return undefined;
  const tick = Math.min(old?.tick ?? Number.POSITIVE_INFINITY, fresh?.tick ?? Number.POSITIVE_INFINITY);
  const words = (message: string | undefined): string => (message === undefined ? 'runs on' : `stopped: ${message}`);
  return { tick, row: 0, signal: 'stop', kind: 'state', unit: 'none', old: words(old?.message), new: words(fresh?.message) };
}

/** Where each signal first differs, whatever the row. */
function firstOfEach(partings: readonly SignalParting[]): SignalParting[] {
  const known = new Map<string, SignalParting>();
  for (const parting of partings) if (!known.has(parting.signal)) known.set(parting.signal, parting);
  return [...known.values()];
}

export function verdictOf(run: PairRun, comparison: Comparison): ReviewVerdict {
  // Where both stop alike nothing can be said of what would have come after.
  if (run.stopped.old !== undefined || run.stopped.new !== undefined) return 'stopped';
  if (comparison.differences > 0) return 'outputs';
  return run.partings.length > 0 ? 'inner' : 'same';
}

const memories = ({ old, new: fresh }: Drive): PartingMemory['before'] => ({ old: old.target.saveState(), new: fresh.target.saveState() });

/** Runs both sides once more as far as the tick in which they part, and keeps what tells where the difference comes from. */
function memoryAt(drive: Drive, tick: number): PartingMemory {
  let before = memories(drive);
  let after = before;
  let isOver = tick < 0;
  const { ticks } = stepPair(drive, {
    before: (at) => {
      if (at === tick) before = memories(drive);
    },
    after: (at) => {
      isOver = at === tick;
      if (isOver) after = memories(drive);
    },
    isEnough: () => isOver,
  });
  // Where a side stops in this very tick, this is how far it came.
  return { tick, before, after: ticks === tick ? memories(drive) : after };
}

/** Runs both sides once more, and keeps what can be seen of a difference. */
function lookAt(drive: Drive, first: SignalParting, run: PairRun, strokes: readonly StrokeChange[]): Sight {
  // What parts in the bank shows in the row whose stroke it changes first.
  const row = first.row || (strokes[0]?.row ?? 1);
  const tracers = { overview: overviewTracer(drive, first, row), around: aroundTracer(drive, first, row) };
  const snapshots = () => [0, row].map((of) => snapshot(drive, of));
  let states = snapshots();
  const { ticks } = stepPair(drive, {
    after: (tick) => {
      tracers.overview.take(tick);
      tracers.around.take(tick);
      if (tick === first.tick) states = snapshots();
    },
  });
  if (ticks === first.tick) states = snapshots();
  return {
    overview: tracers.overview.tracks(),
    around: tracers.around.tracks(),
    lanes: valveLanes(rowsShown(row, strokes), run.changes, run.ticks),
    states,
  };
}

const NO_STROKES: StrokeReview = { ...{ old: 0, new: 0, added: 0, removed: 0, earlier: 0, later: 0, earliest: 0, latest: 0 }, changes: [] };

/** A run that a side refused. */
function refusedRun({ name, title, kind, seed, inputHash, notes }: RunToReview, { refused, run: { rows, tickHz } }: RunRefused): RunReview {
  const nothing = { ticks: 0, signals: [], strokes: NO_STROKES, metrics: [], stopped: {} };
  return { name, title, kind, seed, verdict: 'refused', rows, tickHz, inputHash, notes, ...nothing, refused };
}

/** Reviews one run: both sides over the same inputs, and where they differ once more to see how and why. */
export async function reviewRun(one: RunToReview, locate: Locate): Promise<RunReview> {
  try {
    return await reviewDrive(one, one.start(), locate);
  } catch (error) {
    if (error instanceof RunRefused) return refusedRun(one, error);
    throw error;
  }
}

async function reviewDrive(one: RunToReview, drive: Drive, locate: Locate): Promise<RunReview> {
  const { name, title, kind, seed, inputHash, start } = one;
  const run = runPair(drive);
  const { comparison, strokes } = compareOutputs(run, drive);
  const stop = stopParting(run);
  const found = run.partings[0] ?? stop;
  const { first: firstChange } = comparison;
  const outputs = run.partings.filter(({ kind: of }) => of === 'output');
  const firstOutput = outputs.find(
    ({ tick, row, signal }) => tick === firstChange?.tick && row === firstChange.row && signal === firstChange.signal,
  );
  const told = {
    ...{ name, title, kind, seed, verdict: verdictOf(run, comparison), inputHash },
    ...{ rows: drive.rows, ticks: run.ticks, tickHz: drive.tickHz, notes: [...one.notes, ...drive.notes] },
    firstOutput: firstOutput ?? outputs[0],
    signals: firstOfEach(run.partings),
    strokes: strokeReview(run, comparison, strokes),
    metrics: drive.metrics?.() ?? metricsOf(run, drive),
    stopped: run.stopped,
  };
  if (found === undefined) return told;
  const again = start();
  const first: Parting = await locate(again, found, memoryAt(again, found.tick));
  // What is shown is the value that parts first as the controller works them out, which only locating it tells.
  return { ...told, first, sight: lookAt(start(), first, run, strokes) };
}

function metricsOf({ changes, tallies }: PairRun, { old, new: fresh, tickHz }: Drive): MetricChange[] {
  return replayMetrics(tallies.old.metrics(changes.old, tickHz, old.values), tallies.new.metrics(changes.new, tickHz, fresh.values));
}
