import { readMachine } from '../../host/machine/machine.js';
import { type SizingInput, sizingInputOf } from '../../host/sizing/sizing-input.js';
import { PROJECT } from './project.js';

const DEFAULT = sizingInputOf(readMachine(PROJECT, 'default'));

/** Returns the sizing input of the default machine with some changes. */
export const sized = (changes: Partial<SizingInput> = {}): SizingInput => ({ ...DEFAULT, ...changes });
