import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import { run } from '../../host/cli/app.js';
import type { Environment } from '../../host/cli/context.js';
import type { Project } from '../../host/common/project.js';
import { PROJECT } from './project.js';

/** What a command printed, and its exit code. */
export interface Result {
  readonly status: number | null;
  readonly out: string;
  readonly err: string;
}

/** Keeps what is written to it. */
export class Collector extends Writable {
  readonly isTTY: boolean;
  readonly #chunks: Buffer[] = [];

  constructor(isTTY = false) {
    super();
    this.isTTY = isTTY;
  }

  override _write(chunk: Buffer, _encoding: BufferEncoding, done: () => void): void {
    this.#chunks.push(chunk);
    done();
  }

  get text(): string {
    return Buffer.concat(this.#chunks).toString('utf8');
  }
}

/** Runs a command in this process, on a project, outside a terminal. Relative paths are below the current folder. */
export async function latchbenchIn(project: Project, argv: readonly string[], options: Partial<Environment> = {}): Promise<Result> {
  const [stdout, stderr] = [new Collector(), new Collector()];
  const onInterrupt = () => () => {};
  const ask = () => undefined;
  const status = await run(argv, { project, cwd: process.cwd(), stdout, stderr, env: {}, onInterrupt, ask, ...options });
  return { status, out: stdout.text, err: stderr.text };
}

/** Runs a command in this process, on this checkout. */
export const latchbench = (...argv: string[]): Promise<Result> => latchbenchIn(PROJECT, argv);

/** Names of all commands, from the help of the program and of its groups: `replay`, `chip build`. */
export async function leafCommands(...group: string[]): Promise<string[]> {
  const { out } = await latchbench(...group, '--help');
  const [, list] = out.split('\nCOMMANDS\n');
  if (list === undefined) return [group.join(' ')];
  const names = [...list.matchAll(/^ {2}([\w-]+) {2,}/gm)].map(([, name]) => name ?? '');
  return (await Promise.all(names.map((name) => leafCommands(...group, name)))).flat();
}

/** Runs the compiled command as a separate process, outside a terminal; one that hangs fails its test, not the whole run. */
export function spawnLatchbench(
  argv: readonly string[],
  { env = process.env, cwd = PROJECT.root, timeout = 300_000 }: { env?: NodeJS.ProcessEnv; cwd?: string; timeout?: number } = {},
): Result {
  const program = join(PROJECT.root, 'dist', 'host', 'cli', 'main.js');
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...argv], {
    cwd,
    encoding: 'utf8',
    maxBuffer: 1 << 28,
    env,
    timeout,
  });
  return { status, out: stdout, err: stderr };
}

let copies = 0;

/** Copies a vector into a folder and returns the copy's path. */
export function copyVector(name: string, folder: string): string {
  copies += 1;
  const copy = join(folder, `copy-${copies}`, name);
  mkdirSync(join(folder, `copy-${copies}`));
  cpSync(join(PROJECT.vectors, name), copy, { recursive: true });
  return copy;
}

/** Returns every file and folder below a folder, with the bytes of the files: equal before and after means that nothing was written. */
export function snapshot(folder: string): Record<string, string> {
  const paths = readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort();
  const contentOf = (path: string): string => (statSync(path).isFile() ? readFileSync(path, 'base64') : 'folder');
  return Object.fromEntries(paths.map((path) => [path, contentOf(join(folder, path))]));
}
