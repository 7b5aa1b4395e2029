import { spawnSync } from 'node:child_process';

/**
 * Whether a tool that a check needs is missing; prints the command that installs it. With REQUIRE_ALL=1 in the environment a missing
 * tool is an error, so that no check is skipped unnoticed.
 */
export function missingTool(tool: string, install: string): boolean {
  if (spawnSync(tool, ['--version']).error === undefined) return false;
  const message = `NOT RUN: ${tool} is not installed (${install})`;
  if (process.env.REQUIRE_ALL === '1') throw new Error(message);
  process.stderr.write(`${message}\n`);
  return true;
}

/** Path of an installed tool. */
export const toolPath = (tool: string): string => spawnSync('which', [tool], { encoding: 'utf8' }).stdout.trim();
