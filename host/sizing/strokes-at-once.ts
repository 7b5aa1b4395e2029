import type { SizingInput } from './sizing-input.js';

/** Returns the most coils that the stroke queue drives at once: strokesAtOnce, but no more than the two of every row. */
export const coilsAtOnce = ({ strokesAtOnce, rowCount }: SizingInput): number => Math.min(strokesAtOnce, 2 * rowCount);

/** Returns the turns that the stroke queue takes for one stroke of each of some rows. Source: the controller's stroke queue. */
export const turnsFor = (rows: number, { strokesAtOnce }: SizingInput): number => 1 + Math.floor((rows - 1) / strokesAtOnce);
