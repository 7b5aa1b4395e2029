#!/usr/bin/env node
import { isatty } from 'node:tty';
import { Worker } from 'node:worker_threads';
import { showControls } from '../common/control-characters.js';
import type { ExitCode } from './context.js';
import { type CommandThreadData, type FromCommand, UnfinishedList } from './interrupts.js';

/**
 * Runs the command in a thread. Commands compute for minutes without returning to their event loop; this thread always can react to
 * an interrupt, and outlives a command that runs out of memory.
 */

const INTERNAL_ERROR: ExitCode = 3;
/** A command that ends itself has this long to do so. */
const GRACE_MS = 1500;

const data: CommandThreadData = {
  argv: process.argv.slice(2),
  isTTY: { stdout: isatty(1), stderr: isatty(2) },
  columns: process.stdout.columns,
};
const command = new Worker(new URL('./command-thread.js', import.meta.url), { workerData: data });
const unfinished = new UnfinishedList();
let listens = false;
/** Signal by which the command is stopped, unless it ends itself. */
let stoppedBy: NodeJS.Signals | undefined;

command.on('message', (message: FromCommand) => {
  if ('listens' in message) listens = message.listens;
  else unfinished.take(message.unfinished);
});

/** Cleans up, says what is left, and ends as if the signal had not been caught. */
function endBy(signal: NodeJS.Signals): void {
  const left = unfinished.cleanUp();
  const nothingLeft = unfinished.hasBegun ? ['No unfinished file is left.'] : [];
  const lines = left.length === 0 ? nothingLeft : [showControls(left.join('\n'))];
  process.stderr.write(`${isatty(2) && process.env.TERM !== 'dumb' ? '\r\u001b[2K' : ''}${['interrupted.', ...lines].join(' ')}\n`);
  for (const one of SIGNALS) process.removeAllListeners(one);
  process.kill(process.pid, signal);
}

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;
for (const signal of SIGNALS) {
  process.on(signal, () => {
    if (listens) command.postMessage('interrupt');
    else {
      stoppedBy = signal;
      void command.terminate();
    }
    listens = false;
    // Also where a compiler keeps the thread from ending.
    setTimeout(endBy, GRACE_MS, signal).unref();
  });
}

/** Without this, Node exits with 1, which means a difference. */
function reportInternal(error: Error & { code?: string }): void {
  const isMemory = error.code === 'ERR_WORKER_OUT_OF_MEMORY';
  process.stderr.write(`Internal error of latchbench:${isMemory ? ' out of memory' : `\n${showControls(error.stack ?? String(error))}`}\n`);
  process.exitCode = INTERNAL_ERROR;
}

command.on('error', reportInternal);
process.on('uncaughtException', (error) => {
  reportInternal(error);
  void command.terminate();
});

command.on('exit', (status) => {
  if (stoppedBy !== undefined) {
    endBy(stoppedBy);
    return;
  }
  const left = unfinished.cleanUp();
  // Only a command that failed within has not said so itself.
  if (process.exitCode === INTERNAL_ERROR) for (const line of left) process.stderr.write(`${showControls(line)}\n`);
  process.exit(process.exitCode ?? status);
});
