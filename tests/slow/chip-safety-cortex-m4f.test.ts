// The rules that need a processor run on this chip in tests/system/chip-safety.test.ts.

import { describeSafety } from '../support/chip-safety.js';

describeSafety('cortex-m4f', ['common']);
