import type { Drive } from './drive.js';
import type { Parting, SignalParting } from './review.js';

/** Memories of both sides before and after the call in which they part. */
export interface PartingMemory {
  readonly tick: number;
  readonly before: { readonly old: Uint8Array; readonly new: Uint8Array };
  readonly after: { readonly old: Uint8Array; readonly new: Uint8Array };
}

/** Finds what of a parting's tick comes first, and the line of source behind it. */
export type Locate = (drive: Drive, found: SignalParting, memory: PartingMemory | undefined) => Promise<Parting>;

/** Without sources the first in memory's order is all there is. */
export const locateNothing: Locate = async (_drive, found) => ({ ...found, because: 'no source at hand: first in memory’s order' });

export const traceLocator = (_sides: unknown): Locate => locateNothing;
