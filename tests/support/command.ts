import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';
import { CASES, ROOT } from '../../host/common/project.js';

export interface Said {
  readonly status: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs the compiled command as a user would, outside a terminal. */
export const latchbench = (...words: string[]): Said => latchbenchWith({}, ...words);

/** The same with other settings, or with more time. A command that hangs fails its test, and not the whole run. */
export function latchbenchWith(
  { env = process.env, timeout = 300_000 }: { env?: NodeJS.ProcessEnv; timeout?: number },
  ...words: string[]
): Said {
  const { status, stdout, stderr } = spawnSync(process.execPath, [join(ROOT, 'dist', 'host', 'cli', 'main.js'), ...words], {
    cwd: ROOT,
    encoding: 'utf8',
    maxBuffer: 1 << 28,
    env,
    timeout,
  });
  return { status, out: stdout, err: stderr };
}

/** A folder that is gone after the file's tests. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-test-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

let copies = 0;

/** A copy of a vector in a folder of its own. */
export function copyCase(name: string, folder: string): string {
  copies += 1;
  const copy = join(folder, `copy-${copies}`, name);
  mkdirSync(join(folder, `copy-${copies}`));
  cpSync(join(CASES, name), copy, { recursive: true });
  return copy;
}

/** Every file below a folder with its bytes: equal before and after means that nothing was written. */
export function snapshot(folder: string): Record<string, string> {
  const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort();
  return Object.fromEntries(
    files.filter((path) => statSync(join(folder, path)).isFile()).map((path) => [path, readFileSync(join(folder, path), 'base64')]),
  );
}
