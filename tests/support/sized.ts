import { readMachine } from '../../host/machine/machine.js';
import { type Given, givenOf } from '../../host/sizing/given.js';

const DEFAULT = givenOf(readMachine('default'));

/** The default machine's numbers, some of them changed. */
export const sized = (changes: Partial<Given> = {}): Given => ({ ...DEFAULT, ...changes });
