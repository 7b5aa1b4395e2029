import { createColors } from 'picocolors';

/** Styles for terminals. Commands remove them from their output if it does not go to one. */
export const colours = createColors(true);
