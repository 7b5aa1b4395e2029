import type { TraceImports } from './instrument.js';
import type { TracedBuild } from './traced-build.js';

interface Event {
  /** Increases from item to item over the whole call. */
  readonly order: number;
  readonly site: number;
}

/** A value, and whether it is a 32-bit integer, which may be an address. */
export interface TracedValue {
  readonly value: number;
  readonly isInteger: boolean;
}

/** An argument, a local, a condition or the result of an instruction. */
export interface ValueItem extends Event, TracedValue {
  readonly kind: 'param' | 'get' | 'set' | 'condition' | 'value';
}

/** A value that was loaded from memory or stored there. */
export interface MemoryItem extends Event, TracedValue {
  readonly kind: 'load' | 'store';
  readonly address: number;
}

export interface CallItem extends Event {
  readonly kind: 'call';
  readonly node: Activation;
}

export type Item = ValueItem | MemoryItem | CallItem;

/** One run of a function, with its events in the order of evaluation. */
export interface Activation {
  readonly function: number;
  readonly name: string;
  readonly items: Item[];
  /** The activation that called it, and the index of the call among its items. */
  readonly parent: Activation | undefined;
  readonly index: number;
  /** Returned value, if any. */
  result: TracedValue | undefined;
  /** Whether it has not returned: an assertion in it, or in a function that it called, failed. */
  isOpen: boolean;
}

export interface CallTree {
  readonly root: Activation;
  /** Memory after the call. */
  readonly memory: Uint8Array;
  readonly trap: string | undefined;
}

/** Functions that read and write records are generated code: their loads and stores are attributed to their caller. */
const GENERATED = 'assembly/controller/generated/';

/** A function that has not returned yet. `site`: the call that led into generated code. */
interface OpenCall {
  readonly node: Activation;
  readonly site: number;
  readonly isGenerated: boolean;
}

/** A tick of 48 rows has some hundred thousand events, and the controller's calls are nested to ten levels. */
const EVENTS_MAX = 3_000_000;
const DEPTH_MAX = 500;

/** Builds a tree from events. What it throws ends the traced call. */
class TreeBuilder {
  readonly root: Activation;
  private readonly open: OpenCall[];
  private left: { readonly node: Activation; readonly at: number | undefined } | undefined;
  private order = 0;
  private events = 0;

  constructor(
    private readonly build: TracedBuild,
    functionIndex: number,
  ) {
    this.root = this.activation(functionIndex, undefined);
    this.open = [{ node: this.root, site: -1, isGenerated: false }];
  }

  /** Every loop and every call comes here: one without end has an end. @throws WebAssembly.RuntimeError */
  count(): void {
    this.events += 1;
    if (this.events > EVENTS_MAX) throw new WebAssembly.RuntimeError('too many steps to trace');
  }

  enter(site: number): void {
    this.count();
    if (this.open.length > DEPTH_MAX) throw new WebAssembly.RuntimeError('calls are nested too deeply to trace');
    const { callee = 0 } = this.build.sites[site] ?? {};
    const top = this.top();
    // Calls within generated code belong to the call that led into it.
    if (top.isGenerated) this.open.push(top);
    else if (this.nameOf(callee).startsWith(GENERATED)) this.open.push({ node: top.node, site, isGenerated: true });
    else {
      const node = this.activation(callee, top.node);
      top.node.items.push({ kind: 'call', site, node, order: this.order++ });
      this.open.push({ node, site, isGenerated: false });
    }
  }

  leave(site: number): void {
    const left = this.open.pop();
    if (left === undefined || left.isGenerated) return;
    left.node.isOpen = false;
    this.left = { node: left.node, at: this.build.sites[site]?.at };
  }

  value(value: number, isInteger: boolean, site: number): void {
    this.count();
    const { node, isGenerated } = this.top();
    if (isGenerated) return;
    const { kind, at } = this.build.sites[site] ?? { kind: 'value', at: -1 };
    // The result of a call is reported right after its end.
    if (this.left?.at === at) this.left.node.result = { value, isInteger };
    this.left = undefined;
    node.items.push({ kind: kind as ValueItem['kind'], site, value, isInteger, order: this.order++ });
  }

  memory(kind: MemoryItem['kind'], address: number, value: number, isInteger: boolean, site: number): void {
    this.count();
    const { node, isGenerated, site: caller } = this.top();
    node.items.push({ kind, site: isGenerated ? caller : site, address, value, isInteger, order: this.order++ });
  }

  private top(): OpenCall {
    const top = this.open.at(-1);
    if (top === undefined) throw new Error('more calls end than start');
    return top;
  }

  private nameOf(index: number): string {
    return this.build.binary.functions[index]?.name ?? '';
  }

  private activation(index: number, parent: Activation | undefined): Activation {
    const at = parent?.items.length ?? 0;
    return { function: index, name: this.nameOf(index), items: [], parent, index: at, result: undefined, isOpen: true };
  }
}

/** The builder's methods as imports of the instrumented binary. 64-bit integers arrive as BigInt. */
function importsFor(tree: TreeBuilder): TraceImports {
  const value =
    (isInteger: boolean) =>
    <Value>(given: Value, site: number): Value => {
      tree.value(Number(given), isInteger, site);
      return given;
    };
  const load =
    (isInteger: boolean) =>
    <Value>(given: Value, address: number, site: number): Value => {
      tree.memory('load', address, Number(given), isInteger, site);
      return given;
    };
  const store =
    (isInteger: boolean) =>
    (address: number, given: unknown, site: number): void =>
      tree.memory('store', address, Number(given), isInteger, site);
  const [valueElse, loadElse, storeElse] = [value(false), load(false), store(false)];
  return {
    round: () => tree.count(),
    enter: (site: number) => tree.enter(site),
    leave: (site: number) => tree.leave(site),
    ...{ value_i32: value(true), value_i64: valueElse, value_f32: valueElse, value_f64: valueElse },
    ...{ load_i32: load(true), load_i64: loadElse, load_f32: loadElse, load_f64: loadElse },
    ...{ store_i32: store(true), store_i64: storeElse, store_f32: storeElse, store_f64: storeElse },
  };
}

interface ControllerExports {
  readonly memory: WebAssembly.Memory;
  readonly configure: (rows: number) => number;
  readonly tick: () => void;
}

/** Runs one call on a copy of memory and records everything that happens in it. */
export function traceCall(build: TracedBuild, before: Uint8Array, call: 'configure' | 'tick', rows: number): CallTree {
  const index = build.binary.exports.find(({ name }) => name === call)?.index;
  if (index === undefined) throw new Error(`the controller exports no ${call}`);
  const tree = new TreeBuilder(build, index);
  const { exports } = new WebAssembly.Instance(build.module, { trace: importsFor(tree) });
  const { memory, configure, tick } = exports as unknown as ControllerExports;
  new Uint8Array(memory.buffer).set(before);
  let trap: string | undefined;
  try {
    if (call === 'tick') tick();
    else configure(rows);
    tree.root.isOpen = false;
  } catch (error) {
    if (!(error instanceof WebAssembly.RuntimeError)) throw error;
    trap = error.message;
  }
  return { root: tree.root, memory: new Uint8Array(memory.buffer).slice(), trap };
}
