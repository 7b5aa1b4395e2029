import type { CommandContext } from '@stricli/core';

/** 0 all as accepted, 1 a difference, 2 bad usage or bad input, 3 a fault of ours. */
export type ExitCode = 0 | 1 | 2 | 3;

export interface Context extends CommandContext {
  readonly process: Omit<NodeJS.Process, 'exitCode'> & { exitCode?: number | string | null };
  /** What the command came to; main.ts hands it to the system. */
  exitCode: ExitCode;
}

/** What a command has to say, to people and to machines, and whether all was as it should be. */
export interface Answer {
  readonly text: string;
  readonly json: unknown;
  readonly holds: boolean;
}

/** Bad input is told apart by name, so that `--help` need not load the modules behind it. */
const EXPECTED_ERRORS: readonly string[] = ['InputError', 'ParameterRefused', 'LinkLost', 'StackUnbounded'];

function fail(context: Context, error: unknown, isJson: boolean): void {
  const { name, message, stack, details } = error as Error & { details?: object };
  const isExpected = EXPECTED_ERRORS.includes(name);
  context.exitCode = isExpected ? 2 : 3;
  if (isJson) context.process.stdout.write(`${JSON.stringify({ error: { message, ...details } }, null, 2)}\n`);
  context.process.stderr.write(isExpected ? `${message}\n` : `A fault of latchbench itself:\n${stack ?? message}\n`);
}

/** Runs a command's work and prints its answer: text, or with `--json` one document and nothing else. */
export async function answer(context: Context, flags: { readonly json?: boolean | undefined }, work: () => Promise<Answer>): Promise<void> {
  const isJson = flags.json === true;
  try {
    const { text, json, holds } = await work();
    context.process.stdout.write(isJson ? `${JSON.stringify(json, null, 2)}\n` : text);
    context.exitCode = holds ? 0 : 1;
  } catch (error) {
    fail(context, error, isJson);
  }
}

export interface Progress {
  /** Shows a line instead of the one before. */
  say(text: string): void;
  /** Shows how much of something is done, when the percentage has changed. */
  share(what: string): (share: number) => void;
  /** Wipes the line. */
  done(): void;
}

/** A line of progress on a terminal's stderr; nothing elsewhere. */
export function progressOf(context: Context, isJson: boolean | undefined): Progress {
  const { stderr } = context.process;
  const isShown = stderr.isTTY === true && isJson !== true;
  const say = (text: string): void => void (isShown && stderr.write(`\r\u001b[2K${text}`));
  const share = (what: string): ((share: number) => void) => {
    let last = -1;
    return (now) => {
      const percent = Math.floor(now * 100);
      if (percent !== last) say(`${what} ${percent} %`);
      last = percent;
    };
  };
  return { say, share, done: () => say('') };
}

/** The flag that every command has. */
export const jsonFlag = { kind: 'boolean', brief: 'Print one JSON document instead of text', optional: true, withNegated: false } as const;

export const text = (value: string): string => value;

/** A text that says something. */
export function words(value: string): string {
  if (value.trim() === '') throw new Error('words are needed here');
  return value.trim();
}

/** A whole number from 0. */
export function wholeNumber(value: string): number {
  if (!/^\d{1,9}$/.test(value)) throw new Error(`${value} is no whole number from 0`);
  return Number(value);
}

/** How many of something that is to be done at least once. */
export function countFromOne(value: string): number {
  const count = wholeNumber(value);
  if (count < 1) throw new Error(`${value} is no whole number from 1`);
  return count;
}

/** How many seeds: at least one. */
export function seedCount(value: string): number {
  const count = wholeNumber(value);
  if (count < 1 || count > 10000) throw new Error(`${value} is no number of seeds from 1 to 10000`);
  return count;
}

/** Today's date as YYYY-MM-DD: the one clock there is, and it is read here. */
export const today = (): string => new Date().toISOString().slice(0, 10);
