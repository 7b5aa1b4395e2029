import { type ChildProcess, spawn } from 'node:child_process';
import type { Socket } from 'node:net';

/**
 * Starts a process that kills a program when this one ends, in whatever way, or the worker thread that called: an emulator without
 * its link goes on for ever, with a processor to itself. It waits for the end of its input, which the system closes.
 * @returns what ends the guard, once the program has ended
 */
export function guardProgram({ pid }: ChildProcess): () => void {
  if (pid === undefined) return () => {};
  const guard = spawn('sh', ['-c', 'read -r _; kill -9 "$0"', String(pid)], { stdio: ['pipe', 'ignore', 'ignore'] });
  guard.unref();
  (guard.stdin as Socket).unref();
  return () => guard.kill('SIGKILL');
}
