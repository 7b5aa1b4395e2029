import { existsSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { readControllerSources } from '../build/controller.js';
import { oncePer } from '../common/once.js';
import { TOOL_ROOT } from '../common/project.js';
import { SIZE_OF } from '../contract/layout.js';
import { writeParameters } from '../runner/wasm-runner.js';
import type { Build } from './builds.js';
import type { Drive, Side } from './drive.js';
import type { Parting, SignalParting } from './review.js';
import { CONFIGURE_TICK, matchSides, partingOf } from './run-pair.js';
import { addressOf, isSame, keyOf, type MemorySignal, readSignal, recordNames, type SignalPair } from './signals.js';
import { findParting } from './trace/find-divergence.js';
import type { SignalMatch } from './trace/signal-match.js';
import { buildTraced, isCompiledFrom, sourcesOfMap, type TracedBuild } from './trace/traced-build.js';

/** Memories of both sides before and after the call in which they part. */
export interface PartingMemory {
  readonly tick: number;
  readonly before: { readonly old: Uint8Array; readonly new: Uint8Array };
  readonly after: { readonly old: Uint8Array; readonly new: Uint8Array };
}

/** Finds what of a parting's tick comes first, and the line of source behind it. */
export type Locate = (drive: Drive, found: SignalParting, memory: PartingMemory) => Promise<Parting>;

/** Traced builds of both sides. */
interface TracedPair {
  readonly old: TracedBuild;
  readonly new: TracedBuild;
}

/** The traced build of a build, made once; the reason why not, if its sources are not at hand. */
const tracedBuild = oncePer(async ({ file, controller, from }: Build): Promise<TracedBuild | string> => {
  if (from !== undefined) return buildTraced(from);
  const map = `${file}.map`;
  if (!existsSync(map)) return 'a side’s sources are not at hand (….wasm.map)';
  const sources = sourcesOfMap(map);
  if (sources === undefined) return `${basename(map)} is damaged, or carries no sources`;
  const found = { ...readControllerSources(TOOL_ROOT), sources };
  const isOwn = await isCompiledFrom(readFileSync(file), controller.description, found);
  return isOwn ? buildTraced(found) : `${basename(map)} is not of the binary beside it, or not whole`;
});

/** Memory as configure() finds it. */
function memoryToConfigure({ controller, values, target }: Side): Uint8Array {
  const memory = new Uint8Array(target.output.buffer.byteLength);
  writeParameters(new DataView(memory.buffer), controller.description.contract, values);
  return memory;
}

const viewOf = (memory: Uint8Array): DataView => new DataView(memory.buffer, memory.byteOffset, memory.byteLength);

/** A number as the signal's field holds it: a store's operand may have more bits. */
function fitted(value: number, { field: { type } }: MemorySignal): number {
  if (type.startsWith('f')) return value;
  const bytes = SIZE_OF[type];
  const unsigned = bytes === 4 ? value >>> 0 : value & (2 ** (8 * bytes) - 1);
  return type === 'i32' ? value | 0 : unsigned;
}

/** What the two memories' signals are called, and which of them differ after the call. */
function signalMatch(
  drive: Drive,
  before: PartingMemory['before'],
  after: PartingMemory['after'],
): SignalMatch & { pairOf: (name: string) => SignalPair | undefined } {
  const { pairs } = matchSides(drive);
  const byName = new Map(pairs.map((pair) => [keyOf(pair.new), pair]));
  const names = (side: 'old' | 'new'): Map<number, string> => new Map(pairs.map((pair) => [addressOf(pair[side]), keyOf(pair.new)]));
  const [oldNames, newNames] = [names('old'), names('new')];
  const views = { before: [viewOf(before.old), viewOf(before.new)] as const, after: [viewOf(after.old), viewOf(after.new)] as const };
  const values = (pair: SignalPair, [old, fresh]: readonly [DataView, DataView]): [number, number] => [
    readSignal(old, pair.old),
    readSignal(fresh, pair.new),
  ];
  const same = (name: string, old: number, fresh: number): boolean => {
    const pair = byName.get(name);
    return pair === undefined || isSame(pair, fitted(old, pair.old), fitted(fresh, pair.new));
  };
  const records = (side: Side) => recordNames(side.controller.description.contract, drive.rows);
  const [oldRecords, newRecords] = [records(drive.old), records(drive.new)];
  return {
    oldName: (address) => oldNames.get(address),
    newName: (address) => newNames.get(address),
    same,
    before: (name) => {
      const pair = byName.get(name);
      return pair === undefined ? [0, 0] : values(pair, views.before);
    },
    differing: new Set([...byName].filter(([, pair]) => !isSame(pair, ...values(pair, views.after))).map(([name]) => name)),
    // Where layouts differ, so do addresses, without meaning anything.
    sameRecord: (old, fresh) => [...(oldRecords.get(old) ?? [])].some((name) => newRecords.get(fresh)?.has(name)),
    pairOf: (name) => byName.get(name),
  };
}

/** Without sources the first in memory's order is all there is. */
export const locateNothing =
  (reason: string): Locate =>
  async (_drive, found) => ({ ...found, because: `no line: ${reason}` });

/** Traces both sides through the call in which they part. */
function locateIn({ old, new: fresh }: TracedPair, drive: Drive, found: SignalParting, memory: PartingMemory): Parting {
  const { tick, after } = memory;
  const isConfigure = tick === CONFIGURE_TICK;
  const before = isConfigure ? { old: memoryToConfigure(drive.old), new: memoryToConfigure(drive.new) } : memory.before;
  const match = signalMatch(drive, before, after);
  const sides = [
    { build: old, rows: drive.rows, before: before.old },
    { build: fresh, rows: drive.rows, before: before.new },
  ] as const;
  const isStop = found.signal === 'stop';
  const parting = findParting(...sides, isConfigure ? 'configure' : 'tick', match, isStop ? undefined : after);
  if (parting === undefined) return { ...found, because: 'no line: the traced runs do not part' };
  const { signal, line, oldLine, via, because } = parting;
  const pair = signal === undefined || isStop ? undefined : match.pairOf(signal);
  const first = pair === undefined ? found : partingOf(pair, tick, fitted(parting.old ?? 0, pair.old), fitted(parting.new ?? 0, pair.new));
  return { ...first, line, oldLine, via, because };
}

/** Finds lines with traced builds of both sides, which are made when the first difference asks for them. */
export const traceLocator =
  (sides: { readonly old: { readonly build: Build }; readonly new: { readonly build: Build } }): Locate =>
  async (drive, found, memory) => {
    const [old, fresh] = [await tracedBuild(sides.old.build), await tracedBuild(sides.new.build)];
    const reason = typeof old === 'string' ? old : fresh;
    if (typeof old === 'string' || typeof fresh === 'string') return locateNothing(String(reason))(drive, found, memory);
    return locateIn({ old, new: fresh }, drive, found, memory);
  };
