import { align } from './align.js';
import type { Activation } from './call-tree.js';
import type { SideTrace, StorePlace } from './side-trace.js';

/** An activation of the same function on both sides, or on one of them only. */
export interface Frame {
  readonly base: Activation | undefined;
  readonly head: Activation | undefined;
}

/** A step on both sides or on one: indices of items of the frame's activations. The end of a function is behind its last item. */
export interface Step {
  readonly frame: Frame;
  readonly base: number | undefined;
  readonly head: number | undefined;
}

/** Activations that lead to one, outermost first. */
function pathOf(node: Activation | undefined): Activation[] {
  const path: Activation[] = [];
  for (let at = node; at !== undefined; at = at.parent) path.unshift(at);
  return path;
}

/** Matches the steps and activations of two traces. */
export class StepMatcher {
  private readonly aligned = new Map<Activation, ReadonlyMap<number, number>>();

  constructor(
    private readonly sides: { readonly base: SideTrace; readonly head: SideTrace },
    private readonly root: { readonly base: Activation; readonly head: Activation },
  ) {}

  /** Matching steps of a frame: index on the head side → index on the base side, in order. */
  baseOf({ base, head }: Frame): ReadonlyMap<number, number> {
    if (base === undefined || head === undefined) return new Map();
    const known = this.aligned.get(head);
    if (known !== undefined) return known;
    const pairs = new Map<number, number>();
    const [a, b] = [this.sides.base.anchors(base), this.sides.head.anchors(head)];
    const keys = (anchors: readonly { key: string }[]): string[] => anchors.map(({ key }) => key);
    for (const [at, other] of align(keys(a), keys(b))) {
      if (at !== undefined && other !== undefined) pairs.set(b[other]?.index ?? -1, a[at]?.index ?? -1);
    }
    this.aligned.set(head, pairs);
    return pairs;
  }

  /** Conditions of a frame that are true on one side and false on the other, in order. */
  differentConditions(frame: Frame): Step[] {
    return [...this.baseOf(frame)].flatMap(([head, base]) => {
      const [a, b] = [frame.base?.items[base], frame.head?.items[head]];
      const differs = a?.kind === 'condition' && b?.kind === 'condition' && (a.value !== 0) !== (b.value !== 0);
      return differs ? [{ frame, base, head }] : [];
    });
  }

  /** The step of two stores in the innermost activations that match. */
  stepOf(base: StorePlace | undefined, head: StorePlace | undefined): Step {
    const [basePath, headPath] = [pathOf(base?.node), pathOf(head?.node)];
    let frame: Frame = this.root;
    for (let depth = 1; ; depth++) {
      const [baseNext, headNext] = [basePath[depth], headPath[depth]];
      const step = { frame, base: baseNext?.index ?? base?.index, head: headNext?.index ?? head?.index };
      if (baseNext === undefined && headNext === undefined) return step;
      const next = this.next(frame, base === undefined ? 'any' : baseNext, head === undefined ? 'any' : headNext);
      if (next === undefined) return step;
      frame = next;
    }
  }

  /** Matching activations called from a frame; `any` stands for the one that matches the other side's. */
  next(frame: Frame, base: Activation | 'any' | undefined, head: Activation | 'any' | undefined): Frame | undefined {
    const pairs = this.baseOf(frame);
    const called = (node: Activation | undefined, index: number | undefined): Activation | undefined => {
      const item = index === undefined ? undefined : node?.items[index];
      return item?.kind === 'call' ? item.node : undefined;
    };
    if (base === 'any') {
      const other = head === 'any' || head === undefined ? undefined : called(frame.base, pairs.get(head.index));
      return other === undefined || head === 'any' ? undefined : { base: other, head };
    }
    if (head === 'any') {
      const other = called(frame.head, [...pairs].find(([, index]) => index === base?.index)?.[0]);
      return other === undefined ? undefined : { base, head: other };
    }
    if (base === undefined || head === undefined || pairs.get(head.index) !== base.index) return undefined;
    return { base, head };
  }
}
