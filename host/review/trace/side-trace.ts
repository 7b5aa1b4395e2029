import type { Activation, Item, MemoryItem, TracedValue } from './call-tree.js';
import { flowOf } from './control.js';
import type { TracedBuild } from './traced-build.js';

/** A value that a step is computed from. */
export interface Leaf {
  /** What it is, and its occurrence number in the step. */
  readonly key: string;
  readonly index: number;
  readonly traced: TracedValue;
}

/** An item that is aligned between the two sides. */
export interface Anchor {
  readonly key: string;
  readonly index: number;
}

/** A store, and its place in the trace. */
export interface StorePlace {
  readonly item: MemoryItem;
  readonly node: Activation;
  readonly index: number;
}

const isAnchor = ({ kind }: Item): boolean => kind === 'set' || kind === 'store' || kind === 'condition' || kind === 'call';

/** Addresses and sizes of records in generated code: they differ between layouts, without meaning anything. */
const LAYOUT_CONSTANT = /^constant assembly\/controller\/generated\/records\/\w+_(AT|BYTES)$/;

/** The trace of one side, divided into steps: a step ends at a local that is set, a store, a condition, a call, or a return. */
export class SideTrace {
  /** Stores by the name of their signal, in order. */
  readonly stores = new Map<string, StorePlace[]>();

  constructor(
    readonly build: TracedBuild,
    root: Activation,
    private readonly nameOf: (address: number) => string | undefined,
  ) {
    this.collectStores(root);
  }

  /** What an item is, in terms that both sides share. */
  keyOf(node: Activation, item: Item): string {
    const { build } = this;
    const { local, global } = build.sites[item.site] ?? {};
    const localName = (): string => build.binary.localNames.get(node.function)?.get(local ?? -1) ?? `${local}`;
    if (item.kind === 'call') return `call ${item.node.name}`;
    if (item.kind === 'load' || item.kind === 'store') return `${item.kind} ${this.nameOf(item.address) ?? ''}`;
    if (item.kind === 'set' || item.kind === 'get') return `${item.kind} ${localName()}`;
    return global === undefined ? item.kind : `constant ${build.binary.globals[global]?.name}`;
  }

  anchors(node: Activation): Anchor[] {
    return node.items.flatMap((item, index) => (isAnchor(item) ? [{ key: this.keyOf(node, item), index }] : []));
  }

  /** First and last item of the step that ends at an item: everything since the last local set, store, or end of a statement. */
  step(node: Activation, end: number): [from: number, to: number] {
    let from = end;
    while (from > 0 && !this.isBoundary(node, from - 1)) from -= 1;
    return [from, Math.min(end, node.items.length - 1)];
  }

  private isBoundary({ items, function: index }: Activation, at: number): boolean {
    const item = items[at] as Item;
    if (item.kind === 'set' || item.kind === 'store') return true;
    // A load by generated code has the site of the call into that code.
    return item.kind !== 'load' && flowOf(this.build.binary, index).ends.has(this.byteOf(item));
  }

  /**
   * Values that the step ending at an item is computed from.
   * @param known locals of the other side: any other local is replaced by what it was computed from
   */
  leavesOf(node: Activation, end: number, known: ReadonlySet<string>): Leaf[] {
    const counts = new Map<string, number>();
    return this.leafIndices(node, end, known).flatMap((index) => {
      const item = node.items[index] as Item;
      const traced = item.kind === 'call' ? item.node.result : item;
      if (traced === undefined) return [];
      const key = this.keyOf(node, item);
      const count = (counts.get(key) ?? 0) + 1;
      counts.set(key, count);
      return [{ key: `${key} ${count}`, index, traced }];
    });
  }

  private leafIndices(node: Activation, end: number, known: ReadonlySet<string>): number[] {
    const [from, to] = this.step(node, end);
    const indices: number[] = [];
    for (let index = from; index <= to; index++) {
      const item = node.items[index] as Item;
      const key = this.keyOf(node, item);
      const isLeaf = ['get', 'load', 'condition', 'call'].includes(item.kind) || key.startsWith('constant');
      if (!isLeaf || index === end || LAYOUT_CONSTANT.test(key)) continue;
      const own = item.kind === 'get' && !known.has(key) ? this.lastSet(node, index) : undefined;
      if (own === undefined) indices.push(index);
      else indices.push(...this.leafIndices(node, own, known));
    }
    return indices;
  }

  /** Keys of all locals that an activation reads. */
  localsOf(node: Activation): Set<string> {
    return new Set(node.items.flatMap((item) => (item.kind === 'get' ? [this.keyOf(node, item)] : [])));
  }

  /** Index of the item that last set the local read at an index. */
  lastSet(node: Activation, index: number): number | undefined {
    const { sites } = this.build;
    const local = sites[node.items[index]?.site ?? -1]?.local;
    for (let at = index - 1; at >= 0; at--) {
      const item = node.items[at];
      if (item?.kind === 'set' && sites[item.site]?.local === local) return at;
    }
    return undefined;
  }

  /**
   * Whether a condition decides if a step runs. In a loop, a condition without a branch back counts only in the step's own round.
   * @param arm `own`: only if the step lies in the condition's own `if`
   */
  decides({ items, function: index }: Activation, condition: number, step: number, arm: 'own' | 'any'): boolean {
    const [at, stepAt] = [this.byteOf(items[condition]), this.byteOf(items[step] ?? items.at(-1))];
    const region = flowOf(this.build.binary, index).regions.get(at);
    if (region === undefined) return false;
    const isLast = (): boolean => items.slice(condition + 1, step).every((item) => item.kind !== 'condition' || this.byteOf(item) !== at);
    if (arm === 'own') return at < stepAt && stepAt <= region.ownTo && isLast();
    return region.from <= stepAt && stepAt <= region.to && (region.from < at || isLast());
  }

  /** Values of a step itself, without calls and without what was computed for earlier conditions, which came out the same. */
  valuesOf(node: Activation, end: number): Item[] {
    const [from, to] = this.step(node, end);
    const items = node.items.slice(from, to + 1).filter(({ kind }) => kind !== 'call');
    return items.slice(items.findLastIndex(({ kind, order }) => kind === 'condition' && order !== node.items[end]?.order) + 1);
  }

  findStore(item: MemoryItem | undefined): StorePlace | undefined {
    return item === undefined ? undefined : [...this.stores.values()].flat().find((one) => one.item === item);
  }

  private byteOf(item: Item | undefined): number {
    return this.build.sites[item?.site ?? -1]?.at ?? -1;
  }

  private collectStores(node: Activation): void {
    for (const [index, item] of node.items.entries()) {
      if (item.kind === 'call') this.collectStores(item.node);
      if (item.kind !== 'store') continue;
      const name = this.nameOf(item.address) ?? '';
      const known = this.stores.get(name);
      if (known === undefined) this.stores.set(name, [{ item, node, index }]);
      else known.push({ item, node, index });
    }
  }
}

/** Index of a local that is set just before a step, by an instruction that also passes the value on to it. */
export function passedOn({ items }: Activation, index: number): number | undefined {
  const [set, item] = [items[index - 1], items[index]];
  return set?.kind === 'set' && item !== undefined && item.kind !== 'call' && item.value === set.value ? index - 1 : undefined;
}
