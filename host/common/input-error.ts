import { fstatSync, openSync, statSync } from 'node:fs';

/** Where and what a person got wrong. Lines and columns count from 1, bytes from 0. */
export interface InputErrorDetails {
  readonly file: string;
  readonly line?: number | undefined;
  readonly column?: number | undefined;
  /** Offset in a binary file. */
  readonly byte?: number | undefined;
  /** What is wrong, as a clause that names the offending value: `speedMps is -3`. Without a full stop. */
  readonly problem?: string;
  /** The offending value, for the JSON output. */
  readonly value?: unknown;
  /** What it must be, as it follows "it must be": `between 0 and 12`, or the list of names to choose from. */
  readonly allowed?: string | readonly string[];
  /** What to do about it, as a sentence without its full stop: `Run npm run build`. */
  readonly hint?: string;
  /** Old form, replaced by `problem`; it goes when its last user is gone. */
  readonly what?: string;
}

/** Long enough for a SHA-256 in quotes. */
const VALUE_LENGTH = 70;
/** Of a longer list, the names nearest to what was written. */
const NAMES_MOST = 8;

export function showValue(value: unknown): string {
  const text = typeof value === 'number' || value === undefined ? String(value) : (JSON.stringify(value) ?? String(value));
  return text.length > VALUE_LENGTH ? `${text.slice(0, VALUE_LENGTH)}…` : text;
}

function showPlace({ file, line, column, byte }: InputErrorDetails): string {
  if (byte !== undefined) return `${file}: byte ${byte}`;
  return [file, line, line === undefined ? undefined : column].filter((part) => part !== undefined).join(':');
}

/** Levenshtein's distance between two words, letter case aside. */
function distance(one: string, other: string): number {
  const a = one.toLowerCase();
  const b = other.toLowerCase();
  let row = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const replaced = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(replaced, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}

function listNames(names: readonly string[], value: unknown): string {
  if (names.length <= NAMES_MOST || typeof value !== 'string') return `one of ${names.join(', ')}`;
  const nearest = [...names].sort((a, b) => distance(a, value) - distance(b, value)).slice(0, NAMES_MOST);
  return `one of ${nearest.join(', ')} and ${names.length - NAMES_MOST} more`;
}

function compose(details: InputErrorDetails): string {
  const { problem, what, allowed, hint, value } = details;
  if (problem === undefined) {
    const subject = 'value' in details ? `${what} ${showValue(value)}` : what;
    return `${showPlace(details)}: ${subject} — allowed: ${typeof allowed === 'string' ? allowed : listNames(allowed ?? [], value)}`;
  }
  const rule = allowed === undefined ? '' : `; it must be ${typeof allowed === 'string' ? allowed : listNames(allowed, value)}`;
  return `${showPlace(details)}: ${problem}${rule}.${hint === undefined ? '' : ` ${hint}.`}`;
}

/**
 * Everything that a person can get wrong: a file, a name, a value. The message is one line, such as
 * `scenario.yaml:12:9: speedMps is -3; it must be between 0 and 12.`
 */
export class InputError extends Error {
  /** Bad input or bad usage: the command ends with exit code 2. */
  readonly isExpected = true;
  readonly details: InputErrorDetails;

  constructor(details: InputErrorDetails) {
    super(compose(details));
    this.name = 'InputError';
    this.details = details;
  }
}

const FILE_TROUBLE: Readonly<Record<string, string>> = {
  ENOENT: 'not found',
  ENOTDIR: 'not found',
  EACCES: 'no permission',
  EPERM: 'no permission',
  EROFS: 'read-only',
  EISDIR: 'a folder',
  ENOSPC: 'no space left',
  ENAMETOOLONG: 'a name that is too long',
  ELOOP: 'a link that leads nowhere',
  ENOTEMPTY: 'a folder that is not empty',
  EMFILE: 'too many open files',
};

/** A system error about a path, as an InputError where a person can mend it; anything else comes back unchanged. */
export function fileTrouble(error: unknown, file: string, allowed: string): unknown {
  const trouble = FILE_TROUBLE[(error as NodeJS.ErrnoException | undefined)?.code ?? ''];
  return trouble === undefined ? error : new InputError({ file, what: trouble, allowed });
}

/**
 * Opens a file for reading and answers its descriptor and size in bytes.
 * @throws InputError when there is none, it may not be read, or it is a folder.
 */
export function openToRead(file: string): { fd: number; size: number } {
  try {
    // A folder opens, but gives EISDIR only when it is read: too late for a good message.
    if (statSync(file).isDirectory()) throw Object.assign(new Error(file), { code: 'EISDIR' });
    const fd = openSync(file, 'r');
    return { fd, size: fstatSync(fd).size };
  } catch (error) {
    throw fileTrouble(error, file, 'a file that can be read');
  }
}
