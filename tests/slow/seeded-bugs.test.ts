import { describe } from 'vitest';
import { testLocating } from '../support/locate-bugs.js';
import { MORE_BUGS } from '../support/seeded-bugs.js';

describe('a review finds tick, signal and line of more one-line bugs', () => testLocating(MORE_BUGS));
