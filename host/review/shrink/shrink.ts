import type { DifferenceClass } from './difference-class.js';
import {
  changeCounts,
  columnOf,
  type InputBuffer,
  type InputSignal,
  inputSignals,
  keepRows,
  lastTicks,
  payloadOf,
  withColumn,
  withoutTicks,
} from './input-buffer.js';
import { changePoints, halfway, holdBetween, medianOf, removeChunks, removeItems, smallestThat } from './minimise.js';
import type { FoundDifference, SideName, Trials } from './trial.js';

export interface InputSize {
  readonly ticks: number;
  readonly rows: number;
  /** Number of changes of all signals from one tick to the next. */
  readonly changes: number;
  /** Number of input signals of bank and rows, and how many of them are constant. */
  readonly signals: number;
  readonly constant: number;
}

export interface Shrunk {
  readonly inputs: InputBuffer;
  readonly class: DifferenceClass;
  readonly before: InputSize;
  readonly after: InputSize;
  /** Number of runs that it took. */
  readonly tries: number;
  /** Whether nothing more can be removed; false if all tries were used. */
  readonly isMinimal: boolean;
}

/** Called with the current step and the current length of the inputs. */
export type OnStep = (step: string, ticks: number) => void;

/** Longer inputs are tried in this many chunks instead of tick by tick; likewise the changes of a signal. */
const CHUNKS_MAX = 600;
const POINTS_MAX = 100;
/** Rounds over ticks and values: each makes the other more effective. */
const ROUNDS_MAX = 12;
/** Values of a signal are moved one by one if it has at most this many changes. */
const LEVELS_MAX = 40;
/** With fewer changes than this, they are moved as close as possible. */
const EXACT_MAX = 4;
const HALVINGS_MAX = 20;

/** Runs candidates. */
export type CandidateRuns = Pick<Trials, 'attempt' | 'count' | 'isSpent'>;

interface Work {
  readonly attempt: (inputs: InputBuffer) => InputBuffer | undefined;
  readonly isSpent: () => boolean;
  readonly report: (step: string, inputs: InputBuffer) => void;
  /** Typical value of a signal: the median over the entire recording and all rows. */
  readonly typical: ReadonlyMap<string, number>;
}

function sizeOf(inputs: InputBuffer): InputSize {
  const counts = changeCounts(inputs);
  const changes = counts.reduce((sum, count) => sum + count, 0);
  return {
    ticks: inputs.ticks,
    rows: inputs.layout.rows,
    changes,
    signals: counts.length,
    constant: counts.filter((count) => count === 0).length,
  };
}

function typicalValues(inputs: InputBuffer): Map<string, number> {
  const all = new Map<string, number[]>();
  for (const signal of inputSignals(inputs.layout)) {
    const values = all.get(signal.name) ?? [];
    all.set(signal.name, values);
    for (const value of columnOf(inputs, signal)) values.push(value);
  }
  return new Map([...all].map(([name, values]) => [name, medianOf(values)]));
}

/** Keeps the row that differs, or else as few rows as possible. */
function removeRows(inputs: InputBuffer, row: number, { attempt, report }: Work): InputBuffer {
  const { rows } = inputs.layout;
  if (rows === 1) return inputs;
  report('rows', inputs);
  const own = row > 0 ? row - 1 : 0;
  const alone = attempt(keepRows(inputs, [own]));
  if (alone !== undefined) return alone;
  let kept = inputs;
  removeItems(
    Array.from({ length: rows }, (_, index) => index),
    (list) => {
      const smaller = list.length === 0 ? undefined : attempt(keepRows(inputs, list));
      kept = smaller ?? kept;
      return smaller !== undefined;
    },
  );
  return kept;
}

/** Starts as late as possible. */
function removeStart(inputs: InputBuffer, { attempt, report }: Work): InputBuffer {
  report('start', inputs);
  let kept = inputs;
  smallestThat(inputs.ticks, (ticks) => {
    const smaller = attempt(lastTicks(inputs, ticks));
    if (smaller !== undefined && smaller.ticks < kept.ticks) kept = smaller;
    return smaller !== undefined;
  });
  return kept;
}

/** Removes ticks in between. */
function removeTicks(inputs: InputBuffer, { attempt, report }: Work): InputBuffer {
  report('ticks', inputs);
  const reduction = { lengthOf: ({ ticks }: InputBuffer) => ticks, without: withoutTicks, attempt };
  return removeChunks(inputs, reduction, Math.ceil(inputs.ticks / CHUNKS_MAX));
}

/** Replaces the values of a signal, if the difference still shows. */
function tryColumn(inputs: InputBuffer, signal: InputSignal, values: readonly number[], work: Work): InputBuffer | undefined {
  const isEqual = columnOf(inputs, signal).every((value, index) => Object.is(value, values[index]));
  return isEqual ? undefined : work.attempt(withColumn(inputs, signal, values));
}

/** Makes a signal constant: at its typical, last or first value. */
function tryConstant(inputs: InputBuffer, signal: InputSignal, work: Work): InputBuffer | undefined {
  const values = columnOf(inputs, signal);
  const choices = [work.typical.get(signal.name) ?? 0, values.at(-1) ?? 0, values[0] ?? 0];
  for (const value of new Set(choices)) {
    const constant = tryColumn(inputs, signal, values.fill(value), work);
    if (constant !== undefined) return constant;
  }
  return undefined;
}

/** Makes all signals constant that can be. That takes few tries, and lets more ticks go. */
function makeConstant(inputs: InputBuffer, work: Work): InputBuffer {
  work.report('constants', inputs);
  return inputSignals(inputs.layout).reduce((kept, signal) => tryConstant(kept, signal, work) ?? kept, inputs);
}

/** Removes changes of a signal by holding its value. */
function removeChanges(inputs: InputBuffer, signal: InputSignal, work: Work): InputBuffer {
  const values = columnOf(inputs, signal);
  const points = changePoints(values);
  let kept = inputs;
  const isShown = (some: readonly number[]): boolean => {
    const fewer = work.attempt(withColumn(inputs, signal, holdBetween(values, some)));
    kept = fewer ?? kept;
    return fewer !== undefined;
  };
  removeItems(points, isShown, Math.ceil(points.length / POINTS_MAX));
  return kept;
}

/**
 * Moves the values from an index to the next change as close to the typical value as possible, by halving the distance.
 * @param isExact whether to find the nearest value to the last bit
 */
function moveToTypical(inputs: InputBuffer, signal: InputSignal, from: number, isExact: boolean, work: Work): InputBuffer {
  const typical = work.typical.get(signal.name) ?? 0;
  const isInteger = !signal.field.type.startsWith('f');
  let kept = inputs;
  const move = (value: number): boolean => {
    const values = columnOf(kept, signal);
    const before = values[from];
    for (let tick = from; tick < values.length && Object.is(values[tick], before); tick++) values[tick] = value;
    const moved = values.length > from ? tryColumn(kept, signal, values, work) : undefined;
    kept = moved ?? kept;
    return moved !== undefined;
  };
  if (move(typical)) return kept;
  let tooFar = typical;
  for (let turn = 0; turn < HALVINGS_MAX; turn++) {
    const value = columnOf(kept, signal)[from];
    const middle = value === undefined ? tooFar : halfway(value, tooFar, isInteger);
    if (middle === tooFar || Object.is(middle, value)) return kept;
    if (move(middle)) continue;
    if (!isExact) return kept;
    tooFar = middle;
  }
  return kept;
}

/** Gives every signal as few changes and as typical values as possible. */
function simplifySignals(inputs: InputBuffer, work: Work): InputBuffer {
  let kept = inputs;
  for (const signal of inputSignals(inputs.layout)) {
    if (work.isSpent()) return kept;
    work.report(`${signal.name}${signal.row === 0 ? '' : `[${signal.row}]`}`, kept);
    kept = tryConstant(kept, signal, work) ?? removeChanges(kept, signal, work);
    const points = changePoints(columnOf(kept, signal));
    if (points.length > LEVELS_MAX) continue;
    for (const from of [0, ...points]) kept = moveToTypical(kept, signal, from, points.length < EXACT_MAX, work);
  }
  return kept;
}

/** Gives all ticks the inputs of the last one. */
function tryLastTick(inputs: InputBuffer, { attempt }: Work): InputBuffer {
  const last = payloadOf(inputs, inputs.ticks - 1);
  const bytes = inputs.bytes.slice();
  for (let tick = 0; tick < inputs.ticks; tick++) bytes.set(last, tick * last.length);
  return attempt({ ...inputs, bytes }) ?? inputs;
}

const isEqual = (a: InputBuffer, b: InputBuffer): boolean =>
  a.layout.rows === b.layout.rows && a.bytes.length === b.bytes.length && Buffer.compare(a.bytes, b.bytes) === 0;

/**
 * Makes the smallest inputs that still show the same class of difference: fewer rows, fewer ticks, fewer changes and more typical
 * values, in rounds until nothing more can be removed.
 * @param difference what the original inputs show
 * @param accepted side whose outputs will be accepted: it must show a significant change
 * @returns undefined if the original inputs do not show the difference for that side
 */
export function shrink(
  inputs: InputBuffer,
  difference: FoundDifference,
  accepted: SideName | undefined,
  runs: CandidateRuns,
  onStep: OnStep = () => {},
): Shrunk | undefined {
  const work: Work = {
    attempt: (candidate) => runs.attempt(candidate, difference.class, accepted),
    isSpent: () => runs.isSpent,
    report: (step, { ticks }) => onStep(step, ticks),
    typical: typicalValues(inputs),
  };
  const cut = work.attempt(inputs);
  if (cut === undefined) return undefined;
  let kept = tryLastTick(removeRows(cut, difference.row, work), work);
  let isDone = false;
  for (let round = 0; round < ROUNDS_MAX && !isDone && !work.isSpent(); round++) {
    const before = kept;
    kept = makeConstant(removeStart(kept, work), work);
    // After a later start and with fewer changes, more rows may be idle.
    kept = removeRows(kept, 0, work);
    kept = simplifySignals(removeTicks(kept, work), work);
    isDone = isEqual(before, kept) && !work.isSpent();
  }
  return {
    inputs: kept,
    class: difference.class,
    before: sizeOf(inputs),
    after: sizeOf(kept),
    tries: runs.count,
    isMinimal: isDone,
  };
}
