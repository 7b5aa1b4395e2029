import { CHANNELS } from './channels.js';

/** Sizes and rates that everything else is built for. */

/** Maximum number of rows that one controller serves. */
export const ROWS_MAX = 48;

/** Two valves per row: supply first, return second. */
export const VALVES_PER_ROW = 2;

/** Analog channels of a row. */
export const CHANNELS_PER_ROW = CHANNELS.filter(({ scope }) => scope === 'row').length;

/** Kinds of analog channel that have settings: those of a row, then the rail. */
export const CHANNEL_KINDS = CHANNELS.length;

/** Time by which the input soilAheadN is ahead of the row, s (our choice: what a sensor on the frame's front or a map can reach). */
export const PREVIEW_S = 0.4;

/** Values of the soil ahead that a row keeps for that time, to compare them with what came. */
export const PREVIEW_SAMPLES = 8;

/** First byte of linear memory that holds a record; lower addresses stay unused, so that no record is at null. */
export const MEMORY_BASE = 16;

/** Size of the controller's linear memory: one WebAssembly page. */
export const MEMORY_BYTES = 65536;
