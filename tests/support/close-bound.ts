/**
 * Maximum wait of a closing stroke, ticks, as proven in assembly/controller/stroke-queue.ts: at least one slot becomes free in every
 * stroke (or turn of the banks), for strokesAtOnce closes, in the order of their requests.
 * @param closes number of closes that may be requested together: the rows at the ends of pulses, twice the rows for unknown positions
 * and re-latching
 */
export const closeBound = (closes: number, strokeTicks: number, slotCount: number, strokesAtOnce: number): number =>
  strokeTicks * slotCount * (1 + Math.floor((closes - 1) / strokesAtOnce));
