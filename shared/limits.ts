/** Sizes and rates that everything else is built for. */

/** Most rows that one controller serves. */
export const ROWS_MAX = 48;

/** Two valves to a row: supply first, return second. */
export const VALVES_PER_ROW = 2;

/** Analog channels of a row: load, pressure, acceleration, in this order. */
export const CHANNELS_PER_ROW = 3;

/** Kinds of analog channel that have settings: those of a row, then the rail. */
export const CHANNEL_KINDS = 4;

/** First byte of linear memory that holds a record; lower addresses stay unused, so that no record stands at null. */
export const MEMORY_BASE = 16;

/** Size of the controller's linear memory, one WebAssembly page. */
export const MEMORY_BYTES = 65536;
