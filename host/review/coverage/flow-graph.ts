import type { Body, Operator } from '../trace/binary.js';

/*
 * Control flow of a function: blocks of instructions that run one after the other, and the branches between them. In WebAssembly all
 * control flow is structured, so one pass finds it (Core Specification 1.0, §3.4 and §4.4.8). Blocks are numbered in the order of
 * their code: only a branch back to a loop leads to an earlier one.
 */

/** Instructions that run one after the other. */
export interface Block {
  /** Offset in the binary at which it starts. */
  readonly at: number;
  readonly instructions: Operator[];
  /** Indices of the functions that it calls. */
  readonly callees: number[];
  /**
   * Numbers of the blocks where it goes on, undefined behind the function. If it ends with a condition, there are two: where it goes
   * if that is true, and if it is false.
   */
  readonly next: (number | undefined)[];
  /** Offset of the instruction that decides. */
  condition?: number;
}

/** WebAssembly Core Specification 1.0, §5.4.1. */
const OP = {
  ...{ unreachable: 0x00, block: 0x02, loop: 0x03, if: 0x04, else: 0x05, end: 0x0b },
  ...{ br: 0x0c, brIf: 0x0d, brTable: 0x0e, return: 0x0f, call: 0x10 },
} as const;

/** A way out of a block, to be linked once its target is known: its number, and the index in `next`. */
type Exit = readonly [block: number, index: number];

/** An open `block`, `loop` or `if`, or the whole function. */
interface Construct {
  /** First block of a loop. */
  readonly loop?: number | undefined;
  /** Exits that lead behind its end. */
  readonly exits: Exit[];
  /** Exit of an `if` whose condition is false, until its `else`. */
  otherwise?: Exit | undefined;
}

class GraphBuilder {
  readonly blocks: Block[] = [];
  private readonly open: Construct[] = [{ exits: [] }];
  /** The number of the last block; undefined behind a branch, where no path leads. */
  private current: number | undefined;

  constructor({ operators }: Body) {
    this.begin(operators[0]?.start ?? 0, []);
    for (const operator of operators) this.take(operator);
  }

  private take(operator: Operator): void {
    const { end, info } = operator;
    if (info.code === OP.else) this.otherwise(end);
    else if (info.code === OP.end) this.close(end);
    else {
      const block = this.blocks[this.current ?? -1];
      // Where no path leads, constructs must still be paired with their ends.
      if (info.code === OP.block || (block === undefined && (info.code === OP.loop || info.code === OP.if))) this.open.push({ exits: [] });
      else if (block !== undefined) this.run(block, operator);
    }
  }

  private run(block: Block, operator: Operator): void {
    const { start, end, info } = operator;
    const { code, brDepth = 0, brTable = [], funcIndex } = info;
    if (code === OP.loop) {
      this.begin(end, [this.exit(0)]);
      this.open.push({ loop: this.current, exits: [] });
      return;
    }
    block.instructions.push(operator);
    if (code === OP.call && funcIndex !== undefined) block.callees.push(funcIndex);
    if (code === OP.if || code === OP.brIf) block.condition = start;
    if (code === OP.if) {
      this.open.push({ exits: [], otherwise: this.exit(1) });
      this.begin(end, [this.exit(0)]);
    } else if (code === OP.brIf) {
      this.branch(brDepth, this.exit(0));
      this.begin(end, [this.exit(1)]);
    } else if (code === OP.br || code === OP.brTable) {
      for (const [index, depth] of (code === OP.br ? [brDepth] : brTable).entries()) this.branch(depth, this.exit(index));
      this.current = undefined;
    } else if (code === OP.return || code === OP.unreachable) this.current = undefined;
  }

  private exit(index: number): Exit {
    return [this.current ?? -1, index];
  }

  /** Begins a block to which exits lead. */
  private begin(at: number, exits: readonly Exit[]): void {
    this.current = this.blocks.push({ at, instructions: [], callees: [], next: [] }) - 1;
    for (const exit of exits) this.link(exit, this.current);
  }

  private link([from, index]: Exit, to: number | undefined): void {
    const block = this.blocks[from];
    if (block !== undefined) block.next[index] = to;
  }

  private branch(depth: number, exit: Exit): void {
    const target = this.open.at(-1 - depth);
    if (target?.loop === undefined) target?.exits.push(exit);
    else this.link(exit, target.loop);
  }

  private otherwise(at: number): void {
    const construct = this.open.at(-1);
    if (this.current !== undefined) construct?.exits.push(this.exit(0));
    this.current = undefined;
    if (construct?.otherwise !== undefined) this.begin(at, [construct.otherwise]);
    if (construct !== undefined) construct.otherwise = undefined;
  }

  private close(at: number): void {
    const { exits = [], otherwise } = this.open.pop() ?? {};
    const all = otherwise === undefined ? exits : [...exits, otherwise];
    if (all.length > 0 && this.open.length > 0) this.begin(at, this.current === undefined ? all : [...all, this.exit(0)]);
  }
}

/** Blocks of a function, the first one first. */
export const blocksOf = (body: Body): readonly Block[] => new GraphBuilder(body).blocks;

/**
 * The immediate dominator of each block: the last one that runs before it on every path; undefined for the first. Cooper, Harvey,
 * Kennedy 2001, "A simple, fast dominance algorithm" (from memory). One pass is enough, since branches back do not count here: a loop
 * is entered only through its first block.
 */
export function dominatorsOf(blocks: readonly Block[]): readonly (number | undefined)[] {
  const dominators: (number | undefined)[] = blocks.map(() => undefined);
  const common = (a: number, b: number): number => {
    let [left, right] = [a, b];
    while (left !== right) {
      if (left > right) left = dominators[left] ?? 0;
      else right = dominators[right] ?? 0;
    }
    return left;
  };
  for (const [from, { next }] of blocks.entries())
    for (const to of next) {
      if (to === undefined || to <= from) continue;
      const known = dominators[to];
      dominators[to] = known === undefined ? from : common(known, from);
    }
  return dominators;
}

/** Whether a path leads from a block to another one without passing a third. */
export function leadsTo(blocks: readonly Block[], from: number | undefined, to: number, without: number): boolean {
  const open = [from];
  const seen = new Set<number>();
  while (open.length > 0) {
    const at = open.pop();
    if (at === to) return true;
    if (at === undefined || at === without || seen.has(at)) continue;
    seen.add(at);
    open.push(...(blocks[at]?.next ?? []));
  }
  return false;
}
