import type { Writable } from 'node:stream';
import type { CommandContext, StricliProcess } from '@stricli/core';
import { isProgramStale } from '../build/own-sources.js';
import { asFileError } from '../common/input-error.js';
import { isOwnProject, type Project } from '../common/project.js';
import { toolVersion } from '../common/version.js';
import { plainText, type Terminal, terminalText } from '../report/form/colours.js';

/** 0: all as accepted. 1: a difference, or a requirement that failed. 2: bad usage or bad input. 3: an internal error. */
export type ExitCode = 0 | 1 | 2 | 3;

/** A stream, which may be a terminal, with its width in characters. */
export type Output = Writable & { readonly isTTY?: boolean; readonly columns?: number | undefined };

/** What the program gets from its process. */
export interface Environment {
  readonly project: Project;
  /** Why no command that works with the project can run. */
  readonly problem?: Error | undefined;
  /** Current folder, to shorten paths that are printed. */
  readonly cwd: string;
  readonly stdout: Output;
  readonly stderr: Output;
  readonly env: Readonly<Partial<Record<string, string>>>;
  /** Calls `stop` at the first interrupt; returns a function that ends this. Without it an interrupt ends the process. */
  readonly onInterrupt: (stop: () => void) => () => void;
  /** Asks the person at the terminal for a line; returns undefined if there is none. */
  readonly ask: (question: string) => string | undefined;
}

/** What the framework hands to each command. */
export interface Context extends CommandContext {
  readonly process: StricliProcess;
  readonly environment: Environment;
  /** Returns the help of a command by its words, or the word that is unknown and what may be there. */
  readonly helpOf: (
    words: readonly string[],
  ) => Promise<{ readonly text: string } | { readonly unknown: string; readonly known: string[] }>;
  /** Result of the command. */
  exitCode: ExitCode;
}

/** A line that shows how far a command is, on a terminal. */
export interface Progress {
  /** Shows a line in place of the one before. */
  show(text: string): void;
  /** Returns a function that shows a share, 0 to 1, as a percentage. */
  percentOf(what: string): (share: number) => void;
}

/** What the work of a command gets. */
export interface Job extends Pick<Environment, 'project' | 'cwd' | 'stdout' | 'env' | 'onInterrupt' | 'ask'> {
  readonly progress: Progress;
  /** Prints text on stdout, in colour if that is a terminal. */
  print(text: string): void;
  /** Prints a line on stderr, for people. */
  note(text: string): void;
}

/** Result of a command, as text and as JSON, and whether its exit code is 0 or 1. */
export interface Answer {
  readonly text: string;
  readonly json: unknown;
  readonly passed: boolean;
}

const CLEAR_LINE = '\r\u001b[2K';

/** A terminal that cannot move its cursor, such as that of an editor. */
export const isDumb = (env: Environment['env']): boolean => env.TERM === 'dumb';

/** A locale that is set, and whose characters are not those of Unicode. */
function isAsciiLocale({ LC_ALL, LC_CTYPE, LANG }: Environment['env']): boolean {
  const locale = LC_ALL || LC_CTYPE || LANG || '';
  return locale !== '' && !/utf-?8/i.test(locale);
}

/** Properties of the terminal that a stream is; what is not a terminal gets everything, in one line where it is one line. */
function terminalOf(stdout: Output, env: Environment['env']): Partial<Terminal> {
  if (stdout.isTTY !== true) return {};
  // A terminal's own width changes with its window; COLUMNS is what the user asks for.
  const columns = [Number(env.COLUMNS), stdout.columns].find((one) => one !== undefined && one > 0);
  return {
    hasColour: !env.NO_COLOR && !isDumb(env),
    isAscii: isAsciiLocale(env),
    ...(columns === undefined ? {} : { columns }),
  };
}

/** @param isShown on one line that is written again, or `lines`: each new step as a line */
function progressOn(stderr: Output, isShown: boolean | 'lines'): Progress & { clear(): void } {
  let isLineUsed = false;
  let step = '';
  const show = (text: string): void => {
    if (isShown === true) {
      isLineUsed = true;
      stderr.write(`${CLEAR_LINE}${plainText(text)}`);
    } else if (isShown === 'lines') {
      // Only numbers have changed: the same step goes on.
      const next = text.replaceAll(/\d+/g, '');
      if (next !== step) stderr.write(plainText(`${text}\n`));
      step = next;
    }
  };
  const percentOf = (what: string): ((share: number) => void) => {
    let last = -1;
    return (share) => {
      const percent = Math.floor(share * 100);
      if (percent !== last) show(`${what} ${percent} %`);
      last = percent;
    };
  };
  return { show, percentOf, clear: () => void (isLineUsed && stderr.write(CLEAR_LINE)) };
}

const document = (value: unknown): string => plainText(`${JSON.stringify(value, null, 2)}\n`);

/** A system error about a path that nobody foresaw, such as a folder without permission to write, as the user's. */
function expected(error: unknown): unknown {
  const { path, syscall = '' } = error as NodeJS.ErrnoException;
  return path === undefined ? error : asFileError(error, path, /^(open|stat|lstat|scandir|read)/.test(syscall) ? 'read' : 'write');
}

function fail(context: Context, thrown: unknown, isJson: boolean): void {
  const error = expected(thrown);
  const { message, stack, details, isExpected } = error as Error & { details?: object; isExpected?: boolean };
  const { stdout, stderr } = context.environment;
  context.exitCode = isExpected === true ? 2 : 3;
  if (isJson) stdout.write(document({ error: { message, ...details } }));
  stderr.write(plainText(isExpected === true ? `${message}\n` : `Internal error of latchbench:\n${stack ?? message}\n`));
}

/** The program can't build itself while it runs: commands note it, and those that accept outputs refuse. */
export const PROGRAM_STALE = 'this program is stale: its sources were edited after it was built';

/** A project that comes from another version has controller and tables of that one. */
async function noteOtherVersion(project: Project, note: Job['note']): Promise<void> {
  const { readManifest } = await import('../project/manifest.js');
  const { version } = readManifest(project);
  if (version === toolVersion()) return;
  note(
    `note: this project comes from latchbench ${version}, and ${toolVersion()} is installed: \`npx latchbench upgrade\` says what to do`,
  );
}

/**
 * Makes a command of its work: prints the answer as text, or with `--json` as one document and nothing else, and reports errors.
 * @param options `printsOwnOutput`: the work prints its own results, and its answer is only the exit code; `needsProject`: it works with the project
 */
export const command = <Flags extends { readonly json?: boolean }, Args extends readonly (string | undefined)[] = []>(
  work: (job: Job, flags: Flags, ...args: Args) => Answer | Promise<Answer>,
  { printsOwnOutput = false, needsProject = true } = {},
) =>
  async function (this: Context, flags: Flags, ...args: Args): Promise<void> {
    const { project, problem, cwd, stdout, stderr, env, onInterrupt, ask } = this.environment;
    const isJson = flags.json === true;
    const progress = progressOn(stderr, stderr.isTTY === true && !isJson && (isDumb(env) ? 'lines' : true));
    const note = (text: string): void => void stderr.write(plainText(`${text}\n`));
    const terminal = terminalOf(stdout, env);
    const print = (text: string): void => void stdout.write(terminalText(text, terminal));
    if (isProgramStale()) note(`note: ${PROGRAM_STALE}. Run \`npm run build\``);
    try {
      if (needsProject && problem !== undefined) throw problem;
      if (needsProject && isOwnProject(project)) await noteOtherVersion(project, note);
      const { text, json, passed } = await work({ project, cwd, stdout, env, onInterrupt, ask, progress, print, note }, flags, ...args);
      progress.clear();
      if (!printsOwnOutput && isJson) stdout.write(document(json));
      if (!printsOwnOutput && !isJson) print(text);
      this.exitCode = passed ? 0 : 1;
    } catch (error) {
      progress.clear();
      fail(this, error, isJson && !printsOwnOutput);
    }
  };

/** Today as YYYY-MM-DD. Nothing below the commands reads a clock. */
export const today = (): string => new Date().toISOString().slice(0, 10);
