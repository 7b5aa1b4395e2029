import type { Noise } from './noise.js';

const OPEN = 1;
const CLOSE = 2;
/** Share of strokes that do not move their valve, and of valves that never move. */
const MISS_SHARE = 0.1;
const STUCK_SHARE = 0.2;

/**
 * A row that keeps a controller busy: a pressure that its two valves raise and lower, and a load that follows the pressure under
 * varying soil. It models no real machine.
 */
export class SimpleRow {
  pressureKpa: number;
  loadN = 400;
  private readonly isOpen: [boolean, boolean];
  private readonly isStuck: readonly [boolean, boolean];
  private readonly last: [number, number] = [0, 0];
  private soilN = 0;

  constructor(
    private readonly noise: Noise,
    private readonly tickMs: number,
  ) {
    this.pressureKpa = noise.between(1000, 6000);
    this.isOpen = [noise.share() < 0.3, noise.share() < 0.3];
    this.isStuck = [noise.share() < STUCK_SHARE, noise.share() < STUCK_SHARE];
  }

  /** Advances by a tick. A valve moves at the end of its stroke, unless it misses it. */
  step(supplyOrder: number, returnOrder: number, railKpa: number): void {
    for (const [index, order] of [supplyOrder, returnOrder].entries()) {
      const before = this.last[index];
      const hasMoved = before !== order && !this.isStuck[index] && this.noise.share() >= MISS_SHARE;
      if (hasMoved && before === OPEN) this.isOpen[index] = true;
      if (hasMoved && before === CLOSE) this.isOpen[index] = false;
      this.last[index] = order;
    }
    // About 100 and 60 kPa/ms, ten times the default machine, so that much happens in a short time.
    if (this.isOpen[0]) this.pressureKpa += Math.min(100 * this.tickMs, 0.3 * (railKpa - this.pressureKpa));
    if (this.isOpen[1]) this.pressureKpa -= Math.min(60 * this.tickMs, 0.3 * this.pressureKpa);
    this.soilN += 0.02 * this.tickMs * (this.noise.between(-2000, 2000) - this.soilN);
    this.loadN += 0.05 * this.tickMs * (0.22 * this.pressureKpa - 300 + this.soilN - this.loadN);
  }
}
