import { CAUTIONS } from '../rig/cautions.js';
import { lines, list, option, optional, toggle } from './flags.js';

/** Flags that all commands of a rig have. */
export const rigFlags = {
  rig: option('Rig file (default: rig.yaml)', 'file'),
  board: optional(list, 'Boards to use, separated by commas (default: all)', 'names'),
  pressurised: toggle('Start a rig whose hydraulics can be under pressure; asks for a typed confirmation'),
} as const;

/** The values of these flags. */
export interface RigFlags {
  readonly rig?: string;
  readonly board?: readonly string[];
  readonly pressurised?: boolean;
  readonly json?: boolean;
}

/** The cautions, as the end of a description. */
export const CAUTION_LINES = lines('', ...CAUTIONS);
