/** What a task in a worker thread results in. */
export type Outcome<Result> =
  | { readonly result: Result }
  /** An expected error. Between threads an error keeps its message only, so its other fields travel beside it. */
  | { readonly expected: { readonly name: string; readonly message: string; readonly details?: object | undefined } };

/** Wraps a worker's function so that its expected errors reach whoever runs the pool, with their details. */
export const workerTask =
  <Task, Result>(run: (task: Task) => Result | Promise<Result>) =>
  async (task: Task): Promise<Outcome<Result>> => {
    try {
      return { result: await run(task) };
    } catch (error) {
      const { isExpected, name, message, details } = error as Error & { isExpected?: boolean; details?: object };
      if (isExpected !== true) throw error;
      return { expected: { name, message, details } };
    }
  };

/** Returns the result of a task, or throws its expected error again. */
export function resultOf<Result>(outcome: Outcome<Result>): Result {
  if ('result' in outcome) return outcome.result;
  const { name, message, details } = outcome.expected;
  throw Object.assign(new Error(message), { name, details, isExpected: true });
}
