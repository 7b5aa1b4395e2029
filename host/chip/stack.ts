import { execFileSync } from 'node:child_process';
import type { Chip } from './chips.js';

/*
 * How deep the stack can get, from the machine code itself, so that the C library's functions and the compiler's helpers count
 * too. Each function is taken to hold its whole frame wherever it calls: the sum of all that its instructions take from the stack.
 * That bounds it from above as long as none of those instructions stands in a loop, which is checked. Recursion, calls and jumps
 * through registers, and any other way to move the stack pointer are refused: nothing could be proven then.
 */

export interface StackFunction {
  readonly name: string;
  /** Bytes that the function itself takes. */
  readonly frame: number;
  /** Functions that it calls, jumps to or runs into. */
  readonly calls: readonly string[];
}

export interface StackBound {
  /** Bytes of the program and of what may interrupt it, one in the other. */
  readonly total: number;
  /** The deepest way through the program: function and its frame. */
  readonly path: readonly { readonly name: string; readonly frame: number }[];
  /** Bytes for interrupts: what the processor saves, and the deepest handler. */
  readonly interrupts: number;
}

/** The image does something with the stack that can’t be followed. */
export class StackUnbounded extends Error {
  /** Nothing is wrong with this program: the command ends with exit code 2. */
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
/** Where a jump or a call goes: the last address before a name in angle brackets. */
const TARGET = /(?:^|[\s,])(?:0x)?([0-9a-f]+) <[^>]+>/;
const CONDITION = 'eq|ne|cs|cc|mi|pl|vs|vc|hi|ls|ge|lt|gt|le|hs|lo|eqz|nez|lez|gez|ltz|gtz|ltu|geu|gtu|leu';
const JUMP = new RegExp(`^(b|j|jr|tail|cbz|cbnz|b(${CONDITION}))(\\.[nw])?$`);
const CALL = /^(bl|jal|jalr|call)$/;
/** What would have to be followed if it stood in a block of conditional instructions. The compiler has not made any yet. */
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
  // What fills a function up to the next one's alignment is not run.
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
  // Giving back: pop, add, load with the pointer moved afterwards.
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

const isRiscV = (chip: Chip): boolean => chip.name === 'rv32imafc';

/** Whether a jump or call goes through a register, other than the way back. */
function isIndirect({ operation, operands }: Instruction, chip: Chip): boolean {
  if (isRiscV(chip)) return /^(jr|jalr)$/.test(operation) && !/<[^>]+>/.test(operands);
  const name = operation.replace(/\.[nw]$/, '');
  if (name === 'bx') return operands.trim() !== 'lr';
  if (/^pc, \[sp\], #4/.test(operands)) return false;
  return name === 'blx' || /^tb[bh]$/.test(name) || (/^(mov|ldr|add)/.test(name) && /^pc,/.test(operands) && operands.trim() !== 'pc, lr');
}

/** Whether what follows is not reached from here. */
function isLast({ operation, operands }: Instruction): boolean {
  const name = operation.replace(/\.[nw]$/, '');
  return (
    /^(b|bx|j|jr|ret|mret|udf)$/.test(name) ||
    (/^(pop|ldmia)/.test(name) && /pc}/.test(operands)) ||
    (/^(mov|ldr)$/.test(name) && /^pc,/.test(operands))
  );
}

/** Functions begin the stack anew on purpose: where the processor has stopped. */
const ANEW = new Set(['lb_cortex_fault', 'on_trap', 'lb_start']);

/** Arithmetic of the compiler’s own library jumps into tables of its own; it stays in the same function. */
const COMPILER_LIBRARY = /^__(aeabi_|gnu_thumb1_|\w+[sd][if]\d?$)/;

const RETURNS = /^(bx lr|(pop|ldmia).*pc}|(mov|ldr)(\.w)? pc,.*|ret|mret)$/;

/** The function that an address lies in. */
type Place = (address: number) => string | undefined;

function functionOf(block: Block, chip: Chip, place: Place): StackFunction {
  const taken = isRiscV(chip) ? takenByRiscV : takenByArm;
  const calls = new Set<string>();
  const takers: number[] = [];
  const loops: { from: number; to: number }[] = [];
  let frame = 0;
  for (const instruction of block.instructions) {
    const { at, operation, operands } = instruction;
    if (!isRiscV(chip) && CONDITIONAL.test(operation)) throw new StackUnbounded(`does so on a condition: ${operation} ${operands}`);
    const bytes = ANEW.has(block.name) ? 0 : taken(instruction);
    frame += bytes;
    if (bytes > 0) takers.push(at);
    if (isIndirect(instruction, chip) && !COMPILER_LIBRARY.test(block.name))
      throw new StackUnbounded(`jumps through a register: ${operation} ${operands}`);
    const target = goesTo(instruction);
    if (target === undefined) continue;
    const name = place(target);
    if (name === undefined) throw new StackUnbounded(`goes to ${target.toString(16)}, where there is no function`);
    // Thumb code calls into the middle of its own function where an ordinary jump does not reach.
    const isCall = CALL.test(operation) && target === block.instructions[0]?.at;
    if (name !== block.name || isCall) calls.add(name);
    else if (target <= at) loops.push({ from: target, to: at });
  }
  if (loops.some(({ from, to }) => takers.some((at) => from <= at && at <= to))) throw new StackUnbounded('takes from the stack in a loop');
  return { name: block.name, frame, calls: [...calls] };
}

const text = ({ operation, operands }: Instruction): string => `${operation.replace(/\.[nw]$/, '')} ${operands}`.trim();

/** Address that an instruction calls or jumps to. */
function goesTo({ operation, operands }: Instruction): number | undefined {
  if (!JUMP.test(operation) && !CALL.test(operation)) return undefined;
  const [, address] = TARGET.exec(operands) ?? [];
  return address === undefined ? undefined : Number.parseInt(address, 16);
}

/** Functions that come back: by an instruction that does, or by way of another that does, jumped or run into. */
function returningFunctions(blocks: readonly Block[], place: Place): Set<string> {
  const returning = new Set(
    blocks.filter(({ instructions }) => instructions.some((one) => RETURNS.test(text(one)))).map(({ name }) => name),
  );
  const isReturning = (block: Block, index: number): boolean => {
    const next = runsInto(block, blocks[index + 1], returning, place);
    const jumps = block.instructions.filter(({ operation }) => JUMP.test(operation)).map((one) => place(goesTo(one) ?? -1));
    return [next?.name, ...jumps].some((name) => name !== undefined && name !== block.name && returning.has(name));
  };
  for (let size = -1; size !== returning.size; ) {
    size = returning.size;
    for (const [index, block] of blocks.entries()) if (isReturning(block, index)) returning.add(block.name);
  }
  return returning;
}

/** The function behind this one, where its last instruction goes on to it. */
function runsInto({ name, instructions }: Block, next: Block | undefined, returning: ReadonlySet<string>, place: Place): Block | undefined {
  const last = instructions.at(-1);
  if (last === undefined || isLast(last)) return undefined;
  if (!CALL.test(last.operation)) return next;
  const target = goesTo(last) ?? -1;
  const called = place(target);
  const isFarJump = called === name && target !== instructions[0]?.at;
  return !isFarJump && called !== undefined && returning.has(called) ? next : undefined;
}

/** Every function of an image with its frame and what it calls. @throws StackUnbounded naming the function */
export function stackFunctions(chip: Chip, image: string): Map<string, StackFunction> {
  const text = execFileSync(`${chip.tools}objdump`, ['-d', '--no-show-raw-insn', image], { encoding: 'utf8', maxBuffer: 1 << 28 });
  const blocks = blocksOf(text).filter(({ instructions }) => instructions.length > 0);
  const starts = blocks.map(({ instructions }) => instructions[0]?.at ?? 0);
  const place: Place = (address) => blocks[starts.findLastIndex((start) => start <= address)]?.name;
  const returning = returningFunctions(blocks, place);
  const functions = new Map<string, StackFunction>();
  for (const [index, block] of blocks.entries()) {
    try {
      // Calls are followed by name: two static functions of one name would be taken for one.
      if (functions.has(block.name)) throw new StackUnbounded('is the name of two functions');
      const found = functionOf(block, chip, place);
      const next = runsInto(block, blocks[index + 1], returning, place);
      functions.set(block.name, next === undefined ? found : { ...found, calls: [...found.calls, next.name] });
    } catch (error) {
      if (error instanceof StackUnbounded) throw new StackUnbounded(`${block.name} ${error.message}`);
      throw error;
    }
  }
  return functions;
}

export type StackPath = StackBound['path'];

/** The deepest way down from a function. @throws StackUnbounded for recursion */
export function deepestPath(functions: ReadonlyMap<string, StackFunction>, from: string): StackPath {
  const known = new Map<string, { path: StackPath; bytes: number }>();
  const under: string[] = [];
  const visit = (name: string): { path: StackPath; bytes: number } => {
    const seen = known.get(name);
    if (seen !== undefined) return seen;
    if (under.includes(name)) throw new StackUnbounded(`${[...under.slice(under.indexOf(name)), name].join(' → ')} is recursion`);
    const found = functions.get(name);
    if (found === undefined) throw new StackUnbounded(`${under.at(-1)} calls ${name}, which is not in the image`);
    under.push(name);
    let deepest: { path: StackPath; bytes: number } = { path: [], bytes: 0 };
    for (const callee of found.calls) {
      const below = visit(callee);
      if (below.bytes > deepest.bytes) deepest = below;
    }
    under.pop();
    const result = { path: [{ name, frame: found.frame }, ...deepest.path], bytes: found.frame + deepest.bytes };
    known.set(name, result);
    return result;
  };
  return visit(from).path;
}

export const bytesOf = (path: StackPath): number => path.reduce((sum, { frame }) => sum + frame, 0);

/** Where a program begins, what may interrupt it, and what the processor itself saves then. */
const ENTRIES: Readonly<Record<string, { start: string; handlers: readonly string[]; nested: readonly string[]; saved: number }>> = {
  // Armv7-M, B1.5.7: 26 words with the floating-point registers, and one to align. The watchdog’s warning comes through anything.
  'cortex-m4f': { start: 'start', handlers: ['on_uart', 'on_timer'], nested: ['on_warning'], saved: 4 * 27 },
  // Armv6-M, B1.5.7: 8 words, and one to align.
  'cortex-m0plus': { start: 'start', handlers: ['on_uart', 'on_timer'], nested: [], saved: 4 * 9 },
  // RISC-V saves nothing by itself: the handler does.
  rv32imafc: { start: 'lb_start', handlers: ['on_interrupt'], nested: [], saved: 0 },
};

/**
 * Proves how deep the stack of a firmware gets.
 * @throws StackUnbounded when it can’t be proven
 * @throws RangeError for a program of this computer, whose stack is the system’s
 */
export function boundStack(chip: Chip, image: string): StackBound {
  const entries = ENTRIES[chip.name];
  if (entries === undefined) throw new RangeError(`${chip.name} has a stack of the system’s`);
  const functions = stackFunctions(chip, image);
  const depth = (name: string): number => entries.saved + bytesOf(deepestPath(functions, name));
  const interrupts = Math.max(...entries.handlers.map(depth)) + entries.nested.reduce((sum, name) => sum + depth(name), 0);
  const path = deepestPath(functions, entries.start);
  return { total: bytesOf(path) + interrupts, path, interrupts };
}
