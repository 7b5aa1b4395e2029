#!/usr/bin/env node
import { findProject } from '../common/project.js';
import { plainText } from '../report/form/colours.js';
import { run } from './app.js';
import type { ExitCode } from './context.js';

const INTERNAL_ERROR: ExitCode = 3;

// A reader that has seen enough (`latchbench … | head`) is no error.
process.stdout.on('error', (error: NodeJS.ErrnoException) => process.exit(error.code === 'EPIPE' ? 0 : INTERNAL_ERROR));
// Without this, Node exits with 1, which means a difference.
process.on('uncaughtException', (error) => {
  process.stderr.write(plainText(`Internal error of latchbench:\n${error.stack ?? error}\n`));
  process.exit(INTERNAL_ERROR);
});

const cwd = process.cwd();
process.exitCode = await run(process.argv.slice(2), {
  project: findProject(cwd),
  cwd,
  stdout: process.stdout,
  stderr: process.stderr,
  env: process.env,
  onInterrupt: (stop) => {
    process.once('SIGINT', stop);
    return () => process.removeListener('SIGINT', stop);
  },
});
