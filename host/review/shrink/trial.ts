import { createHash } from 'node:crypto';
import { ChangeDetector, outputSignals } from '../../replay/change.js';
import { TellingCount } from '../../replay/replay.js';
import { inputCopier, makeSide, type Side, type SideChoice } from '../drive.js';
import { matchSignals, type SignalPair, signalsOf } from '../signals.js';
import { PairWatch } from '../watch-pair.js';
import { classKey, type DifferenceClass, type InnerClass, type OutputClass, placeOfTrap, type StopClass } from './difference-class.js';
import { firstTicks, type HeldInputs, payloadOf } from './held-inputs.js';

/** Who runs over the inputs. Without an old side, only a stop of the new one can show. */
export interface TrialSides {
  readonly old?: SideChoice | undefined;
  readonly new: SideChoice;
}

export type SideName = 'old' | 'new';

/** What inputs show. */
export interface Shown {
  readonly class: DifferenceClass;
  /** Tick in which it does. */
  readonly tick: number;
  /** 0 is the bank. */
  readonly row: number;
}

/** A side that can be started again and again. */
interface Runner {
  readonly name: SideName;
  readonly side: Side;
  readonly start: Uint8Array;
  readonly write: (payload: Uint8Array) => void;
}

/** Both sides for so many rows. */
interface Rig {
  readonly runners: readonly Runner[];
  readonly outputs: PairWatch | undefined;
  readonly inner: PairWatch | undefined;
}

/** An output that sums others up is no difference of its own beside them. */
const SUMMARY = 'allClosed';

/** Runs candidates, as few ticks of them as will do. */
export class Trials {
  /** Runs that were made. */
  count = 0;
  private readonly rigs = new Map<number, Rig>();
  /** Hashes of candidates that did not show it: a later round proposes many of them again. */
  private readonly refused = new Set<string>();

  /**
   * @param most runs that may be made; after them nothing shows anything any more
   * @param onRun told of each run
   */
  constructor(
    private readonly sides: TrialSides,
    private readonly most: number,
    private readonly onRun: (count: number) => void = () => {},
  ) {}

  get isSpent(): boolean {
    return this.count >= this.most;
  }

  /** Runs inputs to their end and says what is the worst that they show: a stop, an output, an inner value. */
  look(held: HeldInputs): Shown | undefined {
    const rig = this.rigOf(held);
    const seen: { output: Shown | undefined; inner: Shown | undefined } = { output: undefined, inner: undefined };
    this.begin(rig);
    for (let tick = 0; tick < held.ticks; tick++) {
      const stop = this.step(rig, held, tick);
      if (stop !== undefined) return { class: stop, tick, row: 0 };
      seen.output ??= outputAt(rig, tick);
      if (seen.output === undefined) seen.inner ??= innerAt(rig, tick);
    }
    return seen.output ?? seen.inner;
  }

  /**
   * What of the inputs is needed to show the class, and for the accepted side to have said something of itself: all ticks up to
   * then. undefined if they don't show it, or something else before it.
   */
  attempt(held: HeldInputs, wanted: DifferenceClass, accepted: SideName | undefined): HeldInputs | undefined {
    if (this.isSpent || held.ticks === 0 || held.layout.rows === 0) return undefined;
    const hash = createHash('sha1').update(held.bytes).digest('base64');
    const key = `${classKey(wanted)} ${accepted} ${held.layout.rows} ${hash}`;
    if (this.refused.has(key)) return undefined;
    this.count += 1;
    this.onRun(this.count);
    const left = this.run(held, wanted, accepted);
    if (left === undefined) this.refused.add(key);
    return left;
  }

  private run(held: HeldInputs, wanted: DifferenceClass, accepted: SideName | undefined): HeldInputs | undefined {
    const rig = this.rigOf(held);
    const teller = rig.runners.find(({ name }) => name === accepted);
    const listen = teller === undefined ? undefined : new Listener(teller.side);
    const key = classKey(wanted);
    this.begin(rig);
    for (let tick = 0; tick < held.ticks; tick++) {
      const stop = this.step(rig, held, tick);
      listen?.take(tick);
      const found = stop ?? this.differenceAt(rig, tick, wanted.kind);
      if (found === undefined) continue;
      if (classKey(found) !== key) return undefined;
      const end = listen === undefined ? tick : this.tellingTick(held, tick, teller as Runner, listen);
      return end === undefined ? undefined : firstTicks(held, end + 1);
    }
    return undefined;
  }

  /** First tick from one on by which the accepted side has told something. */
  private tellingTick(held: HeldInputs, from: number, { side, write }: Runner, listen: Listener): number | undefined {
    if (listen.isTelling) return from;
    for (let tick = from + 1; tick < held.ticks; tick++) {
      write(payloadOf(held, tick));
      if (stopOf(side) !== undefined) return undefined;
      listen.take(tick);
      if (listen.isTelling) return tick;
    }
    return undefined;
  }

  private differenceAt(rig: Rig, tick: number, kind: DifferenceClass['kind']): DifferenceClass | undefined {
    if (kind === 'stopped') return undefined;
    return outputAt(rig, tick)?.class ?? (kind === 'inner' ? innerAt(rig, tick)?.class : undefined);
  }

  private rigOf({ layout }: HeldInputs): Rig {
    const known = this.rigs.get(layout.rows);
    if (known !== undefined) return known;
    const runner = (name: SideName, choice: SideChoice | undefined): Runner[] => {
      if (choice === undefined) return [];
      const side = makeSide(choice, layout.rows, 'the shrunk inputs');
      return [{ name, side, start: side.target.saveState(), write: inputCopier(layout, side).copy }];
    };
    const runners = [...runner('old', this.sides.old), ...runner('new', this.sides.new)];
    const [old, fresh] = runners.map(({ side }) => side);
    const pairs = old === undefined || fresh === undefined ? undefined : pairsOf(old, fresh, layout.rows);
    const watch = (of: (pair: SignalPair) => boolean): PairWatch | undefined =>
      pairs && new PairWatch((old as Side).target.output.buffer, (fresh as Side).target.output.buffer, pairs.filter(of));
    const rig = {
      runners,
      outputs: watch((pair) => pair.new.kind === 'output'),
      inner: watch((pair) => pair.new.kind !== 'output' && pair.new.kind !== 'derived'),
    };
    this.rigs.set(layout.rows, rig);
    return rig;
  }

  private begin({ runners, outputs, inner }: Rig): void {
    for (const { side, start } of runners) side.target.restoreState(start);
    for (const watch of [outputs, inner]) watch?.restart();
    // What differs before the first tick needs no inputs to show.
    inner?.scan(() => {});
  }

  private step({ runners }: Rig, held: HeldInputs, tick: number): StopClass | undefined {
    const payload = payloadOf(held, tick);
    for (const { write } of runners) write(payload);
    const stops = runners.flatMap(({ name, side }) => {
      const error = stopOf(side);
      return error === undefined ? [] : [{ name, error }];
    });
    const [first] = stops;
    if (first === undefined) return undefined;
    const side = stops.length === 2 ? 'both' : first.name;
    return { kind: 'stopped', side, message: first.error.message, at: placeOfTrap(first.error) };
  }
}

/** Listens to a side as the acceptance of its outputs will. */
class Listener {
  private readonly telling = new TellingCount();
  private readonly detector: ChangeDetector;

  constructor({ target }: Side) {
    this.detector = new ChangeDetector(target.output, outputSignals(target.description.contract));
  }

  get isTelling(): boolean {
    return this.telling.count > 0;
  }

  take(tick: number): void {
    if (!this.isTelling) this.detector.detect(tick, (change) => this.telling.take(change));
  }
}

function pairsOf(old: Side, fresh: Side, rows: number): readonly SignalPair[] {
  return matchSignals(signalsOf(old.controller.description.contract, rows), signalsOf(fresh.controller.description.contract, rows)).pairs;
}

function stopOf({ target }: Side): Error | undefined {
  try {
    target.tick();
    return undefined;
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) return error;
    throw error;
  }
}

/** The first output that differs in this tick and never did before. */
function outputAt({ outputs }: Rig, tick: number): Shown | undefined {
  let found: Shown | undefined;
  let summary: Shown | undefined;
  outputs?.scan(({ old, new: fresh }, oldValue, newValue) => {
    const { name: signal, row } = fresh;
    const words = { old: old.show(oldValue), new: fresh.show(newValue) };
    const shown: Shown = {
      class: { kind: 'outputs', scope: row === 0 ? 'bank' : 'row', signal, ...words } satisfies OutputClass,
      tick,
      row,
    };
    if (signal === SUMMARY) summary ??= shown;
    else found ??= shown;
  });
  return found ?? summary;
}

/** The first inner value that differs in this tick and never did before. */
function innerAt({ inner }: Rig, tick: number): Shown | undefined {
  let found: Shown | undefined;
  inner?.scan(({ new: { name: signal, row, kind } }) => {
    found ??= { class: { kind: 'inner', signal, of: kind as InnerClass['of'] }, tick, row };
  });
  return found;
}
