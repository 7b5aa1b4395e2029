import { compileController } from '../build/controller.js';
import { dataViewOf } from '../common/data-view.js';
import { oncePer } from '../common/once.js';
import { SIZE_OF } from '../contract/layout.js';
import { writeParameters } from '../runner/wasm-runner.js';
import { sourcesOf } from './build-sources.js';
import type { Build } from './builds.js';
import type { Divergence, SignalDivergence } from './review.js';
import { CONFIGURE_TICK, divergenceOf, matchSides } from './run-both.js';
import type { RunPair, Side } from './run-pair.js';
import { addressOf, isSame, keyOf, type MemorySignal, readSignal, recordNames, type SignalPair } from './signals.js';
import { findDivergence } from './trace/find-divergence.js';
import type { SignalMatch } from './trace/signal-match.js';
import { buildTraced, type TracedBuild } from './trace/traced-build.js';

/** Memories of both sides before and after the call of the first difference. */
export interface DivergenceMemory {
  readonly tick: number;
  readonly before: { readonly base: Uint8Array; readonly head: Uint8Array };
  readonly after: { readonly base: Uint8Array; readonly head: Uint8Array };
}

/** Finds the value that differs first within a tick, and the line of source behind it. */
export type Locate = (pair: RunPair, found: SignalDivergence, memory: DivergenceMemory) => Promise<Divergence>;

interface TracedPair {
  readonly base: TracedBuild;
  readonly head: TracedBuild;
}

/** Compiles the traced build of a build, once; returns a reason if its sources are not available. */
export const tracedBuild = oncePer(async (build: Build): Promise<TracedBuild | string> => {
  const sources = await sourcesOf(build);
  return typeof sources === 'string' ? sources : buildTraced(sources);
});

/** Compiles what tracing a build needs into the cache, so that not every thread does. What does not compile is reported by tracing. */
export const prepareTracing = oncePer(async (build: Build): Promise<void> => {
  const sources = await sourcesOf(build);
  if (typeof sources !== 'string') await compileController(sources, { optimisation: 'none' }).catch(() => {});
});

/** Memory before configure(). */
function memoryBeforeConfigure({ controller, values, runner }: Side): Uint8Array {
  const memory = new Uint8Array(runner.output.buffer.byteLength);
  writeParameters(new DataView(memory.buffer), controller.description.contract, values);
  return memory;
}

/** Converts a store's operand, which may have more bits, to the type of the signal's field. */
function fitted(value: number, { field: { type } }: MemorySignal): number {
  if (type.startsWith('f')) return value;
  const bytes = SIZE_OF[type];
  const unsigned = bytes === 4 ? value >>> 0 : value & (2 ** (8 * bytes) - 1);
  return type === 'i32' ? value | 0 : unsigned;
}

/** Names of the signals in both memories, and which of them differ after the call. */
function signalMatch(
  run: RunPair,
  before: DivergenceMemory['before'],
  after: DivergenceMemory['after'],
): SignalMatch & { pairOf: (name: string) => SignalPair | undefined } {
  const { pairs } = matchSides(run);
  const byName = new Map(pairs.map((pair) => [keyOf(pair.head), pair]));
  const names = (side: 'base' | 'head'): Map<number, string> => new Map(pairs.map((pair) => [addressOf(pair[side]), keyOf(pair.head)]));
  const [baseNames, headNames] = [names('base'), names('head')];
  const views = {
    before: [dataViewOf(before.base), dataViewOf(before.head)] as const,
    after: [dataViewOf(after.base), dataViewOf(after.head)] as const,
  };
  const values = (pair: SignalPair, [base, head]: readonly [DataView, DataView]): [number, number] => [
    readSignal(base, pair.base),
    readSignal(head, pair.head),
  ];
  const same = (name: string, base: number, head: number): boolean => {
    const pair = byName.get(name);
    return pair === undefined || isSame(pair, fitted(base, pair.base), fitted(head, pair.head));
  };
  const records = (side: Side) => recordNames(side.controller.description.contract, run.rows);
  const [baseRecords, headRecords] = [records(run.base), records(run.head)];
  return {
    baseName: (address) => baseNames.get(address),
    headName: (address) => headNames.get(address),
    same,
    before: (name) => {
      const pair = byName.get(name);
      return pair === undefined ? [0, 0] : values(pair, views.before);
    },
    differing: new Set([...byName].filter(([, pair]) => !isSame(pair, ...values(pair, views.after))).map(([name]) => name)),
    // With different layouts the same record has different addresses.
    sameRecord: (base, head) => [...(baseRecords.get(base) ?? [])].some((name) => headRecords.get(head)?.has(name)),
    pairOf: (name) => byName.get(name),
  };
}

/** Without sources, the first difference in the order of memory is the best there is. */
export const skipLocating =
  (reason: string): Locate =>
  async (_pair, found) => ({ ...found, reason: `no line: ${reason}` });

/** Traces both sides through the call of the first difference. */
function locateIn(traced: TracedPair, run: RunPair, found: SignalDivergence, memory: DivergenceMemory): Divergence {
  const { tick, after } = memory;
  const isConfigure = tick === CONFIGURE_TICK;
  const before = isConfigure ? { base: memoryBeforeConfigure(run.base), head: memoryBeforeConfigure(run.head) } : memory.before;
  const match = signalMatch(run, before, after);
  const sides = [
    { build: traced.base, rows: run.rows, before: before.base },
    { build: traced.head, rows: run.rows, before: before.head },
  ] as const;
  const isStop = found.signal === 'stop';
  const divergence = findDivergence(...sides, isConfigure ? 'configure' : 'tick', match, isStop ? undefined : after);
  if (divergence === undefined) return { ...found, reason: 'no line: the traced runs do not differ' };
  const { signal, suspectedLine, removedLine, baseLine, via, reason } = divergence;
  const pair = signal === undefined || isStop ? undefined : match.pairOf(signal);
  const first =
    pair === undefined ? found : divergenceOf(pair, tick, fitted(divergence.base ?? 0, pair.base), fitted(divergence.head ?? 0, pair.head));
  return { ...first, suspectedLine, removedLine, baseLine, via, reason };
}

/** Locates with traced builds of both sides, which are compiled for the first difference. */
export const traceLocator =
  (sides: { readonly base: { readonly build: Build }; readonly head: { readonly build: Build } }): Locate =>
  async (pair, found, memory) => {
    const [base, head] = [await tracedBuild(sides.base.build), await tracedBuild(sides.head.build)];
    if (typeof base === 'string') return skipLocating(base)(pair, found, memory);
    if (typeof head === 'string') return skipLocating(head)(pair, found, memory);
    return locateIn({ base, head }, pair, found, memory);
  };
