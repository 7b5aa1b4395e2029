#!/usr/bin/env node
import { findProject } from '../common/project.js';
import { run } from './app.js';

// A reader that has seen enough (`latchbench … | head`) is no error.
process.stdout.on('error', (error: NodeJS.ErrnoException) => process.exit(error.code === 'EPIPE' ? 0 : 3));

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
