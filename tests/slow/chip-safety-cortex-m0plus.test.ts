import { describeSafety } from '../support/chip-safety.js';

describeSafety('cortex-m0plus', ['common', 'processor']);
