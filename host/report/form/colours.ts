import { createColors } from 'picocolors';

/** Colours on a terminal only, and not where NO_COLOR is set. */
export const colours = createColors(process.stdout.isTTY === true && !process.env.NO_COLOR);
