import { readSync } from 'node:fs';
import { isatty } from 'node:tty';
import { parentPort, workerData } from 'node:worker_threads';
import { useProjectTables } from '../build/project-tables.js';
import { findProject, isOwnProject } from '../common/project.js';
import { onUnfinished } from '../common/unfinished.js';
import { plainText } from '../report/form/colours.js';
import type { CommandThreadData, FromCommand } from './interrupts.js';
import { SyncOutput } from './sync-output.js';

/** The thread in which a command runs, so that the main thread can stop it at any time. */

const { argv, isTTY, columns } = workerData as CommandThreadData;
const send = (message: FromCommand): void => parentPort?.postMessage(message);

// A reader that has seen enough (`latchbench … | head`) is no error.
const stderr = new SyncOutput(
  2,
  'standard error',
  isTTY.stderr,
  () => process.exit(0),
  () => process.exit(2),
);
const stdout = new SyncOutput(
  1,
  'standard output',
  isTTY.stdout,
  () => process.exit(0),
  (error) => {
    const isExpected = 'isExpected' in error;
    stderr.write(plainText(isExpected ? `${error.message}\n` : `Internal error of latchbench:\n${error.stack}\n`));
    process.exit(isExpected ? 2 : 3);
  },
  columns,
);

onUnfinished((change) => send({ unfinished: change }));
const cwd = process.cwd();
const project = findProject(cwd);

/** What is wrong with the tables of a team's project. Help is given all the same. */
async function problemOfTables(): Promise<Error | undefined> {
  try {
    if (isOwnProject(project)) await useProjectTables(project.root);
    return undefined;
  } catch (error) {
    return error as Error;
  }
}

const LINE_BYTES_MAX = 1000;

/** Asks on standard error and reads a line; a terminal hands over whole lines. */
function ask(question: string): string | undefined {
  if (!isatty(0)) return undefined;
  stderr.write(plainText(question));
  const line = Buffer.alloc(LINE_BYTES_MAX);
  return line
    .subarray(0, readSync(0, line))
    .toString()
    .replace(/\r?\n$/, '');
}

const problem = await problemOfTables();
// Only now: what is loaded works with the tables that are in force.
const { run } = await import('./app.js');
const status = await run(argv, {
  project,
  problem,
  cwd,
  stdout,
  stderr,
  env: process.env,
  ask,
  onInterrupt: (stop) => {
    send({ listens: true });
    parentPort?.once('message', stop);
    return () => {
      send({ listens: false });
      parentPort?.off('message', stop);
    };
  },
});
process.exit(status);
