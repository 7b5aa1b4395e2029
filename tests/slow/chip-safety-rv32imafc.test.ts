import { describeSafety } from '../support/chip-safety.js';

describeSafety('rv32imafc', ['common', 'processor']);
