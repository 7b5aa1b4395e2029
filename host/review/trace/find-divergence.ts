import { align } from './align.js';
import { type Activation, type CallTree, type MemoryItem, traceCall } from './call-tree.js';
import type { SignalMatch } from './signal-match.js';
import { CONSTANT_REASON, type Origin, Slicer } from './slice.js';
import { declarationLine, isSameLine, type LineMatch, matchSources, namesInValue } from './source-lines.js';
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
  /** Line that head does not have, if that is suspected; then `suspectedLine` is the place where it was. */
  readonly removedLine?: Position | undefined;
  readonly baseLine: Position | undefined;
  readonly via: Position | undefined;
  readonly reason: string;
}

/** A constant's value is followed through this many others. */
const DECLARATIONS_MAX = 4;

type SuspectedLines = Pick<TracedDivergence, 'suspectedLine' | 'removedLine' | 'baseLine' | 'via' | 'reason'>;

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

/** The declaration of a constant of a file; it is outside any function. */
function declarationIn(build: TracedBuild, file: string, name: string): Position | undefined {
  const line = declarationLine(build.sources.get(file) ?? '', name);
  return line === undefined ? undefined : lineAt(build, file, line, '');
}

/** The declaration of the constant that a site reads. */
function declarationOf(build: TracedBuild, site: number | undefined): Position | undefined {
  const global = site === undefined ? undefined : build.sites[site]?.global;
  const name = global === undefined ? undefined : build.binary.globals[global]?.name;
  if (name === undefined) return undefined;
  const slash = name.lastIndexOf('/');
  return declarationIn(build, `${name.slice(0, slash)}.ts`, name.slice(slash + 1));
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
    const isUseChanged = this.isChanged(traced);
    const declared = this.changedDeclaration(declarationOf(this.head, headSite));
    if (declared !== undefined && !isUseChanged)
      return { suspectedLine: declared, baseLine: this.baseDeclaration(baseSite, baseLine), via: traced, reason: CONSTANT_REASON };
    if (this.isRemoved(baseLine) && (headSite === undefined || !isUseChanged))
      return this.removedAt(baseLine as Position, undefined, reason);
    const nearest = isUseChanged ? undefined : this.nearestChanged(traced);
    if (nearest === undefined) return { suspectedLine: traced, baseLine, via: undefined, reason };
    const because = 'changed line in the function where the first value differs';
    if (nearest.removed !== undefined) return this.removedAt(nearest.removed, traced, because);
    return { suspectedLine: nearest.line, baseLine, via: traced, reason: because };
  }

  /** A line of base that is gone, or has moved in head. */
  private removedAt(removed: Position, via: Position | undefined, reason: string): SuspectedLines {
    const place = this.inHead(removed);
    const lines = this.head.sources.get(removed.file)?.split('\n') ?? [];
    const isSameText = (text: string, index: number): boolean =>
      text.trim() === removed.text.trim() && this.isChanged({ file: removed.file, line: index + 1 });
    const moved = lines.findIndex(isSameText);
    const isReplaced = place !== undefined && this.changes.get(place.file)?.added.has(place.line) === true;
    if (moved < 0) return { suspectedLine: place, removedLine: isReplaced ? undefined : removed, baseLine: removed, via, reason };
    const to = lineAt(this.head, removed.file, moved + 1, removed.function);
    return { suspectedLine: to, baseLine: removed, via, reason: `moved from line ${removed.line} of base: ${reason}` };
  }

  private isRemoved(line: Position | undefined): boolean {
    return line !== undefined && this.changes.get(line.file)?.removed.has(line.line) === true;
  }

  /** The declaration, if it has changed, or else one that its value is computed from. */
  private changedDeclaration(declared: Position | undefined, depth = 0): Position | undefined {
    if (declared === undefined || depth > DECLARATIONS_MAX || this.isChanged(declared))
      return declared && this.isChanged(declared) ? declared : undefined;
    const files = [declared.file, ...this.changes.keys()];
    const others = namesInValue(declared.text).flatMap((name) => files.flatMap((file) => declarationIn(this.head, file, name) ?? []));
    return others.map((other) => this.changedDeclaration(other, depth + 1)).find((other) => other !== undefined);
  }

  private baseDeclaration(site: number | undefined, use: Position | undefined): Position | undefined {
    return use === undefined ? undefined : (declarationOf(this.base, site) ?? use);
  }

  private isChanged({ file, line }: Pick<Position, 'file' | 'line'>): boolean {
    return this.changes.get(file)?.changed.has(line) === true;
  }

  /** The place in the head sources of a line of the base sources. */
  private inHead(base: Position | undefined): Position | undefined {
    if (base === undefined) return undefined;
    const line = this.changes.get(base.file)?.headOf.get(base.line) ?? base.line;
    return lineAt(this.head, base.file, line, base.function);
  }

  /** The nearest changed or removed line of the same function that ran on either side. */
  private nearestChanged(traced: Position): { readonly line: Position; readonly removed?: Position | undefined } | undefined {
    const run = [...linesRun(this.trees.head.root, this.head, traced.function).values()].filter((line) => this.isChanged(line));
    const ofBase = [...linesRun(this.trees.base.root, this.base, traced.function).values()].filter((line) => this.isRemoved(line));
    const gone = ofBase.flatMap((removed) => {
      const line = this.inHead(removed);
      return line === undefined ? [] : [{ line, removed }];
    });
    const distance = ({ line: { line } }: { line: Position }): number => Math.abs(line - traced.line);
    // A changed line is a removed one too: it is shown with what it has become.
    const [nearest] = [...run.map((line) => ({ line })), ...gone.filter(({ line }) => !run.some((one) => one.line === line.line))]
      .filter(({ line }) => line.file === traced.file)
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
