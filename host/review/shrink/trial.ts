import { createHash } from 'node:crypto';
import { ChangeDetector, outputSignals, SUMMARIES } from '../../replay/change.js';
import { SignificantChanges } from '../../replay/replay.js';
import { MemoryDiff } from '../memory-diff.js';
import { matchSides } from '../run-both.js';
import { inputCopier, makeSide, type Side, type SideConfig } from '../run-pair.js';
import type { SignalPair } from '../signals.js';
import { classKey, type DifferenceClass, type OutputClass, placeOfTrap, type StateClass, type StopClass } from './difference-class.js';
import { firstTicks, type InputBuffer, payloadOf } from './input-buffer.js';

/** Builds that run over the inputs. Without base, only a stop of head counts. */
export interface TrialConfigs {
  readonly base?: SideConfig | undefined;
  readonly head: SideConfig;
}

export type SideName = 'base' | 'head';

/** The difference that inputs show. */
export interface FoundDifference {
  readonly class: DifferenceClass;
  readonly tick: number;
  /** 0 is the bank. */
  readonly row: number;
}

/** A side that can be restarted. */
interface TrialSide {
  readonly name: SideName;
  readonly side: Side;
  /** State before the first tick. */
  readonly start: Uint8Array;
  readonly write: (payload: Uint8Array) => void;
}

/** The sides for a number of rows. */
interface TrialPair {
  readonly sides: readonly TrialSide[];
  readonly outputs: MemoryDiff | undefined;
  readonly state: MemoryDiff | undefined;
}

/** Runs candidates, each for as few ticks as possible. */
export class Trials {
  /** Number of runs so far. */
  count = 0;
  private readonly pairs = new Map<number, TrialPair>();
  /** Hashes of candidates that failed: later rounds propose many of them again. */
  private readonly failed = new Set<string>();

  /**
   * @param max number of runs after which every attempt fails
   * @param onRun called before each run
   */
  constructor(
    private readonly configs: TrialConfigs,
    private readonly max: number,
    private readonly onRun: (count: number) => void = () => {},
  ) {}

  get isSpent(): boolean {
    return this.count >= this.max;
  }

  /** Runs all inputs and returns the worst difference: a stop, else the first output, else the first state that differs. */
  find(inputs: InputBuffer): FoundDifference | undefined {
    const pair = this.pairFor(inputs);
    const found: { output: FoundDifference | undefined; state: FoundDifference | undefined } = { output: undefined, state: undefined };
    this.restart(pair);
    for (let tick = 0; tick < inputs.ticks; tick++) {
      const stop = this.step(pair, inputs, tick);
      if (stop !== undefined) return { class: stop, tick, row: 0 };
      found.output ??= outputAt(pair, tick);
      if (found.output === undefined) found.state ??= stateAt(pair, tick);
    }
    return found.output ?? found.state;
  }

  /**
   * Returns the inputs up to the tick in which the class of difference shows and the accepted side has made a significant change;
   * undefined if they do not show it, or show another difference first.
   */
  attempt(inputs: InputBuffer, expected: DifferenceClass, accepted: SideName | undefined): InputBuffer | undefined {
    if (this.isSpent || inputs.ticks === 0 || inputs.layout.rows === 0) return undefined;
    const hash = createHash('sha1').update(inputs.bytes).digest('base64');
    const key = `${classKey(expected)} ${accepted} ${inputs.layout.rows} ${hash}`;
    if (this.failed.has(key)) return undefined;
    this.count += 1;
    this.onRun(this.count);
    const needed = this.run(inputs, expected, accepted);
    if (needed === undefined) this.failed.add(key);
    return needed;
  }

  private run(inputs: InputBuffer, expected: DifferenceClass, accepted: SideName | undefined): InputBuffer | undefined {
    const pair = this.pairFor(inputs);
    const acceptedSide = pair.sides.find(({ name }) => name === accepted);
    const significance = acceptedSide === undefined ? undefined : new Significance(acceptedSide.side);
    const key = classKey(expected);
    this.restart(pair);
    for (let tick = 0; tick < inputs.ticks; tick++) {
      const stop = this.step(pair, inputs, tick);
      significance?.take(tick);
      const found = stop ?? this.differenceAt(pair, tick, expected.kind);
      if (found === undefined) continue;
      if (classKey(found) !== key) return undefined;
      const end = significance === undefined ? tick : this.significantTick(inputs, tick, acceptedSide as TrialSide, significance);
      return end === undefined ? undefined : firstTicks(inputs, end + 1);
    }
    return undefined;
  }

  /** Runs the accepted side on until it has made a significant change. Returns the tick. */
  private significantTick(inputs: InputBuffer, from: number, { side, write }: TrialSide, significance: Significance): number | undefined {
    if (significance.isReached) return from;
    for (let tick = from + 1; tick < inputs.ticks; tick++) {
      write(payloadOf(inputs, tick));
      if (stopOf(side) !== undefined) return undefined;
      significance.take(tick);
      if (significance.isReached) return tick;
    }
    return undefined;
  }

  private differenceAt(pair: TrialPair, tick: number, kind: DifferenceClass['kind']): DifferenceClass | undefined {
    if (kind === 'stopped') return undefined;
    return outputAt(pair, tick)?.class ?? (kind === 'stateDiffers' ? stateAt(pair, tick)?.class : undefined);
  }

  private pairFor({ layout }: InputBuffer): TrialPair {
    const known = this.pairs.get(layout.rows);
    if (known !== undefined) return known;
    const makeTrialSide = (name: SideName, config: SideConfig | undefined): TrialSide[] => {
      if (config === undefined) return [];
      const side = makeSide(config, layout.rows, 'the shrunk inputs');
      return [{ name, side, start: side.runner.saveState(), write: inputCopier(layout, side).copy }];
    };
    const sides = [...makeTrialSide('base', this.configs.base), ...makeTrialSide('head', this.configs.head)];
    const [base, head] = sides.map(({ side }) => side);
    const signals = base === undefined || head === undefined ? undefined : matchSides({ base, head, rows: layout.rows }).pairs;
    const diff = (of: (pair: SignalPair) => boolean): MemoryDiff | undefined =>
      signals && new MemoryDiff((base as Side).runner.output.buffer, (head as Side).runner.output.buffer, signals.filter(of));
    const pair = {
      sides,
      outputs: diff((one) => one.head.kind === 'output'),
      state: diff((one) => one.head.kind !== 'output' && one.head.kind !== 'derived'),
    };
    this.pairs.set(layout.rows, pair);
    return pair;
  }

  private restart({ sides, outputs, state }: TrialPair): void {
    for (const { side, start } of sides) side.runner.restoreState(start);
    for (const diff of [outputs, state]) diff?.restart();
    // Differences before the first tick do not depend on the inputs.
    state?.scan(() => {});
  }

  private step({ sides }: TrialPair, inputs: InputBuffer, tick: number): StopClass | undefined {
    const payload = payloadOf(inputs, tick);
    for (const { write } of sides) write(payload);
    const stops = sides.flatMap(({ name, side }) => {
      const error = stopOf(side);
      return error === undefined ? [] : [{ name, error }];
    });
    const [first] = stops;
    if (first === undefined) return undefined;
    const side = stops.length === 2 ? 'both' : first.name;
    return { kind: 'stopped', side, message: first.error.message, at: placeOfTrap(first.error) };
  }
}

/** Whether a side has made a significant change, as accepting its outputs requires. */
class Significance {
  private readonly changes = new SignificantChanges();
  private readonly detector: ChangeDetector;

  constructor({ runner }: Side) {
    this.detector = new ChangeDetector(runner.output, outputSignals(runner.description.contract));
  }

  get isReached(): boolean {
    return this.changes.count > 0;
  }

  take(tick: number): void {
    if (!this.isReached) this.detector.detect(tick, (change) => this.changes.take(change));
  }
}

function stopOf({ runner }: Side): Error | undefined {
  try {
    runner.tick();
    return undefined;
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) return error;
    throw error;
  }
}

/** The first output that differs for the first time in this tick. */
function outputAt({ outputs }: TrialPair, tick: number): FoundDifference | undefined {
  let found: FoundDifference | undefined;
  let summary: FoundDifference | undefined;
  outputs?.scan(({ base, head }, baseValue, headValue) => {
    const { name: signal, row } = head;
    const values = { base: base.show(baseValue), head: head.show(headValue) };
    const difference: FoundDifference = {
      class: { kind: 'outputsDiffer', scope: row === 0 ? 'bank' : 'row', signal, ...values } satisfies OutputClass,
      tick,
      row,
    };
    if (SUMMARIES.includes(signal)) summary ??= difference;
    else found ??= difference;
  });
  return found ?? summary;
}

/** The first probe or state that differs for the first time in this tick. */
function stateAt({ state }: TrialPair, tick: number): FoundDifference | undefined {
  let found: FoundDifference | undefined;
  state?.scan(({ head: { name: signal, row, kind } }) => {
    found ??= { class: { kind: 'stateDiffers', signal, of: kind as StateClass['of'] }, tick, row };
  });
  return found;
}
