import type { SourceLine } from '../review.js';
import type { WasmBinary } from '../trace/binary.js';
import { type PlainBuild, shortName } from '../trace/traced-build.js';
import { type Block, blocksOf, dominatorsOf, leadsTo } from './flow-graph.js';

/** A block of a function, and a number for it in the whole program. */
interface ProgramBlock extends Block {
  readonly function: number;
}

/** An instruction with a place in the sources. */
export interface Place {
  readonly block: number;
  readonly file: string;
  /** From 1. */
  readonly line: number;
  readonly column: number;
  /** Index of the global that it reads, if it reads one. */
  readonly global?: number | undefined;
}

/** What a block needs to be reached, where it is not. */
export interface Barrier {
  /** The last block on the way that is reached. */
  readonly reached: number;
  /** Whether the condition at its end must be true or false; undefined if there is none that decides. */
  readonly needs: boolean | undefined;
  /** Conditions on the way from there that must be met, with this one. */
  readonly conditions: number;
  /** Blocks on the way from there: 0 if it is reached. */
  readonly distance: number;
}

/** Whether a barrier is less than another one. */
const isLess = (a: Barrier, b: Barrier | undefined): boolean =>
  b === undefined || a.conditions < b.conditions || (a.conditions === b.conditions && a.distance < b.distance);

/** As names in the binary start. */
const withoutEnding = (file: string): string => file.replace(/\.ts$/, '');

const keyOf = (file: string, line: number): string => `${file}:${line}`;

/** The blocks of an unoptimised build, the source lines that they belong to, and the ways through them. */
export class Program {
  readonly blocks: readonly ProgramBlock[];
  readonly binary: WasmBinary;
  private readonly lines: ReadonlyMap<string, readonly string[]>;
  /** Number of each function's first block. */
  private readonly firsts: readonly number[];
  private readonly dominators: readonly (number | undefined)[];
  /** Numbers of the blocks that call a function. */
  private readonly callers = new Map<number, number[]>();
  /** By the offset of the instruction. */
  private readonly places = new Map<number, Place>();
  private readonly byLine = new Map<string, Set<number>>();

  constructor({ binary, sources, map }: PlainBuild) {
    this.binary = binary;
    this.lines = new Map([...sources].map(([file, text]) => [file, text.split('\n')]));
    const blocks: ProgramBlock[] = [];
    const dominators: (number | undefined)[] = [];
    this.firsts = binary.bodies.map((body, index) => {
      const first = blocks.length;
      const own = blocksOf(body);
      const numbered = (number: number | undefined): number | undefined => (number === undefined ? undefined : first + number);
      blocks.push(...own.map((block) => ({ ...block, next: block.next.map(numbered), function: index })));
      dominators.push(...dominatorsOf(own).map(numbered));
      return first;
    });
    this.blocks = blocks;
    this.dominators = dominators;
    for (const [number, { instructions, callees }] of blocks.entries()) {
      for (const callee of callees) this.callers.set(callee, [...(this.callers.get(callee) ?? []), number]);
      for (const { start: at, info } of instructions) {
        const entry = map.findEntry(0, at);
        // What has no place belongs to its neighbours.
        if (!('originalSource' in entry) || entry.generatedColumn !== at || !sources.has(entry.originalSource)) continue;
        const place = {
          block: number,
          file: entry.originalSource,
          line: entry.originalLine + 1,
          column: entry.originalColumn + 1,
          global: info.globalIndex,
        };
        this.places.set(at, place);
        const key = keyOf(place.file, place.line);
        this.byLine.set(key, (this.byLine.get(key) ?? new Set()).add(number));
      }
    }
  }

  /** Numbers of the blocks with an instruction of a line, in the order of the code. */
  blocksOf(file: string, line: number): number[] {
    return [...(this.byLine.get(keyOf(file, line)) ?? [])].sort((a, b) => a - b);
  }

  /**
   * Where a constant is used, the first place of each line: instructions that read it, and those that the compiler has put its value in,
   * which stand where its name does.
   * @param isIn whether a line may use it by this name
   */
  usesOf(file: string, name: string, isIn: (file: string, line: number) => boolean): Place[] {
    const global = this.binary.globals.findIndex((one) => one.name === `${withoutEnding(file)}/${name}`);
    const used = new Map<string, Place>();
    for (const place of this.places.values()) {
      const key = keyOf(place.file, place.line);
      if (used.has(key)) continue;
      const isUse = place.global === undefined ? isIn(place.file, place.line) && this.startsWith(place, name) : place.global === global;
      if (isUse) used.set(key, place);
    }
    return [...used.values()];
  }

  /** Whether a name stands at a place, perhaps behind a conversion or a sign. */
  private startsWith({ file, line, column }: Place, name: string): boolean {
    const rest = this.textOf(file, line)
      .slice(column - 1)
      .replace(/^(?:<\w+>|[-+~!(\s])+/, '');
    return rest.startsWith(name) && !/^[\w$]/.test(rest.slice(name.length));
  }

  /** Whether a function of the sources is in the binary, which has none that nothing calls. */
  hasFunction(file: string, name: string): boolean {
    const full = `${withoutEnding(file)}/${name}`;
    return this.binary.functions.some((one) => one.name === full || one.name.startsWith(`${full}<`));
  }

  lineOf(file: string, line: number, column = 1, block?: number): SourceLine {
    const name = this.binary.functions[this.blocks[block ?? -1]?.function ?? -1]?.name ?? '';
    return { file, line, column, function: shortName(name), text: this.textOf(file, line) };
  }

  /** Where a block starts within a line. */
  startIn(block: number, file: string, line: number): SourceLine {
    const columns = this.placesIn(block).flatMap((place) => (place.file === file && place.line === line ? [place.column] : []));
    return this.lineOf(file, line, Math.min(...columns), block);
  }

  /** The place of the condition at the end of a block, or else of its last instruction that has one. */
  endOf(block: number): SourceLine | undefined {
    const place = this.placesIn(block).at(-1);
    return place === undefined ? undefined : this.lineOf(place.file, place.line, place.column, block);
  }

  /** The blocks that must be observed to tell how near a run comes to some others: all on the way to them. */
  waysTo(targets: Iterable<number>): number[] {
    const ways = new Set(targets);
    // A set goes on with what is added while it is read.
    for (const block of ways) for (const before of this.before(block)) ways.add(before);
    return [...ways].sort((a, b) => a - b);
  }

  /** How near a run comes to the nearest of some blocks. Undefined if no way leads there from what the run calls. */
  nearestBarrier(targets: readonly number[], isReached: (block: number) => boolean): Barrier | undefined {
    const known = new Map<number, Barrier | undefined>();
    const found = targets.map((target) => this.barrier(target, isReached, known));
    return found.reduce((best, one) => (one !== undefined && isLess(one, best) ? one : best), undefined);
  }

  private barrier(block: number, isReached: (block: number) => boolean, known: Map<number, Barrier | undefined>): Barrier | undefined {
    if (known.has(block)) return known.get(block);
    // Functions that call each other lead nowhere new.
    known.set(block, undefined);
    const barrier = isReached(block)
      ? { reached: block, needs: undefined, conditions: 0, distance: 0 }
      : this.beforeUnreached(block, isReached, known);
    known.set(block, barrier);
    return barrier;
  }

  private beforeUnreached(
    block: number,
    isReached: (block: number) => boolean,
    known: Map<number, Barrier | undefined>,
  ): Barrier | undefined {
    const dominator = this.dominators[block];
    let best: Barrier | undefined;
    for (const before of this.before(block)) {
      const barrier = this.barrier(before, isReached, known);
      if (barrier !== undefined && isLess(barrier, best)) best = barrier;
    }
    if (best === undefined) return undefined;
    const needs = dominator === undefined ? undefined : this.needs(dominator, block);
    const conditions = best.conditions + (needs === undefined ? 0 : 1);
    return { reached: best.reached, needs: best.distance === 0 ? needs : best.needs, conditions, distance: best.distance + 1 };
  }

  /** Blocks of which one must run before a block: its dominator, or for the first of a function those that call it. */
  private before(block: number): readonly number[] {
    const dominator = this.dominators[block];
    if (dominator !== undefined) return [dominator];
    const { function: index } = this.blocks[block] as ProgramBlock;
    return this.firsts[index] === block ? (this.callers.get(index) ?? []) : [];
  }

  /** What the condition at the end of a block must be for another block to run, if that matters. */
  private needs(from: number, to: number): boolean | undefined {
    const { next, condition } = this.blocks[from] as ProgramBlock;
    if (condition === undefined) return undefined;
    const [ifTrue, ifFalse] = [leadsTo(this.blocks, next[0], to, from), leadsTo(this.blocks, next[1], to, from)];
    return ifTrue === ifFalse ? undefined : ifTrue;
  }

  private placesIn(block: number): Place[] {
    return (this.blocks[block]?.instructions ?? []).flatMap(({ start }) => this.places.get(start) ?? []);
  }

  private textOf(file: string, line: number): string {
    return this.lines.get(file)?.[line - 1] ?? '';
  }
}
