import { oncePer } from '../../common/once.js';
import type { Operator, WasmBinary } from './binary.js';

/*
 * Which instructions of a function a condition controls. In structured code these are the ones inside its `if`, or up to the target
 * of its branch. If a branch or a return among them leads further, those up to its target are included, and so on.
 */

/** Byte offsets in the binary, from the condition's instruction on. */
export interface Region {
  readonly from: number;
  readonly to: number;
  /** End of the condition's own `if`; for a branch, the branch itself. */
  readonly ownTo: number;
}

export interface Flow {
  /** By the offset of the condition's instruction. */
  readonly regions: ReadonlyMap<number, Region>;
  /** Offsets of conditions and calls that end a statement: they leave no value, or it is dropped. */
  readonly ends: ReadonlySet<number>;
}

/** WebAssembly Core Specification 1.0, §5.4.1. */
const OP = {
  ...{ block: 0x02, loop: 0x03, if: 0x04, end: 0x0b },
  ...{ br: 0x0c, brIf: 0x0d, brTable: 0x0e, return: 0x0f, call: 0x10, drop: 0x1a },
} as const;
const NO_RESULT = -0x40;

interface Block {
  readonly start: number;
  readonly code: number;
  readonly hasResult: boolean;
  end: number;
}

/** A branch and its target: the end of the block, or the start of a loop. */
interface Branch {
  readonly at: number;
  readonly to: Block;
}

interface Scan {
  readonly blocks: readonly Block[];
  readonly branches: readonly Branch[];
  readonly ends: ReadonlySet<number>;
}

function scan(operators: readonly Operator[], isVoidCall: (index: number) => boolean): Scan {
  const whole: Block = { start: operators[0]?.start ?? 0, code: OP.block, hasResult: false, end: Number.POSITIVE_INFINITY };
  const open = [whole];
  const blocks: Block[] = [];
  const branches: Branch[] = [];
  const ends = new Set<number>();
  for (const [index, { start, info }] of operators.entries()) {
    const { code, blockType, brDepth = 0, brTable } = info;
    // Code in a block with a result is part of an expression.
    const isStatement = open.every(({ hasResult }) => !hasResult);
    if (code === OP.block || code === OP.loop || code === OP.if) {
      const block = { start, code, hasResult: blockType?.kind !== NO_RESULT, end: start };
      if (code === OP.if && isStatement && !block.hasResult) ends.add(start);
      open.push(block);
      blocks.push(block);
    } else if (code === OP.end) (open.pop() ?? whole).end = start;
    const depths = code === OP.brTable ? (brTable ?? []) : code === OP.br || code === OP.brIf ? [brDepth] : [];
    for (const depth of depths) branches.push({ at: start, to: open.at(-1 - depth) ?? whole });
    if (code === OP.return) branches.push({ at: start, to: whole });
    if (!isStatement) continue;
    const last = operators[index - 1];
    if (code === OP.brIf || (code === OP.call && isVoidCall(info.funcIndex ?? -1))) ends.add(start);
    if (code === OP.drop && last?.info.code === OP.call) ends.add(last.start);
  }
  return { blocks, branches, ends };
}

function regionFrom(at: number, ownTo: number, branches: readonly Branch[]): Region {
  let [from, to] = [at, ownTo];
  for (;;) {
    const reached = branches.filter((branch) => from <= branch.at && branch.at <= to);
    const next = Math.max(to, ...reached.map((branch) => branch.to.end));
    const first = Math.min(from, ...reached.flatMap(({ to: block }) => (block.code === OP.loop ? [block.start] : [])));
    if (next === to && first === from) return { from, to, ownTo };
    [from, to] = [first, next];
  }
}

const flowsOf = oncePer((_binary: WasmBinary) => new Map<number, Flow>());

/** Conditions and statements of a function. */
export function flowOf(binary: WasmBinary, index: number): Flow {
  const known = flowsOf(binary).get(index);
  if (known !== undefined) return known;
  const operators = binary.bodies[index]?.operators ?? [];
  const isVoidCall = (callee: number): boolean => binary.types[binary.functions[callee]?.type ?? -1]?.results.length === 0;
  const { blocks, branches, ends } = scan(operators, isVoidCall);
  const ifs = blocks.filter(({ code }) => code === OP.if).map(({ start, end }) => [start, end] as const);
  const brIfs = operators.filter(({ info }) => info.code === OP.brIf).map(({ start }) => [start, start] as const);
  const regions = new Map([...ifs, ...brIfs].map(([at, ownTo]) => [at, regionFrom(at, ownTo, branches)]));
  const flow = { regions, ends };
  flowsOf(binary).set(index, flow);
  return flow;
}
