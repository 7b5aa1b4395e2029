import { createColors } from 'picocolors';

/** Colours if stdout is a terminal and NO_COLOR is not set. */
export const colours = createColors(process.stdout.isTTY === true && !process.env.NO_COLOR);
