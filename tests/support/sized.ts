import { readMachine } from '../../host/machine/machine.js';
import { type SizingInput, sizingInputOf } from '../../host/sizing/sizing-input.js';

const DEFAULT = sizingInputOf(readMachine('default'));

/** Returns the sizing input of the default machine with some changes. */
export const sized = (changes: Partial<SizingInput> = {}): SizingInput => ({ ...DEFAULT, ...changes });
