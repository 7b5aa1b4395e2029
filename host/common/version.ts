import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { TOOL_ROOT } from './project.js';

let version: string | undefined;

/** Returns the version of latchbench. */
export function toolVersion(): string {
  version ??= String(JSON.parse(readFileSync(join(TOOL_ROOT, 'package.json'), 'utf8')).version);
  return version;
}
