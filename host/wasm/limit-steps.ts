import { ByteReader, leb128, signedLeb128 } from './bytes.js';
import { type BinaryModule, type Code, KIND, SECTION, TYPE_CODE } from './module.js';
import { OP, readOperator } from './operators.js';
import { join, list, type Part, sized, withSections } from './rewrite.js';

/*
 * Makes a copy of a binary whose calls end after a number of steps. A global counts down: by the number of a function's
 * instructions when it is called, and by that of a loop's body in each of its rounds. Below zero it traps. Each exported function gets
 * a wrapper that sets the count. The same call ends at the same instruction on every computer, however busy it is.
 */

/** Names of two exported globals: what is left of the steps of a call, below zero if they ran out, and how many each call gets. */
export const STEPS_LEFT = 'stepsLeft';
export const STEPS_MAX = 'stepsMax';

const VOID = 0x40;
const MUTABLE = 1;

interface Loop {
  /** Offset of the first instruction in it. */
  readonly at: number;
  /** Instructions in it, with those of inner loops. */
  steps: number;
}

/** Finds a function's loops in the order of their starts, and counts its instructions. @throws BadBinary for an instruction that is not allowed */
function findLoops(bytes: Uint8Array, { start, end }: Code): { loops: readonly Loop[]; steps: number } {
  const reader = new ByteReader(bytes, start, end);
  const loops: Loop[] = [];
  const open: (Loop | undefined)[] = [];
  let steps = 0;
  while (!reader.isAtEnd) {
    const code = readOperator(reader);
    steps += 1;
    if (code === OP.loop) {
      const loop = { at: reader.at, steps: -steps };
      loops.push(loop);
      open.push(loop);
    } else if (code === OP.block || code === OP.if) open.push(undefined);
    else if (code === OP.end) {
      const loop = open.pop();
      if (loop !== undefined) loop.steps += steps;
    }
  }
  return { loops, steps };
}

/** Counts down and traps below zero. */
const countDown = (global: number, steps: number): number[] => [
  ...[OP.globalGet, ...leb128(global), OP.i32Const, ...signedLeb128(steps), OP.i32Sub, OP.globalSet, ...leb128(global)],
  ...[OP.globalGet, ...leb128(global), OP.i32Const, 0, OP.i32LtS, OP.if, VOID, OP.unreachable, OP.end],
];

const text = (name: string): Uint8Array => sized(Buffer.from(name));

function limitedBody({ bytes, globals }: BinaryModule, code: Code): Uint8Array {
  const { loops, steps } = findLoops(bytes, code);
  const parts: Part[] = [bytes.subarray(code.locals, code.start), countDown(globals, steps)];
  let from = code.start;
  for (const loop of loops) {
    parts.push(bytes.subarray(from, loop.at), countDown(globals, loop.steps));
    from = loop.at;
  }
  parts.push(bytes.subarray(from, code.end));
  return sized(join(parts));
}

/** Sets the count and calls the function. */
function wrapperBody(parameters: number, target: number, stepsLeft: number): Uint8Array {
  const given = Array.from({ length: parameters }, (_, index) => [OP.localGet, ...leb128(index)]).flat();
  const count = [OP.globalGet, ...leb128(stepsLeft + 1), OP.globalSet, ...leb128(stepsLeft)];
  return sized(Uint8Array.from([0, ...count, ...given, OP.call, ...leb128(target), OP.end]));
}

/** The content of each section that changes. */
function changedSections(module: BinaryModule, stepsMax: number): ReadonlyMap<number, Uint8Array> {
  const { bytes, types, functions, globals, globalBytes, exports, codes } = module;
  const wrapped = exports.filter(({ kind }) => kind === KIND.function).map(({ index }) => index);
  const typeOf = (index: number): number => functions[index] ?? 0;
  const bodies = codes.map((code) => limitedBody(module, code));
  const wrappers = wrapped.map((index) => wrapperBody(types[typeOf(index)]?.params.length ?? 0, index, globals));
  const exported = exports.map(({ name, kind, index }) => {
    const target = kind === KIND.function ? functions.length + wrapped.indexOf(index) : index;
    return join([text(name), [kind, ...leb128(target)]]);
  });
  const counter = (value: number): number[] => [TYPE_CODE.i32, MUTABLE, OP.i32Const, ...signedLeb128(value), OP.end];
  const counters = [...counter(0), ...counter(stepsMax)];
  const exportedCounters = [STEPS_LEFT, STEPS_MAX].map((name, index) => join([text(name), [KIND.global, ...leb128(globals + index)]]));
  return new Map([
    [SECTION.function, list([...functions, ...wrapped.map(typeOf)].map((type) => leb128(type)))],
    [SECTION.global, join([leb128(globals + 2), bytes.subarray(globalBytes.start, globalBytes.end), counters])],
    [SECTION.export, list([...exported, ...exportedCounters])],
    [SECTION.code, list([...bodies, ...wrappers])],
  ]);
}

/**
 * Returns a copy in which each call of an exported function traps after `stepsMax` steps, or as many as its global of that name
 * has been set to. It has no custom sections.
 * @param module valid and without imports
 * @throws BadBinary for an instruction that is not in WebAssembly 1.0, or that grows memory
 */
export function limitSteps(module: BinaryModule, stepsMax: number): Uint8Array<ArrayBuffer> {
  return withSections(module, changedSections(module, stepsMax));
}
