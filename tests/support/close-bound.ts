/**
 * Longest wait of a closing stroke, ticks, as proven in assembly/controller/stroke-queue.ts: a slot comes free at least
 * once in every stroke (or turn of the banks), strokesAtOnce closes at a time, and closes that came later wait longer.
 * @param closes that may be wanted together: the rows for the ends of pulses, twice the rows for unknown positions and re-latching
 */
export const closeBound = (closes: number, strokeTicks: number, slotCount: number, strokesAtOnce: number): number =>
  strokeTicks * slotCount * (1 + Math.floor((closes - 1) / strokesAtOnce));
