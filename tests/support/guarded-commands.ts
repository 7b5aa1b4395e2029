import { Worker } from 'node:worker_threads';
import { PROJECT } from './project.js';

/** What a command did; `status` is undefined if it did not end in time. */
export interface Outcome {
  readonly status: number | undefined;
  readonly out: string;
  readonly err: string;
  readonly seconds: number;
  /** Time of all processors, s: on a busy computer the other one is longer. */
  readonly cpuSeconds: number;
  /** Memory of the process after it, bytes. */
  readonly rssBytes: number;
}

/** Whether it printed control characters, or letters that change how others are shown. */
export const showsHidden = ({ out, err }: Outcome): boolean => /[\p{Cc}\p{Cf}]/u.test((out + err).replaceAll('\n', ''));

interface Message extends Outcome {
  readonly index: number;
}

/**
 * Runs commands of the compiled program in a worker thread, so that one which does not end can be stopped: it is reported, and the
 * next one runs in another thread.
 * @param secondsMax time for one command, s
 * @param root folder of the project, and of the program: its `dist` is run
 */
export async function runGuarded(commands: readonly (readonly string[])[], secondsMax: number, root = PROJECT.root): Promise<Outcome[]> {
  const outcomes: Outcome[] = [];
  while (outcomes.length < commands.length) await runSome(commands.slice(outcomes.length), secondsMax, root, outcomes);
  return outcomes;
}

/** Runs commands until all are done or one does not end. */
function runSome(commands: readonly (readonly string[])[], secondsMax: number, root: string, outcomes: Outcome[]): Promise<void> {
  const dist = `${root}/dist`;
  const worker = new Worker(new URL('command-worker.mjs', import.meta.url), { workerData: { dist, root, commands }, execArgv: [] });
  return new Promise((resolve, reject) => {
    const stop = (): void => {
      outcomes.push({
        status: undefined,
        out: '',
        err: '',
        seconds: secondsMax,
        cpuSeconds: secondsMax,
        rssBytes: process.memoryUsage.rss(),
      });
      worker.terminate().then(() => resolve(), reject);
    };
    let timer = setTimeout(stop, 1000 * secondsMax);
    worker.on('message', (message: Message | 'done') => {
      clearTimeout(timer);
      if (message === 'done') return void worker.terminate().then(() => resolve(), reject);
      outcomes.push(message);
      timer = setTimeout(stop, 1000 * secondsMax);
    });
    worker.on('error', (error) => {
      clearTimeout(timer);
      reject(error);
    });
  });
}
