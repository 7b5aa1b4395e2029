import { alignStrokes, type Stroke, type StrokePair } from './align-strokes.js';
import type { Change } from './change.js';
import {
  isOrder,
  isStroke,
  type PulseDifferences,
  type StrokeChange,
  type StrokeDifferences,
  spreadOf,
  strokeChangeTick,
} from './strokes.js';

/** A stroke, and for how long its coil is driven; undefined if the run ends before. */
interface DrivenStroke extends Stroke {
  driveTicks: number | undefined;
}

type Strokes = DrivenStroke[];

/** A valve of a row, and its strokes in order of time. */
interface Valve {
  readonly row: number;
  readonly valve: StrokeChange['valve'];
  readonly base: Strokes;
  readonly head: Strokes;
}

/** How the two sides of a pulse differ: head less base. */
interface PulseShift {
  readonly startTicks: number;
  readonly lengthTicks: number;
}

/** What becomes of the strokes from base to head. */
export interface ComparedStrokes {
  readonly differences: StrokeDifferences;
  /** Strokes that differ, in order of time. */
  readonly changes: readonly StrokeChange[];
}

/** Collects strokes of two sides, and compares them. */
export class StrokeComparer {
  private readonly valves = new Map<string, Valve>();

  /** Takes a change of a side, in order; those that are not orders are ignored. */
  take(side: 'base' | 'head', change: Change): void {
    const { row, signal, tick, value } = change;
    if (!isOrder(signal)) return;
    const key = `${row} ${signal}`;
    const valve = this.valves.get(key) ?? { row, valve: signal.replace('Order', '') as StrokeChange['valve'], base: [], head: [] };
    this.valves.set(key, valve);
    const last = valve[side].at(-1);
    if (last !== undefined) last.driveTicks ??= tick - last.tick;
    if (isStroke(change)) valve[side].push({ tick, order: value as Stroke['order'], driveTicks: undefined });
  }

  /** @param ticks length of the run */
  compare(ticks: number): ComparedStrokes {
    const aligned = [...this.valves.values()].map((valve) => ({ valve, pairs: alignStrokes(valve.base, valve.head, ticks) }));
    const changes = aligned.flatMap(({ valve, pairs }) => changesOf(valve, pairs));
    changes.sort((a, b) => strokeChangeTick(a) - strokeChangeTick(b) || a.row - b.row);
    const shifts = shiftsOf(changes);
    const pairsWith = (holds: (base: DrivenStroke, head: DrivenStroke) => boolean): number =>
      aligned.flatMap(({ valve: { base, head }, pairs }) =>
        pairs.filter(([from, to]) => holds(base[from] as DrivenStroke, head[to] as DrivenStroke)),
      ).length;
    const pulses = (kind: StrokeChange['valve']): PulseDifferences =>
      pulseDifferences(aligned.flatMap(({ valve, pairs }) => (valve.valve === kind ? pulseShifts(valve, pairs) : [])));
    const differences = {
      added: changes.filter(({ base }) => base === undefined).length,
      removed: changes.filter(({ head }) => head === undefined).length,
      same: pairsWith((base, head) => base.tick === head.tick),
      earlier: spreadOf(below(shifts)),
      later: spreadOf(above(shifts)),
      otherDriveTime: pairsWith(hasOtherDriveTime),
      pulses: { supply: pulses('supply'), return: pulses('return') },
    };
    return { differences, changes };
  }
}

/** Shifts of the strokes that moved, from base to head. */
export const shiftsOf = (changes: readonly StrokeChange[]): number[] =>
  changes.flatMap(({ base, head }) => (base === undefined || head === undefined ? [] : [head - base]));

const above = (ticks: readonly number[]): number[] => ticks.filter((one) => one > 0);
const below = (ticks: readonly number[]): number[] => ticks.filter((one) => one < 0).map((one) => -one);

const hasOtherDriveTime = ({ driveTicks: base }: DrivenStroke, { driveTicks: head }: DrivenStroke): boolean =>
  base !== undefined && head !== undefined && base !== head;

function changesOf({ row, valve, base, head }: Valve, pairs: readonly StrokePair[]): StrokeChange[] {
  const partners = new Map(pairs);
  const paired = new Set(partners.values());
  const isMoved = ({ base: from, head: to }: StrokeChange): boolean => from !== to;
  const ofBase = base.map(({ tick, order }, at): StrokeChange => ({ row, valve, order, base: tick, head: tickAt(head, partners.get(at)) }));
  const added = head.flatMap(({ tick, order }, at): StrokeChange[] => (paired.has(at) ? [] : [{ row, valve, order, head: tick }]));
  return [...ofBase.filter(isMoved), ...added];
}

const tickAt = (strokes: readonly Stroke[], at: number | undefined): number | undefined =>
  at === undefined ? undefined : strokes[at]?.tick;

/** Indices of both ends of each pulse: the stroke that opens the valve, and the next one that closes it; behind the last if none does. */
export function pulsesOf(strokes: readonly Pick<Stroke, 'order'>[]): [open: number, close: number][] {
  const found: [number, number][] = [];
  let open: number | undefined;
  for (const [at, { order }] of strokes.entries()) {
    if (order === 'open') open ??= at;
    else if (open !== undefined) {
      found.push([open, at]);
      open = undefined;
    }
  }
  return open === undefined ? found : [...found, [open, strokes.length]];
}

/** Pulses of base of which both ends are the ends of a pulse of head. */
function pulseShifts({ base, head }: Valve, pairs: readonly StrokePair[]): PulseShift[] {
  const partners = new Map(pairs);
  const closeOf = new Map(pulsesOf(head));
  return pulsesOf(base).flatMap(([open, close]): PulseShift[] => {
    const [headOpen, headClose] = [partners.get(open), partners.get(close)];
    if (headOpen === undefined || headClose === undefined || closeOf.get(headOpen) !== headClose) return [];
    const shift = (to: number, from: number): number => (head[to]?.tick ?? 0) - (base[from]?.tick ?? 0);
    const startTicks = shift(headOpen, open);
    return [{ startTicks, lengthTicks: shift(headClose, close) - startTicks }];
  });
}

function pulseDifferences(pulses: readonly PulseShift[]): PulseDifferences {
  const lengths = pulses.map(({ lengthTicks }) => lengthTicks);
  const starts = pulses.map(({ startTicks }) => startTicks);
  return {
    count: pulses.length,
    shorter: spreadOf(below(lengths)),
    longer: spreadOf(above(lengths)),
    startEarlier: spreadOf(below(starts)),
    startLater: spreadOf(above(starts)),
  };
}
