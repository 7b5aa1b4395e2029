import { align } from './align.js';
import type { Activation, CallItem, Item, MemoryItem, Told } from './call-tree.js';
import { flowOf, type Region } from './control.js';
import type { TraceMatch } from './signal-match.js';
import type { TracedBuild } from './traced-build.js';

/*
 * From a value that differs back to where the difference begins (a dynamic slice: Korel, Laski 1988, Information Processing
 * Letters 29(3):155-163, here from memory). A step is a local that is set, a store, a condition, a call, or the end of a function.
 * What a step is worked out from, its leaves, are locals, loads, constants, conditions within its expression and results of calls.
 * The first leaf that differs leads on: to the step that set the local, to the store that was loaded, into the call, up to the
 * caller. Where both sides come to the step by other ways, the condition leads on that decided so (control dependence: Ferrante,
 * Ottenstein, Warren 1987, ACM TOPLAS 9(3):319-349, here from memory). Where no leaf differs but the step does, the difference
 * begins. Steps that differ without leading to the value are never looked at.
 */

/** A run of the same function on both sides, or on one of them only. */
interface Frame {
  readonly old: Activation | undefined;
  readonly new: Activation | undefined;
}

/** A step on both sides or one: places among the items of the frame's runs; the end lies behind the last item. */
export interface Step {
  readonly frame: Frame;
  readonly old: number | undefined;
  readonly new: number | undefined;
}

/** Where a difference begins. */
export interface Origin {
  readonly oldSite: number | undefined;
  readonly newSite: number | undefined;
  readonly because: string;
}

/** What a step is worked out from. */
interface Leaf {
  /** What it is, and the how manieth of that in its step. */
  readonly key: string;
  readonly place: number;
  readonly told: Told;
}

const isAnchor = ({ kind }: Item): boolean => kind === 'set' || kind === 'store' || kind === 'condition' || kind === 'call';

/** Where generated code puts records, and how large they are: that differs with the layout, without meaning anything. */
const LAYOUT_CONSTANT = /^constant assembly\/controller\/generated\/records\/\w+_(AT|BYTES)$/;

/** Further than this no difference is followed. */
const STEPS_MOST = 500;

/** One side of both. */
interface Side {
  readonly build: TracedBuild;
  readonly nameOf: (address: number) => string | undefined;
}

export class Slicer {
  private readonly sides: { readonly old: Side; readonly new: Side };
  private readonly aligned = new Map<Activation, ReadonlyMap<number, number>>();
  private readonly stores: { readonly old: ReadonlyMap<string, MemoryPlace[]>; readonly new: ReadonlyMap<string, MemoryPlace[]> };
  private left = STEPS_MOST;

  constructor(
    old: TracedBuild,
    fresh: TracedBuild,
    private readonly root: { readonly old: Activation; readonly new: Activation },
    private readonly match: TraceMatch,
  ) {
    this.sides = { old: { build: old, nameOf: match.oldName }, new: { build: fresh, nameOf: match.newName } };
    this.stores = { old: storesByName(root.old, match.oldName), new: storesByName(root.new, match.newName) };
  }

  /** Where the difference of a store begins. */
  originOfStore(old: MemoryItem | undefined, fresh: MemoryItem | undefined): Origin {
    const find = (stores: ReadonlyMap<string, MemoryPlace[]>, item: MemoryItem | undefined) =>
      item === undefined ? undefined : [...stores.values()].flat().find((one) => one.item === item);
    const [oldPlace, newPlace] = [find(this.stores.old, old), find(this.stores.new, fresh)];
    return this.origin(this.resolve(oldPlace, newPlace), { oldSite: old?.site, newSite: fresh?.site });
  }

  /** Where the difference begins of which one side stops. */
  originOfStop(): Origin {
    const stopped = (node: Activation | undefined): Activation | 'any' => {
      const last = node?.items.at(-1);
      return last?.kind === 'call' && last.node.isOpen ? last.node : 'any';
    };
    const end = (node: Activation | undefined): number => node?.items.length ?? 0;
    let frame: Frame = this.root;
    for (;;) {
      const { old, new: fresh } = frame;
      const next = this.next(frame, stopped(old), stopped(fresh));
      const own = { oldSite: old?.items.at(-1)?.site, newSite: fresh?.items.at(-1)?.site };
      if (next === undefined) {
        const failed = this.lastBranch(frame);
        return failed === undefined ? this.control(frame, end(old), end(fresh), own) : this.origin(failed, own);
      }
      frame = next;
    }
  }

  private origin(step: Step, fallback: Omit<Origin, 'because'>): Origin {
    this.left -= 1;
    const { frame, old, new: fresh } = step;
    const own = this.ownSites(step, fallback);
    if (this.left <= 0) return { ...own, because: 'where the search was given up' };
    if (old === undefined || fresh === undefined || frame.old === undefined || frame.new === undefined)
      return this.control(frame, old, fresh, own);
    // Both arms of a condition may stand in one line.
    const branch = this.firstBranch(frame, old, fresh, this.isSameStatement(own) ? 'own' : 'any');
    if (branch !== undefined) return this.origin(branch, own);
    const leaves = this.leavesOf(this.sides.old, frame.old, old, this.localsOf(this.sides.new, frame.new));
    for (const leaf of this.leavesOf(this.sides.new, frame.new, fresh, this.localsOf(this.sides.old, frame.old))) {
      const other = leaves.find(({ key }) => key === leaf.key);
      if (other !== undefined && !this.isSame(other.told, leaf.told)) return this.follow(frame, other, leaf, own);
    }
    const [oldSet, newSet] = [this.passedOn(frame.old, old), this.passedOn(frame.new, fresh)];
    if (oldSet !== undefined && newSet !== undefined) return this.origin({ frame, old: oldSet, new: newSet }, own);
    return this.begin(frame, old, fresh, own);
  }

  /** A local that was set just before a step, by an instruction that passes its value on to it. */
  private passedOn({ items }: Activation, place: number): number | undefined {
    const [set, item] = [items[place - 1], items[place]];
    return set?.kind === 'set' && item !== undefined && item.kind !== 'call' && item.value === set.value ? place - 1 : undefined;
  }

  /** Sites of a step itself. */
  private ownSites({ frame, old, new: fresh }: Step, fallback: Omit<Origin, 'because'>): Omit<Origin, 'because'> {
    const site = (node: Activation | undefined, place: number | undefined): number | undefined =>
      place === undefined ? undefined : (node?.items[place] ?? node?.items.at(-1))?.site;
    return { oldSite: site(frame.old, old) ?? fallback.oldSite, newSite: site(frame.new, fresh) ?? fallback.newSite };
  }

  /** Whether both sites stand in what is the same statement in both sources, whether changed or not. */
  private isSameStatement({ oldSite, newSite }: Omit<Origin, 'because'>): boolean {
    return oldSite !== undefined && newSite !== undefined && this.match.sameLine(oldSite, newSite);
  }

  private isSame(old: Told, fresh: Told | undefined): boolean {
    if (fresh === undefined || Object.is(old.value, fresh.value)) return fresh !== undefined;
    return old.isInteger && fresh.isInteger && this.match.sameRecord(old.value, fresh.value);
  }

  private hasSameParams(old: Activation, fresh: Activation): boolean {
    const params = ({ items }: Activation): Told[] => items.flatMap((item) => (item.kind === 'param' ? [item] : []));
    const others = params(fresh);
    return params(old).every((told, index) => this.isSame(told, others[index]));
  }

  /** Only one side comes here, or each by another way: what branched them. */
  private control(frame: Frame, old: number | undefined, fresh: number | undefined, own: Omit<Origin, 'because'>): Origin {
    const branch = this.firstBranch(frame, old ?? Number.POSITIVE_INFINITY, fresh ?? Number.POSITIVE_INFINITY);
    if (branch !== undefined) return this.origin(branch, own);
    // An address or an index that came from outside may have led elsewhere.
    const { old: a, new: b } = frame;
    if (a?.parent !== undefined && b?.parent !== undefined && !this.hasSameParams(a, b))
      return this.origin({ frame: { old: a.parent, new: b.parent }, old: a.place, new: b.place }, own);
    const because =
      fresh === undefined
        ? 'only the old build does this, here'
        : old === undefined
          ? 'only the new build does this'
          : 'each side comes here its own way';
    return { ...own, because };
  }

  /** The last condition of the side that stopped, which its assertion is, where it comes out otherwise on the other side. */
  private lastBranch(frame: Frame): Step | undefined {
    const branches = this.branches(frame);
    const last = branches.at(-1);
    const stopped = frame.new?.isOpen === true ? 'new' : 'old';
    const conditions = frame[stopped]?.items.findLastIndex(({ kind }) => kind === 'condition');
    return last?.[stopped] === conditions ? last : undefined;
  }

  /** Conditions that come out otherwise, in order. */
  private branches(frame: Frame): Step[] {
    return [...this.oldOf(frame)].flatMap(([newPlace, oldPlace]) => {
      const [a, b] = [frame.old?.items[oldPlace], frame.new?.items[newPlace]];
      const isOther = a?.kind === 'condition' && b?.kind === 'condition' && (a.value !== 0) !== (b.value !== 0);
      return isOther ? [{ frame, old: oldPlace, new: newPlace }] : [];
    });
  }

  /**
   * The first condition before a step that comes out otherwise and that decides on the step, on one of both sides.
   * @param arm `own`: only a condition in whose own `if` the step stands
   */
  private firstBranch(frame: Frame, old: number, fresh: number, arm: 'own' | 'any' = 'any'): Step | undefined {
    const decides = (side: Side, node: Activation | undefined, branch: number | undefined, place: number): boolean =>
      node !== undefined && branch !== undefined && Number.isFinite(place) && this.decides(side, node, branch, place, arm);
    return this.branches(frame).find(
      (step) =>
        (step.new ?? 0) < fresh &&
        (step.old ?? 0) < old &&
        (decides(this.sides.old, frame.old, step.old, old) || decides(this.sides.new, frame.new, step.new, fresh)),
    );
  }

  /** Whether a condition decides on a step: in a loop without a way back from it only as it came out last. */
  private decides({ build }: Side, { items, function: index }: Activation, branch: number, place: number, arm: 'own' | 'any'): boolean {
    const atOf = (item: Item | undefined): number => build.sites[item?.site ?? -1]?.at ?? -1;
    const [at, stepAt] = [atOf(items[branch]), atOf(items[place] ?? items.at(-1))];
    const region: Region | undefined = flowOf(build.binary, index).regions.get(at);
    if (region === undefined) return false;
    const isLast = (): boolean => items.slice(branch + 1, place).every((item) => item.kind !== 'condition' || atOf(item) !== at);
    if (arm === 'own') return at < stepAt && stepAt <= region.ownTo && isLast();
    return region.from <= stepAt && stepAt <= region.to && (region.from < at || isLast());
  }

  /** Steps of both sides that belong together: place on the new side → place on the old one, in order. */
  private oldOf({ old, new: fresh }: Frame): ReadonlyMap<number, number> {
    if (old === undefined || fresh === undefined) return new Map();
    const known = this.aligned.get(fresh);
    if (known !== undefined) return known;
    const pairs = new Map<number, number>();
    const [a, b] = [this.anchors(this.sides.old, old), this.anchors(this.sides.new, fresh)];
    const keys = (anchors: readonly { key: string }[]): string[] => anchors.map(({ key }) => key);
    for (const [at, other] of align(keys(a), keys(b))) {
      if (at !== undefined && other !== undefined) pairs.set(b[other]?.place ?? -1, a[at]?.place ?? -1);
    }
    this.aligned.set(fresh, pairs);
    return pairs;
  }

  private anchors(side: Side, { items, function: index }: Activation): { key: string; place: number }[] {
    return items.flatMap((item, place) => (isAnchor(item) ? [{ key: this.keyOf(side, index, item), place }] : []));
  }

  /** What an item is, in words that both sides have in common. */
  private keyOf({ build, nameOf }: Side, index: number, item: Item): string {
    const { local, global } = build.sites[item.site] ?? {};
    const localName = (): string => build.binary.localNames.get(index)?.get(local ?? -1) ?? `${local}`;
    if (item.kind === 'call') return `call ${item.node.name}`;
    if (item.kind === 'load' || item.kind === 'store') return `${item.kind} ${nameOf(item.address) ?? ''}`;
    if (item.kind === 'set' || item.kind === 'get') return `${item.kind} ${localName()}`;
    return global === undefined ? item.kind : `constant ${build.binary.globals[global]?.name}`;
  }

  /** Items that a step is worked out from: those since the last local that was set, the last store, and the last statement's end. */
  private segment(side: Side, node: Activation, end: number): [from: number, to: number] {
    let from = end;
    while (from > 0 && !this.isBoundary(side, node, from - 1)) from -= 1;
    return [from, Math.min(end, node.items.length - 1)];
  }

  private isBoundary({ build }: Side, { items, function: index }: Activation, place: number): boolean {
    const item = items[place] as Item;
    if (item.kind === 'set' || item.kind === 'store') return true;
    // Of what generated code loads, the site is the call into it.
    return item.kind !== 'load' && flowOf(build.binary, index).ends.has(build.sites[item.site]?.at ?? -1);
  }

  /** Leaves of a step. A local that the other side does not have stands for what it was worked out from. */
  private leavesOf(side: Side, node: Activation, end: number, known: ReadonlySet<string>): Leaf[] {
    const counts = new Map<string, number>();
    return this.leafPlaces(side, node, end, known).flatMap((place) => {
      const item = node.items[place] as Item;
      const told = item.kind === 'call' ? item.node.result : item;
      if (told === undefined) return [];
      const key = this.keyOf(side, node.function, item);
      const count = (counts.get(key) ?? 0) + 1;
      counts.set(key, count);
      return [{ key: `${key} ${count}`, place, told }];
    });
  }

  private leafPlaces(side: Side, node: Activation, end: number, known: ReadonlySet<string>): number[] {
    const [from, to] = this.segment(side, node, end);
    const places: number[] = [];
    for (let place = from; place <= to; place++) {
      const item = node.items[place] as Item;
      const key = this.keyOf(side, node.function, item);
      const isLeaf = ['get', 'load', 'condition', 'call'].includes(item.kind) || key.startsWith('constant');
      if (!isLeaf || place === end || LAYOUT_CONSTANT.test(key)) continue;
      const own = item.kind === 'get' && !known.has(key) ? this.lastSet(side, node, place) : undefined;
      if (own === undefined) places.push(place);
      else places.push(...this.leafPlaces(side, node, own, known));
    }
    return places;
  }

  /** Keys of all locals that a run reads. */
  private localsOf(side: Side, { items, function: index }: Activation): Set<string> {
    return new Set(items.flatMap((item) => (item.kind === 'get' ? [this.keyOf(side, index, item)] : [])));
  }

  /** Place of the step that set the local that is read at a place. */
  private lastSet({ build }: Side, node: Activation, place: number): number | undefined {
    const local = build.sites[node.items[place]?.site ?? -1]?.local;
    for (let at = place - 1; at >= 0; at--) {
      const item = node.items[at];
      if (item?.kind === 'set' && build.sites[item.site]?.local === local) return at;
    }
    return undefined;
  }

  /** From a leaf that differs to what made it. */
  private follow(frame: Frame, old: Leaf, fresh: Leaf, own: Omit<Origin, 'because'>): Origin {
    const [a, b] = [frame.old?.items[old.place], frame.new?.items[fresh.place]];
    const sites = { oldSite: a?.site ?? own.oldSite, newSite: b?.site ?? own.newSite };
    if (a?.kind === 'get' && b?.kind === 'get') return this.followLocal(frame, old.place, fresh.place, sites);
    if (a?.kind === 'call' && b?.kind === 'call') return this.followCall(frame, a, b, sites);
    if (a?.kind === 'load' && b?.kind === 'load') return this.followLoad(a, b, sites);
    if (b?.kind === 'condition') return this.origin({ frame, old: old.place, new: fresh.place }, sites);
    return { ...sites, because: 'constant whose value differs' };
  }

  /** To the step that set a local last; an argument is set by the caller. */
  private followLocal(frame: Frame, old: number, fresh: number, sites: Omit<Origin, 'because'>): Origin {
    const oldSet = frame.old === undefined ? undefined : this.lastSet(this.sides.old, frame.old, old);
    const newSet = frame.new === undefined ? undefined : this.lastSet(this.sides.new, frame.new, fresh);
    if (oldSet !== undefined || newSet !== undefined) return this.origin({ frame, old: oldSet, new: newSet }, sites);
    const caller = { old: frame.old?.parent, new: frame.new?.parent };
    return this.origin({ frame: caller, old: frame.old?.place, new: frame.new?.place }, sites);
  }

  /** Into a call that returns something else; arguments that differ are leaves of their own, and come first. */
  private followCall(frame: Frame, old: CallItem, fresh: CallItem, sites: Omit<Origin, 'because'>): Origin {
    if (!this.hasSameParams(old.node, fresh.node)) return this.begin(frame, old.node.place, fresh.node.place, sites);
    return this.origin({ frame: { old: old.node, new: fresh.node }, old: old.node.items.length, new: fresh.node.items.length }, sites);
  }

  /** To the stores of this call that were loaded; what was there before the call is followed no further. */
  private followLoad(old: MemoryItem, fresh: MemoryItem, sites: Omit<Origin, 'because'>): Origin {
    const name = this.match.newName(fresh.address);
    const last = (stores: MemoryPlace[] | undefined, order: number): MemoryPlace | undefined =>
      stores?.findLast(({ item }) => item.order < order);
    const oldStore = last(this.stores.old.get(name ?? ''), old.order);
    const newStore = last(this.stores.new.get(name ?? ''), fresh.order);
    if (oldStore === undefined && newStore === undefined) return { ...sites, because: `it reads ${name ?? 'what'} that differs already` };
    return this.origin(this.resolve(oldStore, newStore), sites);
  }

  /** The difference begins in this step: the first value in it that differs. */
  private begin(frame: Frame, old: number, fresh: number, own: Omit<Origin, 'because'>): Origin {
    const plain = (side: Side, node: Activation | undefined, end: number): Item[] => {
      if (node === undefined) return [];
      const [from, to] = this.segment(side, node, end);
      const items = node.items.slice(from, to + 1).filter(({ kind }) => kind !== 'call');
      // Conditions before it came out the same: what they were worked out from has done its part.
      return items.slice(items.findLastIndex(({ kind, order }) => kind === 'condition' && order !== node.items[end]?.order) + 1);
    };
    const others = plain(this.sides.old, frame.old, old);
    for (const [index, item] of plain(this.sides.new, frame.new, fresh).entries()) {
      const other = others[index];
      if (item.kind === 'call' || other?.kind === 'call' || other === undefined || other.kind !== item.kind) break;
      if (!this.isSame(other, item)) return { oldSite: other.site, newSite: item.site, because: 'its value differs first' };
    }
    return { ...own, because: 'its values differ, and nothing that it is worked out from does' };
  }

  /** The step of stores in the deepest runs that belong together. */
  private resolve(old: MemoryPlace | undefined, fresh: MemoryPlace | undefined): Step {
    const [oldPath, newPath] = [pathOf(old?.node), pathOf(fresh?.node)];
    let frame: Frame = this.root;
    for (let depth = 1; ; depth++) {
      const [oldNext, newNext] = [oldPath[depth], newPath[depth]];
      const step = { frame, old: oldNext?.place ?? old?.place, new: newNext?.place ?? fresh?.place };
      if (oldNext === undefined && newNext === undefined) return step;
      const next = this.next(frame, old === undefined ? 'any' : oldNext, fresh === undefined ? 'any' : newNext);
      if (next === undefined) return step;
      frame = next;
    }
  }

  /** Runs below a frame that belong together; `any`: whatever belongs to the other side's. */
  private next(frame: Frame, old: Activation | 'any' | undefined, fresh: Activation | 'any' | undefined): Frame | undefined {
    const pairs = this.oldOf(frame);
    const called = (node: Activation | undefined, place: number | undefined): Activation | undefined => {
      const item = place === undefined ? undefined : node?.items[place];
      return item?.kind === 'call' ? item.node : undefined;
    };
    if (old === 'any') {
      const other = fresh === 'any' || fresh === undefined ? undefined : called(frame.old, pairs.get(fresh.place));
      return other === undefined || fresh === 'any' ? undefined : { old: other, new: fresh };
    }
    if (fresh === 'any') {
      const other = called(frame.new, [...pairs].find(([, place]) => place === old?.place)?.[0]);
      return other === undefined ? undefined : { old, new: other };
    }
    if (old === undefined || fresh === undefined || pairs.get(fresh.place) !== old.place) return undefined;
    return { old, new: fresh };
  }
}

/** A store and where it stands. */
interface MemoryPlace {
  readonly item: MemoryItem;
  readonly node: Activation;
  readonly place: number;
}

/** The runs that lead to one, from the outermost on. */
function pathOf(node: Activation | undefined): Activation[] {
  const path: Activation[] = [];
  for (let at = node; at !== undefined; at = at.parent) path.unshift(at);
  return path;
}

function storesByName(
  root: Activation,
  nameOf: (address: number) => string | undefined,
  into = new Map<string, MemoryPlace[]>(),
): Map<string, MemoryPlace[]> {
  for (const [place, item] of root.items.entries()) {
    if (item.kind === 'call') storesByName(item.node, nameOf, into);
    if (item.kind !== 'store') continue;
    const name = nameOf(item.address) ?? '';
    const known = into.get(name);
    if (known === undefined) into.set(name, [{ item, node: root, place }]);
    else known.push({ item, node: root, place });
  }
  return into;
}
