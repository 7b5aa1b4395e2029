import { execFileSync } from 'node:child_process';
import type { Chip, StackEntries } from './chips.js';

/*
 * Bounds the depth of the stack from the machine code, so that functions of the C library and helpers of the compiler are included.
 * Each function is assumed to hold its full frame at every call: the sum of all that its instructions take from the stack. That is an
 * upper bound as long as none of those instructions is in a loop, which is checked. Recursion, calls and jumps through registers,
 * and any other change of the stack pointer are refused, because nothing could be proven then.
 */

export interface StackFunction {
  readonly name: string;
  /** Bytes that the function itself takes from the stack. */
  readonly frame: number;
  /** Functions that it calls, jumps to or falls through to. */
  readonly calls: readonly string[];
}

/** Functions with their frames, from the outermost call to the innermost. */
export type StackPath = readonly { readonly name: string; readonly frame: number }[];

export interface StackBound {
  /** Bytes of the program and of nested interrupts together. */
  readonly total: number;
  /** The deepest call path of the program. */
  readonly path: StackPath;
  /** Bytes for interrupts: what the processor saves, and the deepest handlers. */
  readonly interrupts: number;
}

/** The image uses the stack in a way for which no bound can be proven. */
export class StackUnbounded extends Error {
  /** A property of the image, not a bug of this program: the command ends with exit code 2. */
  readonly isExpected = true;

  constructor(message: string) {
    super(message);
    this.name = 'StackUnbounded';
  }
}

interface Instruction {
  readonly at: number;
  readonly operation: string;
  readonly operands: string;
}

interface Block {
  readonly name: string;
  readonly instructions: Instruction[];
}

const HEAD = /^([0-9a-f]+) <([^>]+)>:$/;
const LINE = /^\s*([0-9a-f]+):\t(\S+)\t?(.*)$/;
/** Target of a jump or call: the last address before a name in angle brackets. */
const TARGET = /(?:^|[\s,])(?:0x)?([0-9a-f]+) <[^>]+>/;
const CONDITION = 'eq|ne|cs|cc|mi|pl|vs|vc|hi|ls|ge|lt|gt|le|hs|lo|eqz|nez|lez|gez|ltz|gtz|ltu|geu|gtu|leu';
const JUMP = new RegExp(`^(b|j|jr|tail|cbz|cbnz|b(${CONDITION}))(\\.[nw])?$`);
const CALL = /^(bl|jal|jalr|call)$/;
/** Instructions that would have to be followed in a conditional block. The compiler has not emitted any so far. */
const CONDITIONAL = new RegExp(`^(v?push|v?pop|bl|blx|bx|tb[bh])(${CONDITION})(\\.[nw])?$`);

function blocksOf(text: string): Block[] {
  const blocks: Block[] = [];
  for (const line of text.split('\n')) {
    const [, , name] = HEAD.exec(line) ?? [];
    if (name !== undefined) blocks.push({ name, instructions: [] });
    const [, at, operation, operands] = LINE.exec(line) ?? [];
    if (at === undefined || operation === undefined || operation.startsWith('.')) continue;
    blocks.at(-1)?.instructions.push({ at: Number.parseInt(at, 16), operation, operands: operands ?? '' });
  }
  // Padding up to the next function's alignment is never executed.
  for (const { instructions } of blocks) while (/^(nop|unimp)$/.test(instructions.at(-1)?.operation ?? '')) instructions.pop();
  return blocks;
}

/** Bytes of a list of registers such as `{r4, r5, lr}` or `{d8-d11}`. */
function registerBytes(list: string): number {
  let bytes = 0;
  for (const one of list.replace(/[{}\s]/g, '').split(',')) {
    const [, kind = 'r', first = '0', , last = first] = /^([rsd])(\d+)(-[rsd](\d+))?$/.exec(one) ?? [];
    bytes += (kind === 'd' ? 8 : 4) * (Number(last) - Number(first) + 1);
  }
  return bytes;
}

/** Bytes that an instruction of an Arm processor takes from the stack. @throws StackUnbounded */
function takenByArm({ operation, operands }: Instruction): number {
  const name = operation.replace(/\.[nw]$/, '');
  if (name === 'push' || name === 'vpush') return registerBytes(operands);
  if (/^v?stmdb$/.test(name) && operands.startsWith('sp!')) return registerBytes(operands.slice(4));
  if (/^subw?s?$/.test(name) && operands.startsWith('sp,')) return immediate(operands);
  const before = /\[sp, #-(\d+)\]!/.exec(operands);
  if (before !== null) return Number(before[1]);
  // These give back: pop, add, load with post-increment.
  if (/^(v?pop|v?ldmia(\.w)?|ldr|ldrd)$/.test(name)) return 0;
  if (/^addw?s?$/.test(name) && /^sp, (sp, )?#\d+/.test(operands)) return 0;
  if (/^sp,/.test(operands) && !/^(cmp|str|strb|strh)/.test(name))
    throw new StackUnbounded(`moves the stack pointer by ${operation} ${operands}`);
  return 0;
}

/** The same for RISC-V. */
function takenByRiscV({ operation, operands }: Instruction): number {
  if (!operands.startsWith('sp,') || /^f?s[bhw]$/.test(operation)) return 0;
  const [, bytes] = /^addi?$/.test(operation) ? (/^sp,sp,(-?\d+)$/.exec(operands) ?? []) : [];
  if (bytes === undefined) throw new StackUnbounded(`moves the stack pointer by ${operation} ${operands}`);
  return Math.max(0, -Number(bytes));
}

function immediate(operands: string): number {
  const [, bytes] = /#(\d+)/.exec(operands) ?? [];
  if (bytes === undefined) throw new StackUnbounded(`moves the stack pointer by ${operands}`);
  return Number(bytes);
}

/** Whether this is a jump or call through a register, other than a return. */
function isIndirect({ operation, operands }: Instruction, isRiscV: boolean): boolean {
  if (isRiscV) return /^(jr|jalr)$/.test(operation) && !/<[^>]+>/.test(operands);
  const name = operation.replace(/\.[nw]$/, '');
  if (name === 'bx') return operands.trim() !== 'lr';
  if (/^pc, \[sp\], #4/.test(operands)) return false;
  return name === 'blx' || /^tb[bh]$/.test(name) || (/^(mov|ldr|add)/.test(name) && /^pc,/.test(operands) && operands.trim() !== 'pc, lr');
}

/** Whether execution never continues with the next instruction. */
function isLast({ operation, operands }: Instruction): boolean {
  const name = operation.replace(/\.[nw]$/, '');
  return (
    /^(b|bx|j|jr|ret|mret|udf)$/.test(name) ||
    (/^(pop|ldmia)/.test(name) && /pc}/.test(operands)) ||
    (/^(mov|ldr)$/.test(name) && /^pc,/.test(operands))
  );
}

/** Functions that reset the stack pointer on purpose: at start, and after a fault. */
const RESETTING = new Set(['lb_cortex_fault', 'on_trap', 'lb_start']);

/** Arithmetic of the compiler's library jumps through tables, but stays within the function. */
const COMPILER_LIBRARY = /^__(aeabi_|gnu_thumb1_|\w+[sd][if]\d?$)/;

const RETURNS = /^(bx lr|(pop|ldmia).*pc}|(mov|ldr)(\.w)? pc,.*|ret|mret)$/;

/** Returns the function that contains an address. */
type Locate = (address: number) => string | undefined;

function functionOf(block: Block, isRiscV: boolean, locate: Locate): StackFunction {
  const taken = isRiscV ? takenByRiscV : takenByArm;
  const calls = new Set<string>();
  const takers: number[] = [];
  const loops: { from: number; to: number }[] = [];
  let frame = 0;
  for (const instruction of block.instructions) {
    const { at, operation, operands } = instruction;
    if (!isRiscV && CONDITIONAL.test(operation)) throw new StackUnbounded(`has a conditional call: ${operation} ${operands}`);
    const bytes = RESETTING.has(block.name) ? 0 : taken(instruction);
    frame += bytes;
    if (bytes > 0) takers.push(at);
    if (isIndirect(instruction, isRiscV) && !COMPILER_LIBRARY.test(block.name))
      throw new StackUnbounded(`jumps through a register: ${operation} ${operands}`);
    const target = targetOf(instruction);
    if (target === undefined) continue;
    const name = locate(target);
    if (name === undefined) throw new StackUnbounded(`jumps to ${target.toString(16)}, which is outside any function`);
    // Thumb code uses a call for a jump within the function that is too far for an ordinary one.
    const isCall = CALL.test(operation) && target === block.instructions[0]?.at;
    if (name !== block.name || isCall) calls.add(name);
    else if (target <= at) loops.push({ from: target, to: at });
  }
  if (loops.some(({ from, to }) => takers.some((at) => from <= at && at <= to))) throw new StackUnbounded('takes from the stack in a loop');
  return { name: block.name, frame, calls: [...calls] };
}

const text = ({ operation, operands }: Instruction): string => `${operation.replace(/\.[nw]$/, '')} ${operands}`.trim();

/** Address that an instruction calls or jumps to. */
function targetOf({ operation, operands }: Instruction): number | undefined {
  if (!JUMP.test(operation) && !CALL.test(operation)) return undefined;
  const [, address] = TARGET.exec(operands) ?? [];
  return address === undefined ? undefined : Number.parseInt(address, 16);
}

/** Functions that return: by a return instruction, or through another function that they jump or fall through to. */
function returningFunctions(blocks: readonly Block[], locate: Locate): Set<string> {
  const returning = new Set(
    blocks.filter(({ instructions }) => instructions.some((one) => RETURNS.test(text(one)))).map(({ name }) => name),
  );
  const isReturning = (block: Block, index: number): boolean => {
    const next = fallsThroughTo(block, blocks[index + 1], returning, locate);
    const jumps = block.instructions.filter(({ operation }) => JUMP.test(operation)).map((one) => locate(targetOf(one) ?? -1));
    return [next?.name, ...jumps].some((name) => name !== undefined && name !== block.name && returning.has(name));
  };
  for (let size = -1; size !== returning.size; ) {
    size = returning.size;
    for (const [index, block] of blocks.entries()) if (isReturning(block, index)) returning.add(block.name);
  }
  return returning;
}

/** The next function, if the last instruction of this one can continue into it. */
function fallsThroughTo(
  { name, instructions }: Block,
  next: Block | undefined,
  returning: ReadonlySet<string>,
  locate: Locate,
): Block | undefined {
  const last = instructions.at(-1);
  if (last === undefined || isLast(last)) return undefined;
  if (!CALL.test(last.operation)) return next;
  const target = targetOf(last) ?? -1;
  const called = locate(target);
  const isFarJump = called === name && target !== instructions[0]?.at;
  return !isFarJump && called !== undefined && returning.has(called) ? next : undefined;
}

/** Every function of an image with its frame and its calls. @throws StackUnbounded naming the function */
export function stackFunctions({ tools, stack }: Chip, image: string): Map<string, StackFunction> {
  const disassembly = execFileSync(`${tools}objdump`, ['-d', '--no-show-raw-insn', image], { encoding: 'utf8', maxBuffer: 1 << 28 });
  const blocks = blocksOf(disassembly).filter(({ instructions }) => instructions.length > 0);
  const starts = blocks.map(({ instructions }) => instructions[0]?.at ?? 0);
  const locate: Locate = (address) => blocks[starts.findLastIndex((start) => start <= address)]?.name;
  const returning = returningFunctions(blocks, locate);
  const functions = new Map<string, StackFunction>();
  for (const [index, block] of blocks.entries()) {
    try {
      // Calls are followed by name, so two static functions of the same name would be confused.
      if (functions.has(block.name)) throw new StackUnbounded('is the name of two functions');
      const found = functionOf(block, stack?.instructionSet === 'riscv', locate);
      const next = fallsThroughTo(block, blocks[index + 1], returning, locate);
      functions.set(block.name, next === undefined ? found : { ...found, calls: [...found.calls, next.name] });
    } catch (error) {
      if (error instanceof StackUnbounded) throw new StackUnbounded(`${block.name} ${error.message}`);
      throw error;
    }
  }
  return functions;
}

/** The deepest call path from a function. @throws StackUnbounded for recursion */
export function deepestPath(functions: ReadonlyMap<string, StackFunction>, from: string): StackPath {
  const known = new Map<string, { path: StackPath; bytes: number }>();
  const callers: string[] = [];
  const visit = (name: string): { path: StackPath; bytes: number } => {
    const done = known.get(name);
    if (done !== undefined) return done;
    if (callers.includes(name)) throw new StackUnbounded(`${[...callers.slice(callers.indexOf(name)), name].join(' → ')} is recursive`);
    const found = functions.get(name);
    if (found === undefined) throw new StackUnbounded(`${callers.at(-1)} calls ${name}, which is not in the image`);
    callers.push(name);
    let deepest: { path: StackPath; bytes: number } = { path: [], bytes: 0 };
    for (const callee of found.calls) {
      const inner = visit(callee);
      if (inner.bytes > deepest.bytes) deepest = inner;
    }
    callers.pop();
    const result = { path: [{ name, frame: found.frame }, ...deepest.path], bytes: found.frame + deepest.bytes };
    known.set(name, result);
    return result;
  };
  return visit(from).path;
}

export const bytesOf = (path: StackPath): number => path.reduce((sum, { frame }) => sum + frame, 0);

/**
 * Proves how deep the stack of a firmware can get.
 * @throws StackUnbounded when no bound can be proven
 * @throws RangeError for a program of this computer, whose stack the system provides
 */
export function boundStack(chip: Chip, image: string): StackBound {
  if (chip.stack === undefined) throw new RangeError(`the system provides the stack of ${chip.name}`);
  const { start, handlers, nested, savedBytes }: StackEntries = chip.stack;
  const functions = stackFunctions(chip, image);
  const depth = (name: string): number => savedBytes + bytesOf(deepestPath(functions, name));
  const interrupts = Math.max(...handlers.map(depth)) + nested.reduce((sum, name) => sum + depth(name), 0);
  const path = deepestPath(functions, start);
  return { total: bytesOf(path) + interrupts, path, interrupts };
}

/** Bytes that the linker script reserves for the stack. @throws Error when the image has no such symbols */
export function reservedStack({ tools }: Chip, image: string): number {
  const symbols = execFileSync(`${tools}nm`, [image], { encoding: 'utf8', maxBuffer: 1 << 26 });
  const address = (name: string): number => {
    const [, digits] = new RegExp(`^([0-9a-f]+) \\w ${name}$`, 'm').exec(symbols) ?? [];
    if (digits === undefined) throw new Error(`${image} has no symbol ${name}`);
    return Number.parseInt(digits, 16);
  };
  return address('lb_stack_top') - address('lb_stack_end');
}
