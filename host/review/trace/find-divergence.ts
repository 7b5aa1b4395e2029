import { align } from './align.js';
import { type Activation, type CallTree, type MemoryItem, traceCall } from './call-tree.js';
import type { SignalMatch } from './signal-match.js';
import { CONSTANT_REASON, type Origin, Slicer } from './slice.js';
import { declarationLine, isSameLine, type LineMatch, matchSources } from './source-lines.js';
import { type Position, positionOf, type TracedBuild } from './traced-build.js';

/** One side before the call. */
export interface TraceSide {
  readonly build: TracedBuild;
  readonly rows: number;
  /** Entire memory before the call. */
  readonly before: Uint8Array;
}

/** The first difference of two calls. */
export interface TracedDivergence {
  /** Undefined if a side stopped. */
  readonly signal: string | undefined;
  readonly base: number | undefined;
  readonly head: number | undefined;
  readonly suspectedLine: Position | undefined;
  readonly baseLine: Position | undefined;
  readonly via: Position | undefined;
  readonly reason: string;
}

type SuspectedLines = Pick<TracedDivergence, 'suspectedLine' | 'baseLine' | 'via' | 'reason'>;

/** A store to a signal that both sides have. */
interface NamedStore {
  readonly name: string;
  readonly item: MemoryItem;
}

function storesOf(node: Activation, nameOf: (address: number) => string | undefined, into: NamedStore[] = []): NamedStore[] {
  for (const item of node.items) {
    if (item.kind === 'call') storesOf(item.node, nameOf, into);
    if (item.kind !== 'store') continue;
    const name = nameOf(item.address);
    if (name !== undefined) into.push({ name, item });
  }
  return into;
}

/** The first store after which a signal differs that also differs at the end of the call. */
interface DivergingStore {
  readonly name: string;
  readonly base: number;
  readonly head: number;
  /** The store of each side, if it has one there. */
  readonly baseItem: MemoryItem | undefined;
  readonly headItem: MemoryItem | undefined;
}

/** Steps through the stores of both sides in a common order. */
function firstDivergingStore(base: readonly NamedStore[], head: readonly NamedStore[], match: SignalMatch): DivergingStore | undefined {
  const values = new Map<string, readonly [base: number, head: number]>();
  const names = (stores: readonly NamedStore[]): string[] => stores.map(({ name }) => name);
  for (const [at, other] of align(names(base), names(head))) {
    const baseItem = at === undefined ? undefined : base[at]?.item;
    const headItem = other === undefined ? undefined : head[other]?.item;
    const name = (other === undefined ? base[at] : head[other])?.name ?? '';
    const before = values.get(name) ?? match.before(name);
    const now = [baseItem?.value ?? before[0], headItem?.value ?? before[1]] as const;
    values.set(name, now);
    if (match.differing.has(name) && !match.same(name, ...now)) return { name, base: now[0], head: now[1], baseItem, headItem };
  }
  return undefined;
}

const sitePosition = (build: TracedBuild, site: number | undefined): Position | undefined =>
  site === undefined ? undefined : positionOf(build, site);

/** Lines of a function that ran. */
function linesRun(node: Activation, build: TracedBuild, name: string, into = new Map<string, Position>()): Map<string, Position> {
  for (const item of node.items) {
    const position = node.name.endsWith(`/${name}`) ? sitePosition(build, item.site) : undefined;
    if (position !== undefined) into.set(`${position.file}:${position.line}`, position);
    if (item.kind === 'call') linesRun(item.node, build, name, into);
  }
  return into;
}

const lineAt = ({ sources }: TracedBuild, file: string, line: number, inside: string): Position | undefined => {
  const text = sources.get(file)?.split('\n')[line - 1];
  return text === undefined ? undefined : { file, line, column: text.search(/\S|$/) + 1, function: inside, text };
};

/** The declaration of the constant that a site reads; it is outside any function. */
function declarationOf(build: TracedBuild, site: number | undefined): Position | undefined {
  const global = site === undefined ? undefined : build.sites[site]?.global;
  const name = global === undefined ? undefined : build.binary.globals[global]?.name;
  if (name === undefined) return undefined;
  const slash = name.lastIndexOf('/');
  const file = `${name.slice(0, slash)}.ts`;
  const line = declarationLine(build.sources.get(file) ?? '', name.slice(slash + 1));
  return line === undefined ? undefined : lineAt(build, file, line, '');
}

/** Maps the origin of a difference to lines of source, with the differences between the two sources. */
class LineFinder {
  private readonly changes: ReadonlyMap<string, LineMatch>;

  constructor(
    private readonly base: TracedBuild,
    private readonly head: TracedBuild,
    private readonly trees: { readonly base: CallTree; readonly head: CallTree },
  ) {
    this.changes = matchSources(base.sources, head.sources);
  }

  /** Whether two sites are in the same line of both sources, changed or not. */
  sameLine(baseSite: number, headSite: number): boolean {
    const [base, head] = [sitePosition(this.base, baseSite), sitePosition(this.head, headSite)];
    if (base === undefined || head === undefined || base.file !== head.file) return base === head;
    const match = this.changes.get(base.file);
    return match === undefined ? base.line === head.line : isSameLine(match, base.line, head.line);
  }

  linesOf({ baseSite, headSite, reason }: Origin): SuspectedLines {
    const baseLine = sitePosition(this.base, baseSite);
    const traced = sitePosition(this.head, headSite) ?? this.inHead(baseLine);
    if (traced === undefined) return { suspectedLine: undefined, baseLine, via: undefined, reason };
    const declared = declarationOf(this.head, headSite);
    if (declared !== undefined)
      return { suspectedLine: declared, baseLine: this.baseDeclaration(baseSite, baseLine), via: traced, reason: CONSTANT_REASON };
    const changed = this.isChanged(traced) ? undefined : this.nearestChanged(traced);
    if (changed === undefined) return { suspectedLine: traced, baseLine, via: undefined, reason };
    return { suspectedLine: changed, baseLine, via: traced, reason: 'changed line in the function where the first value differs' };
  }

  private baseDeclaration(site: number | undefined, use: Position | undefined): Position | undefined {
    return use === undefined ? undefined : (declarationOf(this.base, site) ?? use);
  }

  private isChanged({ file, line }: Position): boolean {
    return this.changes.get(file)?.changed.has(line) === true;
  }

  /** The place in the head sources of a line of the base sources. */
  private inHead(base: Position | undefined): Position | undefined {
    if (base === undefined) return undefined;
    const line = this.changes.get(base.file)?.headOf.get(base.line) ?? base.line;
    return lineAt(this.head, base.file, line, base.function);
  }

  /** The nearest changed line of the same function that ran on either side. */
  private nearestChanged(traced: Position): Position | undefined {
    const run = [...linesRun(this.trees.head.root, this.head, traced.function).values()];
    const removed = [...linesRun(this.trees.base.root, this.base, traced.function).values()].flatMap((line) => this.inHead(line) ?? []);
    const distance = ({ line }: Position): number => Math.abs(line - traced.line);
    const [nearest] = [...run, ...removed]
      .filter((position) => position.file === traced.file && this.isChanged(position))
      .sort((a, b) => distance(a) - distance(b));
    return nearest;
  }
}

/** Whether a traced run had the same effect as the run that it repeats. */
const isRepeated = (tree: CallTree, after: Uint8Array | undefined): boolean =>
  after === undefined || Buffer.from(tree.memory).equals(after);

/**
 * Traces one call on both sides and finds the first difference in the order of evaluation.
 * @param after memories after the original call, if it returned: a traced run with another effect gives no line
 * @returns undefined if nothing differs
 */
export function findDivergence(
  base: TraceSide,
  head: TraceSide,
  call: 'configure' | 'tick',
  match: SignalMatch,
  after?: { readonly base: Uint8Array; readonly head: Uint8Array },
): TracedDivergence | undefined {
  const trees = { base: traceCall(base.build, base.before, call, base.rows), head: traceCall(head.build, head.before, call, head.rows) };
  const isStop = trees.base.trap !== trees.head.trap;
  // After a stop, everything that the side did not get to do would differ.
  const store = isStop
    ? undefined
    : firstDivergingStore(storesOf(trees.base.root, match.baseName), storesOf(trees.head.root, match.headName), match);
  if (store === undefined && !isStop) return undefined;
  const found = { signal: store?.name, base: store?.base, head: store?.head };
  if (!isRepeated(trees.base, after?.base) || !isRepeated(trees.head, after?.head)) {
    const reason = 'no line: the traced run did not repeat the original run';
    return { ...found, suspectedLine: undefined, baseLine: undefined, via: undefined, reason };
  }
  const lines = new LineFinder(base.build, head.build, trees);
  const sameLine = (baseSite: number, headSite: number): boolean => lines.sameLine(baseSite, headSite);
  const slicer = new Slicer(base.build, head.build, { base: trees.base.root, head: trees.head.root }, { ...match, sameLine });
  const origin = store === undefined ? slicer.originOfStop() : slicer.originOfStore(store.baseItem, store.headItem);
  return { ...found, ...lines.linesOf(origin) };
}
