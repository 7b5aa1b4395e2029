import { align } from './align.js';
import { type Activation, type CallTree, type MemoryItem, traceCall } from './call-tree.js';
import type { SignalMatch } from './signal-match.js';
import { type Origin, Slicer } from './slice.js';
import { declarationLine, isSameLine, type LineMatch, matchSources } from './source-lines.js';
import { type Position, positionOf, type TracedBuild } from './traced-build.js';

/** One side before the call. */
export interface TraceSide {
  readonly build: TracedBuild;
  readonly rows: number;
  /** Whole memory before the call. */
  readonly before: Uint8Array;
}

/** Where two calls part. */
export interface TracedParting {
  /** Undefined where a side only stopped. */
  readonly signal: string | undefined;
  readonly old: number | undefined;
  readonly new: number | undefined;
  readonly line: Position | undefined;
  readonly oldLine: Position | undefined;
  readonly via: Position | undefined;
  readonly because: string;
}

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

/** The first store after which a signal that ends up different differs. */
interface PartingStore {
  readonly name: string;
  readonly old: number;
  readonly new: number;
  /** The store on each side, if it has one there. */
  readonly oldItem: MemoryItem | undefined;
  readonly newItem: MemoryItem | undefined;
}

/** Steps through both sides' stores in a common order. */
function firstPartingStore(old: readonly NamedStore[], fresh: readonly NamedStore[], match: SignalMatch): PartingStore | undefined {
  const values = new Map<string, readonly [old: number, fresh: number]>();
  const names = (stores: readonly NamedStore[]): string[] => stores.map(({ name }) => name);
  for (const [at, other] of align(names(old), names(fresh))) {
    const oldItem = at === undefined ? undefined : old[at]?.item;
    const newItem = other === undefined ? undefined : fresh[other]?.item;
    const name = (other === undefined ? old[at] : fresh[other])?.name ?? '';
    const before = values.get(name) ?? match.before(name);
    const now = [oldItem?.value ?? before[0], newItem?.value ?? before[1]] as const;
    values.set(name, now);
    if (match.differing.has(name) && !match.same(name, ...now)) return { name, old: now[0], new: now[1], oldItem, newItem };
  }
  return undefined;
}

const sitePosition = (build: TracedBuild, site: number | undefined): Position | undefined =>
  site === undefined ? undefined : positionOf(build, site);

/** Lines of a function that were run in a tree. */
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

/** The declaration of the constant that was read at a site. It stands in no function. */
function declarationOf(build: TracedBuild, site: number | undefined): Position | undefined {
  const global = site === undefined ? undefined : build.sites[site]?.global;
  const name = global === undefined ? undefined : build.binary.globals[global]?.name;
  if (name === undefined) return undefined;
  const slash = name.lastIndexOf('/');
  const file = `${name.slice(0, slash)}.ts`;
  const line = declarationLine(build.sources.get(file) ?? '', name.slice(slash + 1));
  return line === undefined ? undefined : lineAt(build, file, line, '');
}

/** What two builds' sources tell of the lines behind sites. */
class Believer {
  private readonly changes: ReadonlyMap<string, LineMatch>;

  constructor(
    private readonly old: TracedBuild,
    private readonly fresh: TracedBuild,
    private readonly trees: { readonly old: CallTree; readonly new: CallTree },
  ) {
    this.changes = matchSources(old.sources, fresh.sources);
  }

  /** Whether two sites stand in the same line of both sources, changed or not. */
  sameLine(oldSite: number, newSite: number): boolean {
    const [old, fresh] = [sitePosition(this.old, oldSite), sitePosition(this.fresh, newSite)];
    if (old === undefined || fresh === undefined || old.file !== fresh.file) return old === fresh;
    const match = this.changes.get(old.file);
    return match === undefined ? old.line === fresh.line : isSameLine(match, old.line, fresh.line);
  }

  believe({ oldSite, newSite, because }: Origin): Pick<TracedParting, 'line' | 'oldLine' | 'via' | 'because'> {
    const oldLine = sitePosition(this.old, oldSite);
    const traced = sitePosition(this.fresh, newSite) ?? this.inNew(oldLine);
    if (traced === undefined) return { line: undefined, oldLine, via: undefined, because };
    const declared = declarationOf(this.fresh, newSite);
    if (declared !== undefined)
      return { line: declared, oldLine: this.oldDeclaration(oldSite, oldLine), via: traced, because: 'constant whose value differs' };
    const changed = this.isChanged(traced) ? undefined : this.changedBeside(traced);
    if (changed === undefined) return { line: traced, oldLine, via: undefined, because };
    return { line: changed, oldLine, via: traced, because: 'changed line of the function in which the first value differs' };
  }

  private oldDeclaration(site: number | undefined, use: Position | undefined): Position | undefined {
    return use === undefined ? undefined : (declarationOf(this.old, site) ?? use);
  }

  private isChanged({ file, line }: Position): boolean {
    return this.changes.get(file)?.changed.has(line) === true;
  }

  /** The place in the new sources of one in the old ones. */
  private inNew(old: Position | undefined): Position | undefined {
    if (old === undefined) return undefined;
    const line = this.changes.get(old.file)?.newOf.get(old.line) ?? old.line;
    return lineAt(this.fresh, old.file, line, old.function);
  }

  /** The nearest changed line of the same function that was run on either side. */
  private changedBeside(traced: Position): Position | undefined {
    const run = [...linesRun(this.trees.new.root, this.fresh, traced.function).values()];
    const gone = [...linesRun(this.trees.old.root, this.old, traced.function).values()].flatMap((position) => this.inNew(position) ?? []);
    const distance = ({ line }: Position): number => Math.abs(line - traced.line);
    const [nearest] = [...run, ...gone]
      .filter((position) => position.file === traced.file && this.isChanged(position))
      .sort((a, b) => distance(a) - distance(b));
    return nearest;
  }
}

/** Whether a traced run did what the run did that it was taken from. */
const isTrue = (tree: CallTree, after: Uint8Array | undefined): boolean => after === undefined || Buffer.from(tree.memory).equals(after);

/**
 * Runs one call on both sides with everything told, and finds where they part, in the order of evaluation.
 * @param after memories after the call, where it came to its end: a traced run that does something else is not believed
 * @returns undefined if they do not part
 */
export function findParting(
  old: TraceSide,
  fresh: TraceSide,
  call: 'configure' | 'tick',
  match: SignalMatch,
  after?: { readonly old: Uint8Array; readonly new: Uint8Array },
): TracedParting | undefined {
  const trees = { old: traceCall(old.build, old.before, call, old.rows), new: traceCall(fresh.build, fresh.before, call, fresh.rows) };
  const isStop = trees.old.trap !== trees.new.trap;
  // Of a side that stopped, all that it did not come to do would differ.
  const target = isStop
    ? undefined
    : firstPartingStore(storesOf(trees.old.root, match.oldName), storesOf(trees.new.root, match.newName), match);
  if (target === undefined && !isStop) return undefined;
  const found = { signal: target?.name, old: target?.old, new: target?.new };
  if (!isTrue(trees.old, after?.old) || !isTrue(trees.new, after?.new)) {
    return { ...found, line: undefined, oldLine: undefined, via: undefined, because: 'no line: the traced run did not repeat the run' };
  }
  const believer = new Believer(old.build, fresh.build, trees);
  const sameLine = (oldSite: number, newSite: number): boolean => believer.sameLine(oldSite, newSite);
  const slicer = new Slicer(old.build, fresh.build, { old: trees.old.root, new: trees.new.root }, { ...match, sameLine });
  const origin = target === undefined ? slicer.originOfStop() : slicer.originOfStore(target.oldItem, target.newItem);
  return { ...found, ...believer.believe(origin) };
}
