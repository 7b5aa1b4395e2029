import type { DifferenceClass } from './difference-class.js';
import {
  changeCounts,
  columnOf,
  type HeldInputs,
  type InputSignal,
  inputSignals,
  keepRows,
  lastTicks,
  payloadOf,
  withColumn,
  withoutTicks,
} from './held-inputs.js';
import { changePoints, halfway, heldBetween, middleOf, removeChunks, removeItems, smallestThat } from './minimise.js';
import type { Shown, SideName, Trials } from './trial.js';

/** How large inputs are. */
export interface InputSize {
  readonly ticks: number;
  readonly rows: number;
  /** How often any signal changes from one tick to the next. */
  readonly changes: number;
  /** Input signals of bank and rows, and how many of them hold one value all the time. */
  readonly signals: number;
  readonly constant: number;
}

export interface Shrunk {
  readonly held: HeldInputs;
  readonly class: DifferenceClass;
  readonly before: InputSize;
  readonly after: InputSize;
  /** Runs that it took. */
  readonly tries: number;
  /** Whether nothing more was found to leave out, rather than the tries being used up. */
  readonly isDone: boolean;
}

/** Told of what is being tried, and how long the inputs are now. */
export type OnStep = (what: string, ticks: number) => void;

/** Ticks that are tried one by one; of longer inputs, so many chunks. The same for the changes of a signal. */
const CHUNKS_MOST = 600;
const POINTS_MOST = 100;
/** Rounds over time and amplitude: each makes room for the other. */
const ROUNDS_MOST = 12;
/** Of a signal with more changes than this, single values are not moved. */
const LEVELS_MOST = 40;
/** With fewer than this, they are moved as far as can be. */
const EXACT_MOST = 4;
/** Times that a distance is halved, at most. */
const HALVINGS_MOST = 20;

/** Who runs the candidates. */
export type Tries = Pick<Trials, 'attempt' | 'count' | 'isSpent'>;

/** What a shrinking tries its candidates with. */
interface Work {
  readonly attempt: (held: HeldInputs) => HeldInputs | undefined;
  readonly isSpent: () => boolean;
  readonly say: (what: string, held: HeldInputs) => void;
  /** What is usual for a signal: the middle of its values in the whole recording, over all rows. */
  readonly usual: ReadonlyMap<string, number>;
}

function sizeOf(held: HeldInputs): InputSize {
  const counts = changeCounts(held);
  const changes = counts.reduce((sum, count) => sum + count, 0);
  return {
    ticks: held.ticks,
    rows: held.layout.rows,
    changes,
    signals: counts.length,
    constant: counts.filter((count) => count === 0).length,
  };
}

/** The middle of each signal's values. */
function usualValues(held: HeldInputs): Map<string, number> {
  const all = new Map<string, number[]>();
  for (const signal of inputSignals(held.layout)) {
    const values = all.get(signal.name) ?? [];
    all.set(signal.name, values);
    for (const value of columnOf(held, signal)) values.push(value);
  }
  return new Map([...all].map(([name, values]) => [name, middleOf(values)]));
}

/** The row that differs alone, or else as few as will do. */
function fewerRows(held: HeldInputs, row: number, { attempt, say }: Work): HeldInputs {
  const { rows } = held.layout;
  if (rows === 1) return held;
  say('rows', held);
  const own = row > 0 ? row - 1 : 0;
  const alone = attempt(keepRows(held, [own]));
  if (alone !== undefined) return alone;
  let kept = held;
  removeItems(
    Array.from({ length: rows }, (_, index) => index),
    (list) => {
      const smaller = list.length === 0 ? undefined : attempt(keepRows(held, list));
      kept = smaller ?? kept;
      return smaller !== undefined;
    },
  );
  return kept;
}

/** As late a start as will do. */
function laterStart(held: HeldInputs, { attempt, say }: Work): HeldInputs {
  say('start', held);
  let kept = held;
  smallestThat(held.ticks, (ticks) => {
    const smaller = attempt(lastTicks(held, ticks));
    if (smaller !== undefined && smaller.ticks < kept.ticks) kept = smaller;
    return smaller !== undefined;
  });
  return kept;
}

/** Without ticks in between: what is left is played without a break. */
function fewerTicks(held: HeldInputs, { attempt, say }: Work): HeldInputs {
  say('holes', held);
  const reduction = { lengthOf: ({ ticks }: HeldInputs) => ticks, without: withoutTicks, attempt };
  return removeChunks(held, reduction, Math.ceil(held.ticks / CHUNKS_MOST));
}

/** Takes other values for a signal if the class still shows. */
function tryColumn(held: HeldInputs, signal: InputSignal, values: readonly number[], work: Work): HeldInputs | undefined {
  const isSame = columnOf(held, signal).every((value, index) => Object.is(value, values[index]));
  return isSame ? undefined : work.attempt(withColumn(held, signal, values));
}

/** One value all the time: the usual one, the last, or the first. */
function asConstant(held: HeldInputs, signal: InputSignal, work: Work): HeldInputs | undefined {
  const values = columnOf(held, signal);
  const choices = [work.usual.get(signal.name) ?? 0, values.at(-1) ?? 0, values[0] ?? 0];
  for (const value of new Set(choices)) {
    const constant = tryColumn(held, signal, values.fill(value), work);
    if (constant !== undefined) return constant;
  }
  return undefined;
}

/** Whatever may hold one value all the time does; that is cheap, and lets more ticks go. */
function calmer(held: HeldInputs, work: Work): HeldInputs {
  work.say('constants', held);
  return inputSignals(held.layout).reduce((kept, signal) => asConstant(kept, signal, work) ?? kept, held);
}

/** As few changes of a signal as will do: it is held in between. */
function fewerChanges(held: HeldInputs, signal: InputSignal, work: Work): HeldInputs {
  const values = columnOf(held, signal);
  const points = changePoints(values);
  let kept = held;
  const isShown = (some: readonly number[]): boolean => {
    const fewer = work.attempt(withColumn(held, signal, heldBetween(values, some)));
    kept = fewer ?? kept;
    return fewer !== undefined;
  };
  removeItems(points, isShown, Math.ceil(points.length / POINTS_MOST));
  return kept;
}

/**
 * Values from a place to the next change, moved to the usual one or as near to it as will do: the distance is halved as long as
 * that goes, and where few values are left, the place between what shows it and what does not is found by halves as well.
 */
function nearer(held: HeldInputs, signal: InputSignal, from: number, isExact: boolean, work: Work): HeldInputs {
  const usual = work.usual.get(signal.name) ?? 0;
  const isWhole = !signal.field.type.startsWith('f');
  let kept = held;
  const move = (value: number): boolean => {
    const values = columnOf(kept, signal);
    const old = values[from];
    for (let tick = from; tick < values.length && Object.is(values[tick], old); tick++) values[tick] = value;
    const moved = values.length > from ? tryColumn(kept, signal, values, work) : undefined;
    kept = moved ?? kept;
    return moved !== undefined;
  };
  if (move(usual)) return kept;
  let tooFar = usual;
  for (let turn = 0; turn < HALVINGS_MOST; turn++) {
    const value = columnOf(kept, signal)[from];
    const middle = value === undefined ? tooFar : halfway(value, tooFar, isWhole);
    if (middle === tooFar || Object.is(middle, value)) return kept;
    if (move(middle)) continue;
    if (!isExact) return kept;
    tooFar = middle;
  }
  return kept;
}

/** Every signal as quiet and as usual as will do. */
function quieter(held: HeldInputs, work: Work): HeldInputs {
  let kept = held;
  for (const signal of inputSignals(held.layout)) {
    if (work.isSpent()) return kept;
    work.say(`${signal.name}${signal.row === 0 ? '' : `[${signal.row}]`}`, kept);
    kept = asConstant(kept, signal, work) ?? fewerChanges(kept, signal, work);
    const points = changePoints(columnOf(kept, signal));
    if (points.length > LEVELS_MOST) continue;
    for (const from of [0, ...points]) kept = nearer(kept, signal, from, points.length < EXACT_MOST, work);
  }
  return kept;
}

/** All signals all the time as in the tick that shows it. */
function still(held: HeldInputs, { attempt }: Work): HeldInputs {
  const last = payloadOf(held, held.ticks - 1);
  const bytes = held.bytes.slice();
  for (let tick = 0; tick < held.ticks; tick++) bytes.set(last, tick * last.length);
  return attempt({ ...held, bytes }) ?? held;
}

const isEqual = (a: HeldInputs, b: HeldInputs): boolean =>
  a.layout.rows === b.layout.rows && a.bytes.length === b.bytes.length && Buffer.compare(a.bytes, b.bytes) === 0;

/**
 * Makes the smallest inputs that still show the same class of difference: fewer rows, fewer ticks, fewer changes, values nearer to
 * the usual ones, over and over until nothing more can go.
 * @param shown what the inputs show as they are
 * @param accepted side whose outputs will be accepted: it must tell something of itself
 * @returns undefined when the inputs as they are don't show it for that side
 */
export function shrink(
  held: HeldInputs,
  shown: Shown,
  accepted: SideName | undefined,
  trials: Tries,
  onStep: OnStep = () => {},
): Shrunk | undefined {
  const work: Work = {
    attempt: (candidate) => trials.attempt(candidate, shown.class, accepted),
    isSpent: () => trials.isSpent,
    say: (what, { ticks }) => onStep(what, ticks),
    usual: usualValues(held),
  };
  const cut = work.attempt(held);
  if (cut === undefined) return undefined;
  let kept = still(fewerRows(cut, shown.row, work), work);
  let isDone = false;
  for (let round = 0; round < ROUNDS_MOST && !isDone && !work.isSpent(); round++) {
    const before = kept;
    kept = calmer(laterStart(kept, work), work);
    // With a later start and less going on, rows may have become idle.
    kept = fewerRows(kept, 0, work);
    kept = quieter(fewerTicks(kept, work), work);
    isDone = isEqual(before, kept) && !work.isSpent();
  }
  return {
    held: kept,
    class: shown.class,
    before: sizeOf(held),
    after: sizeOf(kept),
    tries: trials.count,
    isDone,
  };
}
