import type { Locate } from './locate.js';
import type { Sides } from './review-task.js';

/** Locates as `traceLocator` does. What that takes, a quarter of a program's start, is loaded for the first difference. */
export const locateWhenNeeded =
  (sides: Sides): Locate =>
  async (...found) => {
    const { traceLocator } = await import('./locate.js');
    return traceLocator(sides)(...found);
  };
