import { createWasmRunner, type WasmRunner } from '../../runner/wasm-runner.js';
import { CONFIGURE_TICK } from '../run-both.js';
import type { RunPair, Side } from '../run-pair.js';
import type { ProbedBuild } from './probes.js';

/** First tick in which a run reaches each probe, -1 in configure(); null if it never does. */
export type FirstTicks = readonly (number | null)[];

/** Builds with probes, of the sides that have changed code. */
export type Probes = Readonly<Partial<Record<'base' | 'head', ProbedBuild>>>;

/** What a run reaches of each of them. */
export type Reached = Readonly<Partial<Record<'base' | 'head', FirstTicks>>>;

/** Runs a probed build beside a side of a run, on the same inputs. */
class Shadow {
  readonly firstTicks: (number | null)[];
  private readonly runner: WasmRunner;
  private readonly flags: Uint8Array;
  /** Probes that are not reached yet. */
  private readonly left: number[];
  private readonly targetsLeft: Set<number>;
  private isDone = false;

  constructor(
    private readonly side: Side,
    { module, at, count, targets }: ProbedBuild,
  ) {
    this.runner = createWasmRunner({ module, description: side.controller.description }, side.runner.rows, side.values);
    this.flags = new Uint8Array(this.runner.output.buffer, at, count);
    this.firstTicks = new Array<null>(count).fill(null);
    this.left = Array.from({ length: count }, (_, index) => index);
    this.targetsLeft = new Set(targets);
    this.take(CONFIGURE_TICK);
  }

  /** Runs a tick on the inputs of the side. It is over once all targets are reached, or the build has stopped. */
  step(tick: number): void {
    if (this.isDone) return;
    this.runner.input.set(this.side.runner.input);
    try {
      this.runner.tick();
    } catch (error) {
      if (!(error instanceof WebAssembly.RuntimeError)) throw error;
      this.isDone = true;
    }
    this.take(tick);
  }

  private take(tick: number): void {
    const { flags, left } = this;
    for (let index = left.length - 1; index >= 0; index--) {
      const probe = left[index] ?? 0;
      if (flags[probe] === 0) continue;
      this.firstTicks[probe] = tick;
      this.targetsLeft.delete(probe);
      left[index] = left.at(-1) ?? 0;
      left.pop();
    }
    if (this.targetsLeft.size === 0) this.isDone = true;
  }
}

/** Probed builds beside both sides of a run. */
export class Shadows {
  readonly reached: Reached;
  private readonly all: readonly Shadow[];

  constructor(pair: RunPair, probes: Probes = {}) {
    const shadows = (['base', 'head'] as const).flatMap((side) => {
      const build = probes[side];
      return build === undefined ? [] : [{ side, shadow: new Shadow(pair[side], build) }];
    });
    this.all = shadows.map(({ shadow }) => shadow);
    this.reached = Object.fromEntries(shadows.map(({ side, shadow }) => [side, shadow.firstTicks]));
  }

  step(tick: number): void {
    for (const shadow of this.all) shadow.step(tick);
  }
}
