import { diffArrays } from 'diff';
import { type Activation, type CallItem, type CallTree, type Item, type StoreItem, traceCall } from './call-tree.js';
import { declarationLine, type LineMatch, matchSources } from './source-lines.js';
import { type Position, positionOf, type TracedBuild } from './traced-build.js';

/** What the caller knows of the two memories. */
export interface SignalMatch {
  /** Name of the signal at an address, the same for both sides; undefined for what only one of them has. */
  readonly oldName: (address: number) => string | undefined;
  readonly newName: (address: number) => string | undefined;
  /** Whether two values of a signal are the same. */
  readonly same: (name: string, old: number, fresh: number) => boolean;
  /** Values before the call. */
  readonly before: (name: string) => readonly [old: number, fresh: number];
  /** Signals whose values differ after the call. */
  readonly differing: ReadonlySet<string>;
  /** Whether two numbers are addresses of the same record. */
  readonly sameRecord: (old: number, fresh: number) => boolean;
}

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
  readonly item: StoreItem;
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
  readonly oldItem: StoreItem | undefined;
  readonly newItem: StoreItem | undefined;
}

/** Steps through both sides' stores in a common order. */
function firstPartingStore(old: readonly NamedStore[], fresh: readonly NamedStore[], match: SignalMatch): PartingStore | undefined {
  const values = new Map<string, [number, number]>();
  let [at, other] = [0, 0];
  const step = (oldStore: NamedStore | undefined, newStore: NamedStore | undefined): PartingStore | undefined => {
    const name = (newStore ?? oldStore)?.name ?? '';
    const now = values.get(name) ?? ([...match.before(name)] as [number, number]);
    if (oldStore !== undefined) now[0] = oldStore.item.value;
    if (newStore !== undefined) now[1] = newStore.item.value;
    values.set(name, now);
    if (!match.differing.has(name) || match.same(name, ...now)) return undefined;
    return { name, old: now[0], new: now[1], oldItem: oldStore?.item, newItem: newStore?.item };
  };
  for (const { added, removed, count } of diffArrays(
    old.map(({ name }) => name),
    fresh.map(({ name }) => name),
  )) {
    for (let index = 0; index < count; index++) {
      const found = step(added ? undefined : old[at], removed ? undefined : fresh[other]);
      if (found !== undefined) return found;
      if (!added) at += 1;
      if (!removed) other += 1;
    }
  }
  return undefined;
}

/** What makes the believed line, before the sources are looked at: sites of each side, and why. */
interface Cause {
  readonly newSite: number | undefined;
  readonly oldSite: number | undefined;
  readonly because: string;
}

/** Compares two call trees from the top down. */
class TreeComparer {
  constructor(
    private readonly old: TracedBuild,
    private readonly fresh: TracedBuild,
    private readonly match: SignalMatch,
    private readonly target: PartingStore | undefined,
  ) {}

  /** The first thing in two runs of a function that leads to what differs. */
  cause(old: Activation, fresh: Activation): Cause | undefined {
    const steps = this.align(old, fresh);
    let [oldFrom, newFrom] = [0, 0];
    for (const [oldAt, newAt] of steps) {
      const oldItem = oldAt === undefined ? undefined : old.items[oldAt];
      const newItem = newAt === undefined ? undefined : fresh.items[newAt];
      if (oldItem === undefined || newItem === undefined) {
        const alone = this.alone(oldItem, newItem);
        if (alone !== undefined) return alone;
        continue;
      }
      const found = this.pair(oldItem, newItem, () =>
        this.firstValue(old.items.slice(oldFrom, (oldAt ?? 0) + 1), fresh.items.slice(newFrom, (newAt ?? 0) + 1)),
      );
      if (found !== undefined) return found;
      [oldFrom, newFrom] = [(oldAt ?? 0) + 1, (newAt ?? 0) + 1];
    }
    // Both did the same, as far as one of them came.
    if (old.isOpen === fresh.isOpen) return undefined;
    return { oldSite: old.items.at(-1)?.site, newSite: fresh.items.at(-1)?.site, because: 'where one side stops' };
  }

  /** Anchors of both sides in a common order: index of each in its side's items. */
  private align(old: Activation, fresh: Activation): (readonly [number | undefined, number | undefined])[] {
    const oldAnchors = this.anchors(old, this.old, this.match.oldName);
    const newAnchors = this.anchors(fresh, this.fresh, this.match.newName);
    let [at, other] = [0, 0];
    return diffArrays(
      oldAnchors.map(({ key }) => key),
      newAnchors.map(({ key }) => key),
    ).flatMap(({ added, removed, count }) =>
      Array.from({ length: count }, () => {
        const oldIndex = added ? undefined : oldAnchors[at++]?.index;
        return [oldIndex, removed ? undefined : newAnchors[other++]?.index] as const;
      }),
    );
  }

  private anchors(node: Activation, build: TracedBuild, nameOf: SignalMatch['oldName']): { key: string; index: number }[] {
    const names = build.binary.localNames.get(node.function);
    return node.items.flatMap((item, index) => {
      const local = build.sites[item.site]?.local;
      if (item.kind === 'call') return { key: `call ${item.node.name}`, index };
      if (item.kind === 'store') return { key: `store ${nameOf(item.address) ?? ''}`, index };
      if (item.kind === 'set') return { key: `set ${(local === undefined ? undefined : names?.get(local)) ?? local}`, index };
      return item.kind === 'condition' ? { key: 'condition', index } : [];
    });
  }

  private isSame(old: number, fresh: number): boolean {
    return Object.is(old, fresh) || this.match.sameRecord(old, fresh);
  }

  /** What the same kind of step shows on both sides. @param firstValue the first value since the last step that differs */
  private pair(old: Item, fresh: Item, firstValue: () => Cause): Cause | undefined {
    if (old.kind === 'call' && fresh.kind === 'call') {
      if (!this.sameParams(old.node, fresh.node)) return firstValue();
      if (!this.differs(old, fresh)) return undefined;
      return this.cause(old.node, fresh.node) ?? { oldSite: old.site, newSite: fresh.site, because: 'what it calls differs' };
    }
    if (old.kind === 'call' || fresh.kind === 'call') return undefined;
    if (old.kind !== 'store' || fresh.kind !== 'store') return this.isSame(old.value, fresh.value) ? undefined : firstValue();
    const name = this.match.newName(fresh.address);
    if (name === undefined || !this.match.differing.has(name) || this.match.same(name, old.value, fresh.value)) return undefined;
    return firstValue();
  }

  /** A step that only one side takes counts if it is what makes the difference. */
  private alone(old: Item | undefined, fresh: Item | undefined): Cause | undefined {
    const { oldItem, newItem } = this.target ?? {};
    if (fresh !== undefined && newItem !== undefined && oldItem === undefined && holds(fresh, newItem))
      return { oldSite: undefined, newSite: newItem.site, because: 'only the new build stores it here' };
    if (old !== undefined && oldItem !== undefined && newItem === undefined && holds(old, oldItem))
      return { oldSite: oldItem.site, newSite: undefined, because: 'only the old build stores it, here' };
    return undefined;
  }

  private sameParams(old: Activation, fresh: Activation): boolean {
    const params = ({ items }: Activation): number[] => items.flatMap((item) => (item.kind === 'param' ? [item.value] : []));
    const others = params(fresh);
    return params(old).every((value, index) => this.isSame(value, others[index] ?? Number.NaN));
  }

  /** Whether two calls with the same arguments come to something else: what they return, what they store, or no end. */
  private differs(old: CallItem, fresh: CallItem): boolean {
    if (old.node.isOpen !== fresh.node.isOpen) return true;
    const result = ({ node }: CallItem): number => node.result ?? 0;
    if (!this.isSame(result(old), result(fresh))) return true;
    const stores = storesOf(old.node, this.match.oldName);
    const others = storesOf(fresh.node, this.match.newName);
    if (stores.length !== others.length) return true;
    return stores.some(({ name, item }, index) => {
      const other = others[index];
      return name !== other?.name || (this.match.differing.has(name) && !this.match.same(name, item.value, other.item.value));
    });
  }

  /** Of two runs of steps that end in values that differ, the first value that does. */
  private firstValue(old: readonly Item[], fresh: readonly Item[]): Cause {
    const plain = (items: readonly Item[]) => items.filter((item) => item.kind !== 'call');
    const others = plain(old);
    const values = plain(fresh);
    for (const [index, item] of values.entries()) {
      const other = others[index];
      if (other === undefined || other.kind !== item.kind)
        return { oldSite: other?.site, newSite: item.site, because: 'what it is worked out from differs' };
      if (this.isSame(other.value, item.value)) continue;
      return { oldSite: other.site, newSite: item.site, because: 'its value differs first' };
    }
    return { oldSite: old.at(-1)?.site, newSite: fresh.at(-1)?.site, because: 'its values differ, though nothing before it does' };
  }
}

/** Whether a step is a store, or a call in which it happens. */
function holds(item: Item, store: StoreItem): boolean {
  if (item.kind !== 'call') return item === store;
  return item.node.items.some((inner) => holds(inner, store));
}

const sitePosition = (build: TracedBuild, site: number | undefined): Position | undefined =>
  site === undefined ? undefined : positionOf(build, site);

/** Lines of a tree that were run, by file; each with the last of its sites. */
function linesRun(node: Activation, build: TracedBuild, into = new Map<string, Position>()): Map<string, Position> {
  for (const item of node.items) {
    const position = sitePosition(build, item.site);
    if (position !== undefined) into.set(`${position.file}:${position.line}`, position);
    if (item.kind === 'call') linesRun(item.node, build, into);
  }
  return into;
}

const lineAt = ({ sources }: TracedBuild, file: string, line: number, inside: string): Position | undefined => {
  const text = sources.get(file)?.split('\n')[line - 1];
  return text === undefined ? undefined : { file, line, column: text.search(/\S|$/) + 1, function: inside, text };
};

/** The declaration of the constant that was read at a site. */
function declarationOf(build: TracedBuild, site: number | undefined, use: Position): Position | undefined {
  const global = site === undefined ? undefined : build.sites[site]?.global;
  const name = global === undefined ? undefined : build.binary.globals[global]?.name;
  if (name === undefined) return undefined;
  const slash = name.lastIndexOf('/');
  const file = `${name.slice(0, slash)}.ts`;
  const line = declarationLine(build.sources.get(file) ?? '', name.slice(slash + 1));
  return line === undefined ? undefined : lineAt(build, file, line, use.function);
}

/** Finds the believed line of a cause, with the help of what was changed in the sources. */
class Believer {
  private readonly changes: ReadonlyMap<string, LineMatch>;

  constructor(
    private readonly old: TracedBuild,
    private readonly fresh: TracedBuild,
    private readonly trees: { readonly old: CallTree; readonly new: CallTree },
  ) {
    this.changes = matchSources(old.sources, fresh.sources);
  }

  believe({ oldSite, newSite, because }: Cause): Pick<TracedParting, 'line' | 'oldLine' | 'via' | 'because'> {
    const oldLine = sitePosition(this.old, oldSite);
    const traced = sitePosition(this.fresh, newSite) ?? this.inNew(oldLine);
    if (traced === undefined) return { line: undefined, oldLine, via: undefined, because };
    const declared = declarationOf(this.fresh, newSite, traced);
    if (declared !== undefined) return { line: declared, oldLine, via: traced, because: 'constant whose value differs, used at' };
    if (this.isChanged(traced) || this.changes.size === 0) return { line: traced, oldLine, via: undefined, because };
    const changed = this.changedNear(traced);
    if (changed === undefined) return { line: traced, oldLine, via: undefined, because };
    return { line: changed, oldLine, via: traced, because: 'changed line that was run; the first value to differ is that of' };
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

  /** A changed line that was run in this call on either side: in the same function, or else anywhere; the nearest one. */
  private changedNear(traced: Position): Position | undefined {
    const run = [...linesRun(this.trees.new.root, this.fresh).values()];
    const gone = [...linesRun(this.trees.old.root, this.old).values()].flatMap((position) => this.inNew(position) ?? []);
    const changed = [...run, ...gone].filter((position) => this.isChanged(position));
    const distance = ({ file, line }: Position): number => (file === traced.file ? Math.abs(line - traced.line) : Number.MAX_SAFE_INTEGER);
    const inside = changed.filter((position) => position.function === traced.function && position.file === traced.file);
    const [nearest] = (inside.length > 0 ? inside : changed).sort((a, b) => distance(a) - distance(b));
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
  const target = firstPartingStore(storesOf(trees.old.root, match.oldName), storesOf(trees.new.root, match.newName), match);
  if (target === undefined && trees.old.trap === trees.new.trap) return undefined;
  const found = { signal: target?.name, old: target?.old, new: target?.new };
  if (!isTrue(trees.old, after?.old) || !isTrue(trees.new, after?.new)) {
    return { ...found, line: undefined, oldLine: undefined, via: undefined, because: 'no line: the traced run did not repeat the run' };
  }
  const comparer = new TreeComparer(old.build, fresh.build, match, target);
  const cause = comparer.cause(trees.old.root, trees.new.root) ?? {
    oldSite: target?.oldItem?.site,
    newSite: target?.newItem?.site,
    because: 'where it is stored',
  };
  return { ...found, ...new Believer(old.build, fresh.build, trees).believe(cause) };
}
