import type { Activation, CallItem, Item, MemoryItem, TracedValue } from './call-tree.js';
import { type Frame, type Step, StepMatcher } from './match-steps.js';
import { type Leaf, passedOn, SideTrace, type StorePlace } from './side-trace.js';
import type { TraceMatch } from './signal-match.js';
import type { TracedBuild } from './traced-build.js';

/*
 * From a value that differs back to the origin of the difference: a dynamic slice (Korel, Laski 1988, Information Processing
 * Letters 29(3):155-163, cited from memory). The values that a step is computed from, its leaves, are locals, loads, constants,
 * conditions within its expression, and results of calls. The first leaf that differs is followed: to the step that set the local,
 * to the store that was loaded, into the call, or up to the caller. If the sides reach the step on different paths, the condition
 * that decided so is followed (control dependence: Ferrante, Ottenstein, Warren 1987, ACM TOPLAS 9(3):319-349, cited from memory).
 * If no leaf differs but the step does, it is the origin. Steps that differ without contributing to the value are never visited.
 */

/** Where a difference originates. */
export interface Origin {
  readonly baseSite: number | undefined;
  readonly headSite: number | undefined;
  readonly reason: string;
}

export const CONSTANT_REASON = 'constant with a different value';

type Sites = Omit<Origin, 'reason'>;

/** Maximum number of steps to follow. */
const STEPS_MAX = 500;

export class Slicer {
  private readonly sides: { readonly base: SideTrace; readonly head: SideTrace };
  private readonly matcher: StepMatcher;
  private left = STEPS_MAX;

  constructor(
    base: TracedBuild,
    head: TracedBuild,
    private readonly root: { readonly base: Activation; readonly head: Activation },
    private readonly match: TraceMatch,
  ) {
    this.sides = { base: new SideTrace(base, root.base, match.baseName), head: new SideTrace(head, root.head, match.headName) };
    this.matcher = new StepMatcher(this.sides, root);
  }

  /** Origin of the difference of a store. */
  originOfStore(base: MemoryItem | undefined, head: MemoryItem | undefined): Origin {
    const step = this.matcher.stepOf(this.sides.base.findStore(base), this.sides.head.findStore(head));
    return this.origin(step, { baseSite: base?.site, headSite: head?.site });
  }

  /** Origin of the difference because of which one side stops. */
  originOfStop(): Origin {
    const stopped = (node: Activation | undefined): Activation | 'any' => {
      const last = node?.items.at(-1);
      return last?.kind === 'call' && last.node.isOpen ? last.node : 'any';
    };
    const end = (node: Activation | undefined): number => node?.items.length ?? 0;
    let frame: Frame = this.root;
    for (;;) {
      const { base, head } = frame;
      const next = this.matcher.next(frame, stopped(base), stopped(head));
      const own = { baseSite: base?.items.at(-1)?.site, headSite: head?.items.at(-1)?.site };
      if (next === undefined) {
        const failed = this.failedAssertion(frame);
        return failed === undefined ? this.control(frame, end(base), end(head), own) : this.origin(failed, own);
      }
      frame = next;
    }
  }

  private origin(step: Step, fallback: Sites): Origin {
    this.left -= 1;
    const { frame, base, head } = step;
    const own = this.sitesOf(step, fallback);
    if (this.left <= 0) return { ...own, reason: `the search ended here after ${STEPS_MAX} steps` };
    if (base === undefined || head === undefined || frame.base === undefined || frame.head === undefined)
      return this.control(frame, base, head, own);
    // Both arms of a condition may be in one line.
    const branch = this.firstBranch(frame, base, head, this.isSameStatement(own) ? 'own' : 'any');
    if (branch !== undefined) return this.origin(branch, own);
    const { base: left, head: right } = this.sides;
    const leaves = left.leavesOf(frame.base, base, right.localsOf(frame.head));
    for (const leaf of right.leavesOf(frame.head, head, left.localsOf(frame.base))) {
      const other = leaves.find(({ key }) => key === leaf.key);
      if (other !== undefined && !this.isSame(other.traced, leaf.traced)) return this.follow(frame, other, leaf, own);
    }
    const [baseSet, headSet] = [passedOn(frame.base, base), passedOn(frame.head, head)];
    if (baseSet !== undefined && headSet !== undefined) return this.origin({ frame, base: baseSet, head: headSet }, own);
    return this.firstValue(frame, base, head, own);
  }

  private sitesOf({ frame, base, head }: Step, fallback: Sites): Sites {
    const site = (node: Activation | undefined, index: number | undefined): number | undefined =>
      index === undefined ? undefined : (node?.items[index] ?? node?.items.at(-1))?.site;
    return { baseSite: site(frame.base, base) ?? fallback.baseSite, headSite: site(frame.head, head) ?? fallback.headSite };
  }

  /** Whether both sites are in the same statement of both sources, changed or not. */
  private isSameStatement({ baseSite, headSite }: Sites): boolean {
    return baseSite !== undefined && headSite !== undefined && this.match.sameLine(baseSite, headSite);
  }

  private isSame(base: TracedValue, head: TracedValue | undefined): boolean {
    if (head === undefined || Object.is(base.value, head.value)) return head !== undefined;
    return base.isInteger && head.isInteger && this.match.sameRecord(base.value, head.value);
  }

  private hasSameParams(base: Activation, head: Activation): boolean {
    const params = ({ items }: Activation): TracedValue[] => items.flatMap((item) => (item.kind === 'param' ? [item] : []));
    const others = params(head);
    return params(base).every((traced, index) => this.isSame(traced, others[index]));
  }

  /** Only one side runs the step, or the sides reach it on different paths: follows the condition that decided so. */
  private control(frame: Frame, base: number | undefined, head: number | undefined, own: Sites): Origin {
    const branch = this.firstBranch(frame, base ?? Number.POSITIVE_INFINITY, head ?? Number.POSITIVE_INFINITY);
    if (branch !== undefined) return this.origin(branch, own);
    // An address or an index in the arguments may be the cause.
    const { base: a, head: b } = frame;
    if (a?.parent !== undefined && b?.parent !== undefined && !this.hasSameParams(a, b))
      return this.origin({ frame: { base: a.parent, head: b.parent }, base: a.index, head: b.index }, own);
    if (head === undefined) return { ...own, reason: 'executed only in base' };
    return { ...own, reason: base === undefined ? 'executed only in head' : 'reached on different code paths' };
  }

  /** The last condition of the side that stopped, which is its assertion, if the other side's has the opposite result. */
  private failedAssertion(frame: Frame): Step | undefined {
    const last = this.matcher.differentConditions(frame).at(-1);
    const stopped = frame.head?.isOpen === true ? 'head' : 'base';
    const condition = frame[stopped]?.items.findLastIndex(({ kind }) => kind === 'condition');
    return last?.[stopped] === condition ? last : undefined;
  }

  /**
   * The first condition before a step with opposite results that decides, on either side, whether the step runs.
   * @param arm `own`: only a condition with the step in its own `if`
   */
  private firstBranch(frame: Frame, base: number, head: number, arm: 'own' | 'any' = 'any'): Step | undefined {
    const decides = (side: SideTrace, node: Activation | undefined, condition: number | undefined, step: number): boolean =>
      node !== undefined && condition !== undefined && Number.isFinite(step) && side.decides(node, condition, step, arm);
    return this.matcher
      .differentConditions(frame)
      .find(
        (condition) =>
          (condition.head ?? 0) < head &&
          (condition.base ?? 0) < base &&
          (decides(this.sides.base, frame.base, condition.base, base) || decides(this.sides.head, frame.head, condition.head, head)),
      );
  }

  /** From a leaf that differs to what computed it. */
  private follow(frame: Frame, base: Leaf, head: Leaf, own: Sites): Origin {
    const [a, b] = [frame.base?.items[base.index], frame.head?.items[head.index]];
    const sites = { baseSite: a?.site ?? own.baseSite, headSite: b?.site ?? own.headSite };
    if (a?.kind === 'get' && b?.kind === 'get') return this.followLocal(frame, base.index, head.index, sites);
    if (a?.kind === 'call' && b?.kind === 'call') return this.followCall(frame, a, b, sites);
    if (a?.kind === 'load' && b?.kind === 'load') return this.followLoad(a, b, sites);
    if (b?.kind === 'condition') return this.origin({ frame, base: base.index, head: head.index }, sites);
    return { ...sites, reason: CONSTANT_REASON };
  }

  /** To the step that last set a local; an argument is set by the caller. */
  private followLocal(frame: Frame, base: number, head: number, sites: Sites): Origin {
    const baseSet = frame.base === undefined ? undefined : this.sides.base.lastSet(frame.base, base);
    const headSet = frame.head === undefined ? undefined : this.sides.head.lastSet(frame.head, head);
    if (baseSet !== undefined || headSet !== undefined) return this.origin({ frame, base: baseSet, head: headSet }, sites);
    const caller = { base: frame.base?.parent, head: frame.head?.parent };
    return this.origin({ frame: caller, base: frame.base?.index, head: frame.head?.index }, sites);
  }

  /** Into a call that returns different values. Arguments that differ are leaves too, and come first. */
  private followCall(frame: Frame, base: CallItem, head: CallItem, sites: Sites): Origin {
    if (!this.hasSameParams(base.node, head.node)) return this.firstValue(frame, base.node.index, head.node.index, sites);
    const frameInside = { base: base.node, head: head.node };
    return this.origin({ frame: frameInside, base: base.node.items.length, head: head.node.items.length }, sites);
  }

  /** To the store within this call that was loaded. A value from before the call is not followed. */
  private followLoad(base: MemoryItem, head: MemoryItem, sites: Sites): Origin {
    const name = this.match.headName(head.address);
    const last = ({ stores }: SideTrace, order: number): StorePlace | undefined =>
      stores.get(name ?? '')?.findLast(({ item }) => item.order < order);
    const baseStore = last(this.sides.base, base.order);
    const headStore = last(this.sides.head, head.order);
    if (baseStore === undefined && headStore === undefined)
      return { ...sites, reason: `it reads ${name ?? 'a value'}, which already differed before` };
    return this.origin(this.matcher.stepOf(baseStore, headStore), sites);
  }

  /** The step is the origin: its first value that differs. */
  private firstValue(frame: Frame, base: number, head: number, own: Sites): Origin {
    const values = (side: SideTrace, node: Activation | undefined, end: number): Item[] =>
      node === undefined ? [] : side.valuesOf(node, end);
    const others = values(this.sides.base, frame.base, base);
    for (const [index, item] of values(this.sides.head, frame.head, head).entries()) {
      const other = others[index];
      if (item.kind === 'call' || other?.kind === 'call' || other === undefined || other.kind !== item.kind) break;
      if (!this.isSame(other, item)) return { baseSite: other.site, headSite: item.site, reason: 'first value that differs' };
    }
    return { ...own, reason: 'its result differs, although its operands are the same' };
  }
}
