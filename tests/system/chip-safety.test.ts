import { describeSafety, describeWrongArithmetic } from '../support/chip-safety.js';

/*
 * Every rule once: those that any chip can show on the program of this computer, which starts quickly, and those that need a
 * processor on one. tests/slow/chip-safety-*.test.ts run the others on every emulated chip.
 */
describeSafety('native', ['common']);
describeSafety('cortex-m4f', ['processor']);
describeWrongArithmetic('cortex-m4f');
