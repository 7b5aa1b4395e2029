import { InputError } from '../../host/common/input-error.js';

/** Runs `work` and returns the InputError that it throws; fails if it throws none. */
export function refusalOf(work: () => unknown): InputError {
  try {
    work();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('no error was thrown');
}
